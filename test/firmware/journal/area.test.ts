/** Records in one area of flash: found in order, over damage, block by block, with the fewest looks. */
import { expect, test } from 'vitest'
import { findAreaEnd, isErased, isLeftOut, nextRecord, readRecord } from '../../../firmware/journal/area.ts'
import { createFound, encodeRecord, KIND } from '../../../firmware/journal/record.ts'
import { crc32 } from '../../../sim/crc32.ts'
import { TornStore } from './tornStore.ts'

const BLOCK = 512
const BYTES = 4 * BLOCK
/** Payload of 24 bytes: 36 bytes in all. */
const RECORD = 36

function put(store: TornStore, address: number, sequence: number): void {
  store.cells.set(encodeRecord(KIND.checkpoint, sequence, new Uint8Array(24).fill(sequence), crc32), address)
}

function sequences(store: TornStore, from = 0, to = BYTES): number[] {
  const found = createFound()
  const all: number[] = []
  for (let at = from; nextRecord(store, crc32, at, to, found); at = found.address + found.bytes)
    all.push(found.sequence)
  return all
}

test('a record is read where it stands whole before the end, and nowhere else', () => {
  const store = new TornStore(BYTES, BLOCK)
  put(store, 100, 7)
  const found = createFound()
  expect(readRecord(store, crc32, 100, 100 + RECORD, found)).toBe(true)
  expect(found).toMatchObject({ address: 100, bytes: RECORD, sequence: 7 })
  expect(readRecord(store, crc32, 100, 100 + RECORD - 1, createFound())).toBe(false)
  expect(readRecord(store, crc32, 104, BYTES, createFound())).toBe(false)
})

test('nothing is read beyond the end of the store, however little is left', () => {
  const store = new TornStore(BYTES, BLOCK)
  for (const left of [0, 4, 7, 8]) expect(readRecord(store, crc32, BYTES - left, BYTES, createFound())).toBe(false)
})

test('records are found in order over damage and from block to block', () => {
  const store = new TornStore(BYTES, BLOCK)
  put(store, 0, 1)
  put(store, RECORD, 2)
  put(store, 2 * RECORD, 3)
  store.cells[RECORD + 12] = 0
  put(store, BLOCK, 4)
  put(store, 3 * BLOCK, 5)
  expect(sequences(store)).toEqual([1, 3, 4, 5])
  expect(sequences(store, RECORD)).toEqual([3, 4, 5])
  expect(sequences(store, 0, BLOCK)).toEqual([1, 3])
})

test('a record behind a few words that were never written is found all the same', () => {
  const store = new TornStore(BYTES, BLOCK)
  put(store, 0, 1)
  put(store, 200, 2)
  expect(sequences(store)).toEqual([1, 2])
})

test('a record that would run over the end of its block is none', () => {
  const store = new TornStore(BYTES, BLOCK)
  put(store, BLOCK - RECORD, 1)
  put(store, 2 * BLOCK - RECORD + 4, 2)
  expect(sequences(store)).toEqual([1])
})

test('one cleared bit anywhere in a stretch is seen; what lies outside is not looked at', () => {
  for (const bytes of [256, 512, 300, 100, 4]) {
    for (const at of [0, 1, 99, 255, 256, 299, 511]) {
      const store = new TornStore(2048, BLOCK)
      store.cells[1000 + at] = 0xfe
      expect(isErased(store, crc32, 1000, 1000 + bytes), `${at} of ${bytes}`).toBe(at >= bytes)
      expect(isErased(store, crc32, 1001 + at, 2048)).toBe(true)
    }
  }
  expect(isErased(new TornStore(2048, BLOCK), crc32, 0, 2048)).toBe(true)
})

test('an empty area ends at its beginning and has no newest record', () => {
  const { freeAddress, newest } = findAreaEnd(new TornStore(BYTES, BLOCK), crc32, BLOCK, BYTES)
  expect([freeAddress, newest.bytes]).toEqual([BLOCK, 0])
})

