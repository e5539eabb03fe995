/**
 * The line to a board: what comes is searched for framed messages and for text that someone waits for, both among the
 * noise of a prompt. Assumes that questions are asked one at a time. When the port goes, every wait ends with `pulled`.
 */
import { frameFinder } from './frames.ts'
import { pulled } from './messages.ts'
import { openWire, type Wire } from './wire.ts'

/** What is kept of the text that nobody has waited for yet. */
const KEPT_CHARACTERS = 65_536
/** Raw text is sent in pieces: small boards have no flow control, and a board that is at work looks ten times a second. */
const PIECE_CHARACTERS = 64
const PIECE_SECONDS = 0.012

export interface Link {
  readonly path: string
  /** Sends at once. Throws `LinkError` (pulled). */
  send(text: string): Promise<void>
  /** Sends in small pieces with pauses, for a receiver that cannot say stop. */
  sendPaced(text: string): Promise<void>
  /** Waits for text that matches; gives the match and forgets everything up to its end. `undefined`: time is up. */
  waitFor(pattern: RegExp, seconds: number): Promise<RegExpExecArray | undefined>
  /** Text that came and that nobody has taken. */
  heard(): string
  /** Forgets the text that came. */
  forget(): void
  /** Characters that came since the port was opened. */
  heardCharacters(): number
  /** Framed messages that came. */
  messages(): number
  /** Hears every framed message; gives the way to stop. */
  onMessage(hear: (message: unknown) => void): () => void
  /** Ends with `LinkError` when the port goes; never otherwise. For those who wait for nothing else. */
  readonly gone: Promise<never>
  close(): Promise<void>
}

export const pause = (seconds: number): Promise<void> => new Promise(resolve => setTimeout(resolve, seconds * 1000))

/** A link over a wire that is open. */
export function linkOver(wire: Wire): Link {
  let kept = ''
  let characters = 0
  let messages = 0
  let ended = false
  let look: (() => void) | undefined
  const frames = frameFinder()
  const hearers: ((message: unknown) => void)[] = []
  let end: (why: Error) => void = () => {}
  const gone = new Promise<never>((_, reject) => {
    end = reject
  })
  gone.catch(() => {})

  wire.onText = text => {
    characters += text.length
    kept = (kept + text).slice(-KEPT_CHARACTERS)
    for (const message of frames.push(text)) {
      messages++
      for (const hear of [...hearers]) hear(message)
    }
    look?.()
  }
  wire.onEnd = () => {
    ended = true
    end(pulled(wire.path))
    look?.()
  }
  const send = async (text: string): Promise<void> => {
    if (ended) throw pulled(wire.path)
    try {
      await wire.write(text)
    } catch {
      wire.onEnd()
      throw pulled(wire.path)
    }
  }
  return {
    path: wire.path,
    gone,
    send,
    async sendPaced(text) {
      for (let at = 0; at < text.length; at += PIECE_CHARACTERS) {
        if (at > 0) await pause(PIECE_SECONDS)
        await send(text.slice(at, at + PIECE_CHARACTERS))
      }
    },
    waitFor: (pattern, seconds) =>
      new Promise((resolve, reject) => {
        const done = (): void => {
          clearTimeout(timer)
          look = undefined
        }
        const timer = setTimeout(() => {
          done()
          resolve(undefined)
        }, seconds * 1000)
        look = () => {
          const match = pattern.exec(kept)
          if (match !== null) {
            done()
            kept = kept.slice(match.index + match[0].length)
            resolve(match)
          } else if (ended) {
            done()
            reject(pulled(wire.path))
          }
        }
        look()
      }),
    heard: () => kept,
    forget: () => {
      kept = ''
    },
    heardCharacters: () => characters,
    messages: () => messages,
    onMessage(hear) {
      hearers.push(hear)
      return () => {
        const at = hearers.indexOf(hear)
        if (at >= 0) hearers.splice(at, 1)
      }
    },
    async close() {
      await wire.close()
    },
  }
}

/** Opens a port. Throws `LinkError` that says what to do. */
export async function openLink(path: string): Promise<Link> {
  return linkOver(await openWire(path))
}
