/**
 * Framed messages in a stream of anything: one message is 0x1E, JSON text, 0x0A (RFC 7464, JSON text sequences). What
 * stands outside is noise of the prompt and is left out. A message that is no JSON is counted and dropped: whoever waits
 * for it asks again.
 */

export const FRAME_START = '\x1e'
export const FRAME_END = '\n'

/** More than any reply of the base; a start without an end does not fill the memory. */
const LONGEST_FRAME = 65_536

export interface FrameFinder {
  /** Feeds what came; gives the messages that it completes, in order. */
  push(text: string): unknown[]
  /** Messages that were no JSON, since the start. */
  garbled(): number
}

/** One message as it goes over the line. */
export function framed(message: unknown): string {
  return FRAME_START + JSON.stringify(message).replaceAll('>', '\\u003e') + FRAME_END
}

const ESCAPE = '\x1b'
/** Stands for an escape while noise is taken out; no message holds it, for messages are ASCII. */
const ESCAPE_MARK = '\u241b'
/**
 * What the prompt may put in the middle of a message that leaves the board in pieces: redrawn prompts, ends of lines. The
 * base's own messages hold a `>` only escaped.
 */
const PROMPT_NOISE = /\r?\u241b\[\d*[A-Z]|\r\n|\r|>/g

export function frameFinder(): FrameFinder {
  let open: string | undefined
  let garbled = 0

  const parsed = (text: string): unknown => {
    try {
      return JSON.parse(text.replaceAll(ESCAPE, ESCAPE_MARK).replace(PROMPT_NOISE, ''))
    } catch {
      return undefined
    }
  }
  return {
    garbled: () => garbled,
    push(text) {
      const found: unknown[] = []
      // A start always begins anew: what stood open before it was cut off.
      for (const [i, piece] of text.split(FRAME_START).entries()) {
        let rest = piece
        if (i > 0) {
          if (open !== undefined) garbled++
          open = ''
        }
        while (open !== undefined) {
          const end = rest.indexOf(FRAME_END)
          open += end < 0 ? rest : rest.slice(0, end + 1)
          if (end < 0) break
          rest = rest.slice(end + 1)
          const message = parsed(open)
          if (message !== undefined) {
            found.push(message)
            open = undefined
          } else if (!open.endsWith('\r\n')) {
            // The board ends a message with a bare line feed; the prompt's own lines end with both.
            garbled++
            open = undefined
          }
        }
        if (open !== undefined && open.length > LONGEST_FRAME) {
          garbled++
          open = undefined
        }
      }
      return found
    },
  }
}
