/**
 * Finds requests in what comes down the line: each is 0x1E, a JSON text on one line, 0x0A (RFC 7464). All else is noise.
 *
 * Assumes nothing of the bytes. What is kept is bounded; a text longer than that is dropped whole and said so once; one
 * whose end does not come within 5 s is forgotten. Looks at whole strings with the engine's own searches and never at
 * each character: that would take the board a second for two thousand of them.
 */

const BEGIN = '\x1e'
const END = '\n'
/** The escape: five interrupts in a row. No JSON text holds one. */
const ESCAPE = '\x03\x03\x03\x03\x03'
/** The longest request in a session, and at rest, where recipes with their sources come. */
export const SESSION_CHARACTERS = 2048
export const REST_CHARACTERS = 4096
export const HALF_SECONDS = 5
/** A request needs seven: params, recipe, baths, a bath, rows, a row in the request itself. */
const DEEPEST = 9
/** Brackets of a recipe of 16 baths with a row of each kind; more is no request. */
const MOST_BRACKETS = 600
const MOST_BRACKETS_IN_SESSION = 60

export interface Frames {
  /** Empty, or what came since a 0x1E, it included. */
  held: string
  /** When the last of it came. */
  cameSeconds: number
  /** Something did not fit: all is noise up to the next 0x1E. */
  skipping: boolean
  /** The last interrupts seen. */
  interrupts: string
  /** Five interrupts came; whoever has seen it sets it back. */
  escape: boolean
  /** A text was too long; whoever has said so sets it back. */
  tooLong: boolean
}

export function createFrames(): Frames {
  return { held: '', cameSeconds: 0, skipping: false, interrupts: '', escape: false, tooLong: false }
}

/** Takes in what has come, if anything, and gives the next whole request without its frame; `undefined` when there is none. */
export function nextFrame(
  frames: Frames,
  came: string | undefined,
  mostCharacters: number,
  nowSeconds: number,
): string | undefined {
  if (came !== undefined) take(frames, withoutEscape(frames, came), mostCharacters, nowSeconds)
  const held = frames.held
  if (held === '') return undefined
  const end = held.indexOf(END)
  if (end < 0) {
    if (frames.skipping || nowSeconds - frames.cameSeconds > HALF_SECONDS) {
      frames.tooLong = frames.skipping
      frames.held = ''
    }
    return undefined
  }
  const rest = held.substr(end + 1)
  const next = rest.indexOf(BEGIN)
  frames.held = next < 0 ? '' : rest.substr(next)
  const text = held.substring(1, end)
  // One that was cut off by the next begins anew with that.
  return text.indexOf(BEGIN) < 0 ? text : text.substr(text.lastIndexOf(BEGIN) + 1)
}

function take(frames: Frames, came: string, mostCharacters: number, nowSeconds: number): void {
  let text = came
  if (text === '') return
  if (frames.held === '' || frames.skipping) {
    const begin = text.indexOf(BEGIN)
    if (begin < 0) return
    text = text.substr(begin)
    frames.skipping = false
  }
  const room = mostCharacters + 2 - frames.held.length
  if (text.length > room) {
    text = text.substr(0, room > 0 ? room : 0)
    frames.skipping = true
  }
  frames.held += text
  frames.cameSeconds = nowSeconds
}

/** Whatever stands before an escape is forgotten. */
function withoutEscape(frames: Frames, came: string): string {
  if (came.indexOf('\x03') < 0) {
    if (came !== '') frames.interrupts = ''
    return came
  }
  const all = frames.interrupts + came
  const at = all.lastIndexOf(ESCAPE)
  if (at >= 0) {
    frames.escape = true
    frames.interrupts = ''
    frames.held = ''
    frames.skipping = false
    return all.substr(at + ESCAPE.length)
  }
  let last = all.length
  while (last > 0 && all.length - last < ESCAPE.length - 1 && all.charAt(last - 1) === '\x03') last--
  frames.interrupts = all.substr(last)
  return came
}

/**
 * Whether a text is nested deeper, or holds more brackets, than any request: the engine's parser calls itself for every
 * level without looking at its stack. Brackets in strings count too.
 */
export function isTangled(text: string, inSession: boolean): boolean {
  const brackets = text.replace(/\[/g, '{').replace(/]/g, '}')
  let left = inSession ? MOST_BRACKETS_IN_SESSION : MOST_BRACKETS
  let depth = 0
  let open = brackets.indexOf('{')
  let close = brackets.indexOf('}')
  while (open >= 0) {
    if (close >= 0 && close < open) {
      depth--
      close = brackets.indexOf('}', close + 1)
    } else {
      depth++
      open = brackets.indexOf('{', open + 1)
    }
    if (--left < 0 || depth > DEEPEST) return true
  }
  return false
}
