/**
 * Mends the end of the engine's file store after a power cut in the writing of a file's header. The engine takes such a
 * place for free and writes the next header over it; flash keeps the zeros of both, and a header of mixed bits cannot be
 * read, nor what is behind it: at worst the engine then erases the whole store. Here the torn header becomes that of an
 * empty deleted file (bits are only cleared), and the next file goes behind it.
 *
 * Assumes the store's layout as the engine has it: headers of 32 bytes (size in 24 bits, flags, name), data padded to 4,
 * a deleted file's name beginning with four zeros. Reads a header for each file, live or deleted.
 */
import type { EngineFlash } from '../engine.ts'

const HEADER_BYTES = 32

/** `address` and `bytes`: the store in flash. */
export function mendStore(flash: EngineFlash, address: number, bytes: number): void {
  const end = address + bytes
  let at = address
  let wasBlank = false
  while (at + HEADER_BYTES <= end) {
    const head = flash.read(HEADER_BYTES, at)
    let size = head[0] | (head[1] << 8) | (head[2] << 16)
    let blank = true
    for (let i = 0; i < HEADER_BYTES; i++) if (head[i] !== 255) blank = false
    if (blank) {
      // Where a file did not fit into the rest of a page, the chain goes on with the next page.
      if (wasBlank) return
      const page = flash.getPage(at)
      if (page === undefined) return
      at = page.addr + page.length
    } else {
      const isUnset = (head[0] & head[1] & head[2] & head[3]) === 255
      if (isUnset || (size === 0 && head[3] === 0) || at + HEADER_BYTES + size > end) size = close(flash, at, head)
      else if (head[4] === 0 && (head[5] | head[6] | head[7]) !== 0) flash.write(new Uint8Array(4), at + 4)
      at += HEADER_BYTES + ((size + 3) & ~3)
    }
    wasBlank = blank
  }
}

/** Leaves one bit of the size and flags, which the torn header has, and deletes. Gives the size that this makes. */
function close(flash: EngineFlash, at: number, head: Uint8Array): number {
  const closed = new Uint8Array(8)
  let byte = 3
  while (byte > 0 && head[byte] === 0) byte--
  closed[byte] = head[byte] & -head[byte]
  flash.write(closed, at)
  return closed[0] | (closed[1] << 8) | (closed[2] << 16)
}
