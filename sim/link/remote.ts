/**
 * Requests to the firmware, JSON-RPC 2.0 over the link. Assumes nothing of who has the port at the moment: at rest the
 * prompt has it, and a request goes through the prompt's `hear(…)` in lines that are each acknowledged; in a session the
 * firmware has it, and the request goes raw. What worked is remembered, and tried the other way when it no longer does.
 *
 * A refusal of the base is a `RemoteError`; no reply in time is a `LinkError` (noAnswer). A request is sent once: whether
 * to ask again is for the caller to say, who knows if it may be done twice.
 */
import { REST_CHARACTERS } from '../../firmware/console/frames.ts'
import { framed } from './frames.ts'
import { type Link, pause } from './link.ts'
import { LinkError, noAnswer, tooLong } from './messages.ts'
import type { Waits } from './waits.ts'

/** The board's line buffer, less what stands round the text. */
const LONGEST_HEAR = 280
/** The board keeps 2048 bytes until its next tick, a tenth of a second or, when it is busy, a little more. */
const BYTES_A_TICK = 1200
const TICK_SECONDS = 0.3

/** No JSON, no request: what a noisy line makes of one. */
const UNREADABLE = [-32700, -32600]

/** The base said no, or failed. `code` as in the reply. */
export class RemoteError extends Error {
  readonly code: number
  readonly data: unknown

  constructor(code: number, message: string, data: unknown) {
    super(message)
    this.name = 'RemoteError'
    this.code = code
    this.data = data
  }
}

export interface Notification {
  method: string
  params: unknown
}

export interface Remote {
  /** The result. Throws `RemoteError` or `LinkError`. */
  request(method: string, params?: unknown, seconds?: number): Promise<unknown>
  /** As `request`, asked again up to three times: for what may be done twice. */
  question(method: string, params?: unknown, seconds?: number): Promise<unknown>
  /** Hears what the base says unasked; gives the way to stop. */
  onNotification(hear: (notification: Notification) => void): () => void
  /** How the last request got through. */
  way(): 'prompt' | 'raw' | undefined
}

interface Message {
  id?: unknown
  method?: unknown
  params?: unknown
  result?: unknown
  error?: { code?: unknown; message?: unknown; data?: unknown }
}

const ESCAPES: { [character: string]: string } = { '"': '\\"', '\\': '\\\\', '\n': '\\n', '\r': '\\r' }

/** The lines for the prompt that hand over a text, each at most so long, no escape torn. */
export function hearLines(text: string): { line: string; bytes: number }[] {
  const lines: { line: string; bytes: number }[] = []
  let inner = ''
  let bytes = 0
  const flush = (): void => {
    if (bytes > 0) lines.push({ line: `\x10hear("${inner}")\n`, bytes })
    inner = ''
    bytes = 0
  }
  for (const one of text) {
    const code = one.charCodeAt(0)
    const escaped = ESCAPES[one] ?? (code < 32 || code > 126 ? `\\x${(code & 255).toString(16).padStart(2, '0')}` : one)
    if (inner.length + escaped.length > LONGEST_HEAR) flush()
    inner += escaped
    bytes++
  }
  flush()
  return lines
}

/** A framed message in ASCII: what is not stays readable as \u escapes. */
function asciiFrame(message: unknown): string {
  return framed(message)
    .split('')
    .map(one => (one > '~' ? `\\u${one.charCodeAt(0).toString(16).padStart(4, '0')}` : one))
    .join('')
}

/** Ends with the first message that `pick` takes, or with `undefined` when time is up. Throws when the port goes. */
function expectMessage<T>(link: Link, seconds: number, pick: (message: Message) => T | undefined) {
  let stop = (): void => {}
  let timer: NodeJS.Timeout
  const found = new Promise<T | undefined>(resolve => {
    timer = setTimeout(() => resolve(undefined), seconds * 1000)
    stop = link.onMessage(message => {
      if (typeof message !== 'object' || message === null) return
      const picked = pick(message as Message)
      if (picked !== undefined) resolve(picked)
    })
  })
  return Promise.race([found, link.gone]).finally(() => {
    clearTimeout(timer)
    stop()
  })
}

/** An error without an id is for a request that the base could not read; there is only ever one. */
function isReply(message: Message, id: number): boolean {
  return message.method === undefined && (message.id === id || (message.id === null && message.error !== undefined))
}

let requests = 1 + (Date.now() % 9000)

export function remoteOver(link: Link, waits: Waits): Remote {
  let way: 'prompt' | 'raw' | undefined

  /** True when the firmware took all of it. */
  const throughPrompt = async (text: string): Promise<boolean> => {
    let sinceTick = 0
    for (const { line, bytes } of hearLines(text)) {
      if (sinceTick + bytes > BYTES_A_TICK) {
        await pause(TICK_SECONDS)
        sinceTick = 0
      }
      sinceTick += bytes
      const heard = expectMessage(link, waits.hearSeconds, message =>
        message.method === 'heard' ? Number((message.params as { bytes?: unknown } | undefined)?.bytes) : undefined,
      )
      heard.catch(() => {})
      await link.send(line)
      if ((await heard) !== bytes) return false
    }
    return true
  }
  const request = async (method: string, params?: unknown, seconds = waits.replySeconds): Promise<unknown> => {
    const id = requests++
    const text = asciiFrame({ jsonrpc: '2.0', id, method, ...(params === undefined ? {} : { params }) })
    if (text.length - 2 > REST_CHARACTERS) throw tooLong(method, text.length - 2, REST_CHARACTERS)
    const reply = expectMessage(link, seconds + 5 * waits.hearSeconds + text.length / 1000, message =>
      isReply(message, id) ? message : undefined,
    )
    // A reply cannot be lost unheard when sending throws first.
    reply.catch(() => {})
    const raw = async (): Promise<void> => {
      await link.sendPaced(text)
      way = 'raw'
    }
    let toWaitSeconds = seconds
    if (way === 'raw') {
      await raw()
      const quickSeconds = Math.min(seconds, waits.hearSeconds * 2)
      const first = await Promise.race([reply, later(quickSeconds, link)])
      // No reply so far: the session may have ended and the prompt be back; it has thrown the raw text away.
      if (first === undefined && (await throughPrompt(text))) way = 'prompt'
      else toWaitSeconds -= quickSeconds
    } else if (await throughPrompt(text)) way = 'prompt'
    else await raw()
    const message = await Promise.race([reply, later(toWaitSeconds, link)])
    if (message === undefined) {
      way = undefined
      throw noAnswer(method, seconds)
    }
    if (message.error !== undefined) {
      const { code, message: words, data } = message.error
      throw new RemoteError(Number(code), String(words), data)
    }
    return message.result
  }
  return {
    request,
    way: () => way,
    async question(method, params, seconds) {
      for (let tries = 1; ; tries++) {
        try {
          return await request(method, params, seconds)
        } catch (thrown) {
          const lost = thrown instanceof LinkError && thrown.trouble === 'noAnswer'
          const garbled = thrown instanceof RemoteError && UNREADABLE.includes(thrown.code)
          if (tries === 3 || !(lost || garbled)) throw thrown
        }
      }
    },
    onNotification: hear =>
      link.onMessage(message => {
        const { method, params, id } = message as Message
        if (typeof method === 'string' && id === undefined && method !== 'heard') hear({ method, params })
      }),
  }
}

/** Nothing, after so long; throws when the port goes. */
function later(seconds: number, link: Link): Promise<undefined> {
  const time = new Promise<undefined>(resolve => {
    setTimeout(() => resolve(undefined), seconds * 1000).unref()
  })
  return Promise.race([time, link.gone])
}
