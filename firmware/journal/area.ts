/**
 * Records in one half of the store. Each block of flash begins with a record and no record crosses into the next block,
 * so that the newest is found by looking at the first byte of each block and walking one of them: a board reads a
 * thousand times slower than a laptop.
 *
 * A block that begins with a word of zeros could not be erased any more and is left out: what stands in it is nothing.
 * What a power cut or a worn page left half written is stepped over: a record is searched for again at every whole word.
 */
import type { ByteStore } from '../../hal/board.ts'
import { type Crc32, claimedBytes, createFound, decodeRecord, type Found, HEADER_BYTES, word } from './record.ts'

const WORD_BYTES = 4
const ERASED = 0xff
/** Looked at in one go when a stretch is checked for being erased. */
const STRETCH_BYTES = 256

/** True where a block begins that is left out. */
export function isLeftOut(store: ByteStore, at: number): boolean {
  return at % store.blockBytes === 0 && word(store.read(at, WORD_BYTES), 0) === 0
}

/** True where nothing was written at this address. */
export function isBlank(store: ByteStore, at: number): boolean {
  return store.read(at, 1)[0] === ERASED
}

/** The whole record at `address`, filled into `found`; false when there is none. */
export function readRecord(store: ByteStore, crc32: Crc32, address: number, end: number, found: Found): boolean {
  if (address + HEADER_BYTES > end) return false
  const bytes = claimedBytes(store.read(address, HEADER_BYTES))
  if (bytes === 0 || address + bytes > end) return false
  return decodeRecord(store.read(address, bytes), address, crc32, found)
}

/**
 * The next whole record from `address` on, before `end`; false when there is none. Steps over what is damaged, block by
 * block: an erased word ends the block it stands in, unless something was written behind it.
 */
export function nextRecord(store: ByteStore, crc32: Crc32, address: number, end: number, found: Found): boolean {
  let at = address
  while (at < end) {
    const blockEnd = Math.min(end, (Math.floor(at / store.blockBytes) + 1) * store.blockBytes)
    if (isLeftOut(store, at) || (isBlank(store, at) && isErased(store, crc32, at, blockEnd))) at = blockEnd
    else if (readRecord(store, crc32, at, blockEnd, found)) return true
    else at += WORD_BYTES
  }
  return false
}

/** True when no bit between `from` and `to` was cleared. */
export function isErased(store: ByteStore, crc32: Crc32, from: number, to: number): boolean {
  const blank = new Uint8Array(STRETCH_BYTES)
  for (let i = 0; i < STRETCH_BYTES; i++) blank[i] = ERASED
  const blankCrc = crc32(blank)
  let at = from
  for (; at + STRETCH_BYTES <= to; at += STRETCH_BYTES) {
    if (crc32(store.read(at, STRETCH_BYTES)) !== blankCrc) return false
  }
  const rest = store.read(at, to - at)
  for (let i = 0; i < rest.length; i++) if (rest[i] !== ERASED) return false
  return true
}

/** Where the records of one area end. */
export interface AreaEnd {
  /** Where the next record goes: everything from here to the area's end is erased. */
  freeAddress: number
  /** The newest whole record; its `bytes` are 0 when the area has none. */
  newest: Found
}

/** Looks for the end of the records between `begin` and `end`, both at the beginning of a block. */
export function findAreaEnd(store: ByteStore, crc32: Crc32, begin: number, end: number): AreaEnd {
  const newest = createFound()
  let block = end - store.blockBytes
  while (block > begin && (isLeftOut(store, block) || isErased(store, crc32, block, block + store.blockBytes)))
    block -= store.blockBytes
  const blockEnd = block + store.blockBytes
  let at = isLeftOut(store, block) ? blockEnd : block
  while (nextRecord(store, crc32, at, blockEnd, newest)) at = newest.address + newest.bytes
  // Behind the newest whole record there may be the beginning of one that was cut off.
  while (at < blockEnd && !isErased(store, crc32, at, blockEnd)) at += WORD_BYTES
  // A block that holds nothing whole sends the search for the newest record back to the one before.
  for (let before = block - store.blockBytes; newest.bytes === 0 && before >= begin; before -= store.blockBytes) {
    for (let from = before; nextRecord(store, crc32, from, before + store.blockBytes, newest); ) {
      from = newest.address + newest.bytes
    }
  }
  return { freeAddress: at, newest: newest }
}
