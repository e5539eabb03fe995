/**
 * Talking to the prompt of the board's engine. Assumes that its lines are at most 400 bytes and that it may not be ready:
 * noise stands around every answer, a byte may be lost or changed on either way, and code may be running.
 *
 * So a question and its answer both carry a number and a CRC: a line that came over wrong is not carried out, an answer
 * that came over wrong is asked for again. Interrupts are sent singly and seldom, since two in a row end the engine where
 * it runs as a program of a computer. What cannot be answered after several tries ends with `LinkError` (boardLost).
 */
import { crc32 } from '../crc32.ts'
import { type Link, pause } from './link.ts'
import { boardLost, garbage, type LinkError, notEngine, silent } from './messages.ts'
import type { Waits } from './waits.ts'

/** At the start of a line: no echo, no result. */
const QUIET = '\x10'
const INTERRUPT = '\x03'
const TRIES = 5
/** The engine's line buffer on small boards. */
export const LONGEST_LINE = 400

/** What the board says of itself. */
export interface Greeting {
  /** The engine's name of the board, such as PICO. */
  board: string
  engineVersion: string
  /** A firmware that listens runs. */
  firmware: boolean
  /** It was started by the guard, so a watchdog may be armed. */
  guarded: boolean
}

export interface Prompt {
  /** Puts the checked-question helper on the board; needed once, and again after a reset. Throws `LinkError`. */
  install(): Promise<void>
  /** Evaluates an expression on the board, gives its value. Throws `LinkError`, or `BoardError` with the board's reason. */
  ask(expression: string, seconds?: number): Promise<unknown>
  /** A line that is carried out without an answer. */
  tell(line: string): Promise<void>
}

/** The expression threw on the board: `message` is the board's own. */
export class BoardError extends Error {}

export const crcOf = (text: string): number => crc32(Buffer.from(text, 'latin1'))

/** The helper on the board: evaluates `x` when `c` is the CRC of number and text, prints what comes of it. */
const HELPER =
  "(function(i,c,x,r){if(E.CRC32(i+x)!=c)r='?';else try{r=JSON.stringify(eval(x))}catch(e){r='!'+e}" +
  "print('<eb'+i+'>'+r+'|'+E.CRC32(i+r)+'<be>')})"

/** A JS string literal between single quotes. */
export function quoted(text: string): string {
  const inner = text.replace(/[\\']/g, '\\$&').replace(/[^ -~]/g, one => {
    const code = one.charCodeAt(0)
    return code === 10 ? '\\n' : `\\x${code.toString(16).padStart(2, '0')}`
  })
  return `'${inner}'`
}

/** The answer to question `id`, whole and right, if the match holds one. `undefined`: came over wrong. */
function answerIn(id: string, match: RegExpExecArray): string | undefined {
  const [, text, crc] = match
  return text !== undefined && Number(crc) === crcOf(id + text) ? text : undefined
}

/** Ends when the answer to `id` or an error of the engine came: the answer, or `undefined` (wrong, error, time is up). */
async function listen(link: Link, id: string, seconds: number): Promise<{ text?: string; late: boolean }> {
  const match = await link.waitFor(new RegExp(`<eb${id}>(.*?)\\|(\\d+)<be>|Uncaught [^\\n]*\\n`), seconds)
  if (match === undefined) return { late: true }
  const text = answerIn(id, match)
  return text === undefined ? { late: false } : { text, late: false }
}

let questions = 100 + (Date.now() % 800)
const nextId = (): string => String(questions++)

/**
 * Asks the board who it is, without changing anything on it. `undefined`: no answer from a prompt. With `interrupt` a
 * half-typed line or running code is cleared first.
 */
export async function greet(link: Link, waits: Waits, interrupt: boolean): Promise<Greeting | undefined> {
  const id = nextId()
  link.forget()
  if (interrupt) {
    await link.send(INTERRUPT)
    await pause(Math.min(0.3, waits.answerSeconds / 4))
    if (/debug>\s*$/.test(link.heard())) await link.send('quit\n')
  }
  await link.send(
    `${QUIET}(function(i,r){print("<eb"+i+">"+r+"|"+E.CRC32(i+r)+"<be>")})("${id}",` +
      'JSON.stringify([process.env.BOARD,process.version,typeof hear,typeof guard]))\n',
  )
  const { text } = await listen(link, id, waits.answerSeconds)
  if (text === undefined) return undefined
  const [board, engineVersion, hear, guard] = JSON.parse(text) as string[]
  return {
    board: String(board),
    engineVersion: String(engineVersion),
    firmware: hear === 'function',
    guarded: guard !== 'undefined',
  }
}

const WHITE = '\t\r\n\x1b'

/** Why there was no answer, from what came instead. */
export function noGreeting(link: Link): LinkError {
  const heard = link.heard()
  if (link.heardCharacters() === 0) return silent(link.path)
  const odd = [...heard].filter(one => !(one >= ' ' && one <= '~') && !WHITE.includes(one)).length
  if (odd > heard.length / 5) return garbage(link.path)
  const words = heard.replace(/[^ -~]+/g, ' ').trim()
  return notEngine(link.path, JSON.stringify(words.slice(-60)))
}

export function promptOver(link: Link, waits: Waits): Prompt {
  let interruptedAt = -Infinity

  /** Gets the prompt out of a line that it takes for unfinished. */
  const recover = async (): Promise<void> => {
    const seconds = Date.now() / 1000
    if (seconds - interruptedAt < waits.interruptSeconds) return
    interruptedAt = seconds
    await link.send(INTERRUPT)
    await pause(Math.min(0.3, waits.answerSeconds / 4))
    if (/debug>\s*$/.test(link.heard())) await link.send('quit\n')
  }
  const ask = async (expression: string, seconds = waits.answerSeconds): Promise<unknown> => {
    const id = nextId()
    const line = `${QUIET}eb('${id}',${crcOf(id + expression)},${quoted(expression)})\n`
    if (line.length > LONGEST_LINE) throw new Error(`a line of ${line.length} characters for the prompt`)
    link.forget()
    for (let tries = 0; tries < TRIES; tries++) {
      await link.send(line)
      const { text, late } = await listen(link, id, tries === 0 ? seconds : 2 * seconds)
      if (text !== undefined && text !== '?') {
        if (text.startsWith('!')) throw new BoardError(text.slice(1))
        return text === 'undefined' ? null : JSON.parse(text)
      }
      // Once late may be a slow board or a lost answer; twice is a prompt that waits for more of a garbled line.
      if (late && tries > 0) await recover()
    }
    throw boardLost(link.path)
  }
  return {
    ask,
    tell: line => link.send(`${QUIET}${line}\n`),
    async install() {
      const line = `global.eb=(function(x){return E.CRC32(x)==${crcOf(HELPER)}?eval(x):0})("${HELPER}")`
      for (let tries = 0; tries < TRIES; tries++) {
        await link.send(`${QUIET}${line}\n`)
        const id = nextId()
        await link.send(`${QUIET}eb('${id}',${crcOf(`${id}1`)},'1')\n`)
        const { text, late } = await listen(link, id, waits.answerSeconds)
        if (text === '1') return
        if (late) await recover()
      }
      throw boardLost(link.path)
    },
  }
}