test('the next record goes behind the newest', () => {
  const store = new TornStore(BYTES, BLOCK)
  for (let i = 0; i < 14; i++) put(store, i * RECORD, i + 1)
  expect(findAreaEnd(store, crc32, 0, BYTES)).toMatchObject({ freeAddress: 14 * RECORD, newest: { sequence: 14 } })
  put(store, BLOCK, 15)
  expect(findAreaEnd(store, crc32, 0, BYTES)).toMatchObject({ freeAddress: BLOCK + RECORD, newest: { sequence: 15 } })
})

test('behind the newest record, what was cut off is stepped over word by word', () => {
  const store = new TornStore(BYTES, BLOCK)
  put(store, 0, 1)
  store.cells.fill(0x5a, RECORD, RECORD + 10)
  expect(findAreaEnd(store, crc32, 0, BYTES)).toMatchObject({ freeAddress: RECORD + 12, newest: { sequence: 1 } })
})

test('where the last blocks hold nothing whole, the newest record is looked for in those before', () => {
  const store = new TornStore(BYTES, BLOCK)
  put(store, 0, 1)
  put(store, RECORD, 2)
  store.cells.fill(0x10, BLOCK, BLOCK + 8)
  expect(findAreaEnd(store, crc32, 0, BYTES)).toMatchObject({ freeAddress: BLOCK + 8, newest: { sequence: 2 } })
  store.cells.fill(0x10, 2 * BLOCK, 3 * BLOCK)
  expect(findAreaEnd(store, crc32, 0, BYTES)).toMatchObject({ freeAddress: 3 * BLOCK, newest: { sequence: 2 } })
  // Nothing before the area is looked at.
  expect(findAreaEnd(store, crc32, BLOCK, BYTES).newest.bytes).toBe(0)
})

test('a block that begins with a word of zeros is left out: what stands in it is nothing, and nothing goes into it', () => {
  const store = new TornStore(BYTES, BLOCK)
  put(store, 0, 8)
  put(store, BLOCK, 3)
  put(store, BLOCK + RECORD, 4)
  put(store, 2 * BLOCK, 9)
  put(store, 3 * BLOCK, 5)
  for (const at of [BLOCK, 3 * BLOCK]) store.cells.fill(0, at, at + 4)
  expect([0, 2, BLOCK, BLOCK + 4, 2 * BLOCK, 3 * BLOCK].filter(at => isLeftOut(store, at))).toEqual([BLOCK, 3 * BLOCK])
  expect(sequences(store)).toEqual([8, 9])
  expect(findAreaEnd(store, crc32, 0, BYTES)).toMatchObject({
    freeAddress: 2 * BLOCK + RECORD,
    newest: { sequence: 9 },
  })
  // A first block that is left out has its end behind it.
  expect(findAreaEnd(store, crc32, 3 * BLOCK, BYTES)).toMatchObject({ freeAddress: BYTES, newest: { bytes: 0 } })
})

test('a full area ends at its end', () => {
  const store = new TornStore(BYTES, BLOCK)
  store.cells.fill(0x10)
  put(store, 3 * BLOCK, 9)
  expect(findAreaEnd(store, crc32, 0, BYTES)).toMatchObject({ freeAddress: BYTES, newest: { sequence: 9 } })
})

test('the newest record of a large empty area is found with few looks: a board reads slowly', () => {
  const store = new TornStore(64 * BLOCK, BLOCK)
  for (let block = 0; block < 40; block++) {
    for (let i = 0; i < 14; i++) put(store, block * BLOCK + i * RECORD, 14 * block + i + 1)
  }
  let looked = 0
  const read = store.read.bind(store)
  store.read = (address, length) => {
    looked += length
    return read(address, length)
  }
  expect(findAreaEnd(store, crc32, 0, 64 * BLOCK).newest.sequence).toBe(14 * 40)
  // The 24 erased blocks once, and the one that is being written.
  expect(looked).toBeLessThan(28 * BLOCK)
})
