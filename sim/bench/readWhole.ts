/**
 * A file of the user, read whole, and its text. Its size is looked at first: a wrong name may stand for a film or a disk image, which
 * would not fit into memory. What cannot be read is an `InputError`.
 */
import { readFileSync, statSync } from 'node:fs'
import { InputError, unreadable } from './inputError.ts'

export function readWhole(path: string, bytesAtMost: number): Uint8Array {
  let size: number
  try {
    size = statSync(path).size
    if (size <= bytesAtMost) return readFileSync(path)
  } catch (cause) {
    throw new InputError([unreadable(path, cause)])
  }
  const megabytes = (bytes: number): string => `${Math.ceil(bytes / 1e6)} MB`
  throw new InputError([
    `${path}: ${megabytes(size)}; allowed: up to ${megabytes(bytesAtMost)} (is it the right file?)`,
  ])
}

/** The text of a CSV. Throws `InputError` for UTF-16, as a spreadsheet's "Unicode text" is. */
export function csvText(bytes: Uint8Array, name: string): string {
  const [first, second] = bytes
  const isMarked = (first === 0xff && second === 0xfe) || (first === 0xfe && second === 0xff)
  if (isMarked || first === 0 || second === 0) {
    throw new InputError([`${name}: its text is UTF-16; allowed: UTF-8 (save it as "CSV UTF-8")`])
  }
  return new TextDecoder().decode(bytes)
}
