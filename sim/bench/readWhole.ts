/**
 * A file of the user, read whole. Its size is looked at first: a wrong name may stand for a film or a disk image, which
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
