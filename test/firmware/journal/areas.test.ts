/** Two areas that take turns: what is opened, what makes room, what is carried and when the older one may go. */
import { expect, test } from 'vitest'
import {
  appendRecord,
  forEachRecord,
  type Journal,
  openJournal,
  SUMMARIES_KEPT,
  tendJournal,
  wantsRest,
} from '../../../firmware/journal/journal.ts'
import { encodeRecord, KIND } from '../../../firmware/journal/record.ts'
import { crc32 } from '../../../sim/crc32.ts'
import { TornStore } from './tornStore.ts'

const BLOCK = 512
/** Payloads of 24 bytes make records of 36. */
const RECORD = 36

const payload = (number: number, bytes = 24): Uint8Array => {
  const made = new Uint8Array(bytes)
  new DataView(made.buffer).setUint32(0, number, true)
  return made
}

function opened(blocks = 4): { store: TornStore; journal: Journal } {
  const store = new TornStore(blocks * BLOCK, BLOCK)
  return { store, journal: openJournal(store, crc32) }
}

const write = (journal: Journal, number: number): boolean => appendRecord(journal, KIND.checkpoint, payload(number))

function sequences(journal: Journal): number[] {
  const all: number[] = []
  forEachRecord(journal, ({ sequence }) => all.push(sequence))
  return all
}

/** Writes until the other area has been taken into use. */
function fill(journal: Journal): void {
  const { areasTaken } = journal
  for (let i = 1; journal.areasTaken === areasTaken; i++) {
    expect(write(journal, i)).toBe(true)
    expect(i).toBeLessThan(2000)
  }
}

function tend(journal: Journal, times: number, mayErase = true): void {
  for (let i = 0; i < times; i++) tendJournal(journal, mayErase)
}

/** Everything worth keeping, one record at each call; nothing is erased meanwhile. */
function carryAll(journal: Journal): void {
  for (let i = 0; i < 1000 && !isNaN(journal.carryAddress); i++) tendJournal(journal, false)
  expect(journal.carryAddress).toBeNaN()
}

test('an empty store opens as an empty journal that begins in its first area', () => {
  const { journal } = opened()
  expect(journal).toMatchObject({ area: 0, freeAddress: 0, sequence: 0, areasTaken: 0, areaBytes: 2 * BLOCK, lost: 0 })
  expect([journal.carryAddress, journal.eraseAddress]).toEqual([NaN, NaN])
  expect(wantsRest(journal)).toBe(false)
})

test('an odd block stays unused', () => {
  expect(opened(5).journal.areaBytes).toBe(2 * BLOCK)
})

test('a store of rubbish is erased, both areas, before anything is written', () => {
  const store = new TornStore(4 * BLOCK, BLOCK)
  store.fill(new Uint8Array(4 * BLOCK).fill(0x33))
  const journal = openJournal(store, crc32)
  expect(write(journal, 1)).toBe(false)
  tend(journal, 2)
  expect(store.erases).toEqual([1, 1, 0, 0])
  expect(write(journal, 2)).toBe(true)
  expect(journal).toMatchObject({ area: 0, areasTaken: 1 })
  tend(journal, 10)
  expect(store.erases).toEqual([1, 1, 1, 1])
  expect(sequences(journal)).toEqual([1, 2, 3])
})

test('rubbish in the second area alone is found, too', () => {
  const store = new TornStore(4 * BLOCK, BLOCK)
  store.cells[4 * BLOCK - 1] = 0
  expect(write(openJournal(store, crc32), 1)).toBe(false)
})

test('opened again, it goes on behind its newest record, with the next number', () => {
  const { store, journal } = opened()
  for (let i = 1; i <= 3; i++) write(journal, i)
  const again = openJournal(store, crc32)
  expect(again).toMatchObject({ area: 0, freeAddress: 3 * RECORD, sequence: 3, areasTaken: 0 })
  write(again, 4)
  expect(sequences(openJournal(store, crc32))).toEqual([1, 2, 3, 4])
})

test('of two areas the one with the newer record is in use, whichever it is', () => {
  for (const [first, second, area] of [
    [5, 9, 1],
    [9, 5, 0],
  ] as const) {
    const store = new TornStore(4 * BLOCK, BLOCK)
    store.cells.set(encodeRecord(KIND.checkpoint, first, payload(1), crc32), 0)
    store.cells.set(encodeRecord(KIND.checkpoint, second, payload(2), crc32), 2 * BLOCK)
    const journal = openJournal(store, crc32)
    expect(journal).toMatchObject({ area, sequence: 9, olderSequence: 5, freeAddress: 2 * BLOCK * area + RECORD })
    // Nothing says that all was carried: that is done first, from what is not here on.
    expect(journal.carryAddress).toBe(2 * BLOCK * (2 - area))
    expect(sequences(journal)).toEqual([5, 9])
  }
})

test('the second area alone is in use when only it has records', () => {
  const store = new TornStore(4 * BLOCK, BLOCK)
  store.cells.set(encodeRecord(KIND.checkpoint, 3, payload(1), crc32), 2 * BLOCK)
  const journal = openJournal(store, crc32)
  expect(journal).toMatchObject({ area: 1, sequence: 3, olderSequence: 0 })
  expect([journal.carryAddress, journal.eraseAddress]).toEqual([NaN, NaN])
})

test('an older area that holds nothing whole is erased without being carried', () => {
  const store = new TornStore(4 * BLOCK, BLOCK)
  store.cells.set(encodeRecord(KIND.checkpoint, 3, payload(1), crc32), 0)
  store.cells[3 * BLOCK] = 0
  const journal = openJournal(store, crc32)
  expect(journal).toMatchObject({ area: 0, eraseAddress: 2 * BLOCK, carryAddress: NaN })
})

test('an area that says that all was carried into it waits for erasing alone', () => {
  const { store, journal } = opened()
  fill(journal)
  tend(journal, 1, false)
  expect(journal.carryAddress).not.toBeNaN()
  carryAll(journal)
  const again = openJournal(store, crc32)
  expect(again).toMatchObject({
    carryAddress: NaN,
    eraseAddress: journal.eraseAddress,
    needAddress: journal.needAddress,
  })
  expect(again.olderSequence).toBe(journal.olderSequence)
})

test('no record crosses a block, and each block is filled to its last whole record', () => {
  const { store, journal } = opened()
  for (let i = 1; i <= 20; i++) write(journal, i)
  expect(Math.floor(BLOCK / RECORD)).toBe(14)
  expect(journal.freeAddress).toBe(BLOCK + 6 * RECORD)
  expect(store.cells[14 * RECORD]).toBe(0xff)
  expect(sequences(journal)).toEqual(Array.from({ length: 20 }, (_, i) => i + 1))
})

test('a block that a record fills exactly is not left out', () => {
  const { journal } = opened()
  // Two of 252 bytes and one of 8 less leave nothing: 252 + 248 + 12.
  appendRecord(journal, KIND.checkpoint, new Uint8Array(240))
  appendRecord(journal, KIND.checkpoint, new Uint8Array(236))
  expect(appendRecord(journal, KIND.checkpoint, new Uint8Array(0))).toBe(true)
  expect(journal.freeAddress).toBe(BLOCK)
  write(journal, 4)
  expect(journal.freeAddress).toBe(BLOCK + RECORD)
})

test('the other area begins with a record that says so, and the one before is the older', () => {
  const { journal } = opened()
  fill(journal)
  expect(journal).toMatchObject({ area: 1, areasTaken: 1, olderSequence: 28, carryAddress: 0 })
  const kinds: number[] = []
  forEachRecord(journal, ({ kind }) => kinds.push(kind))
  expect(kinds.slice(28)).toEqual([KIND.areaBegun, KIND.checkpoint])
  expect(journal.sequence).toBe(30)
})

test('while it carries, room is kept for what is still to be carried, and no more', () => {
  for (const summaries of [0, 4, 12, 40]) {
    const { journal } = opened(8)
    for (let session = 1; session <= summaries; session++) appendRecord(journal, KIND.summary, payload(session))
    fill(journal)
    let written = 0
    while (written < 1000 && write(journal, written)) written++
    expect(journal.lost).toBe(1)
    const taken = journal.freeAddress - 4 * BLOCK
    // Half of the area is for summaries; what a block leaves at its end is lost.
    const carried = Math.min(summaries * RECORD, 2 * BLOCK)
    expect(taken, `${summaries}`).toBeLessThanOrEqual(4 * BLOCK - carried)
    expect(taken, `${summaries}`).toBeGreaterThan(4 * BLOCK - carried - 12 - 3 * 84 - 2 * RECORD)
    carryAll(journal)
    expect(journal.lost, `${summaries}`).toBe(1)
    expect(journal.here.length, `${summaries}`).toBe(Math.min(summaries, Math.floor((2 * BLOCK) / RECORD)))
  }
})

test('a board that starts again and again while it carries leaves room for what is written anew', () => {
  const { journal } = opened(8)
  fill(journal)
  while (appendRecord(journal, KIND.started, payload(1, 12)));
  while (appendRecord(journal, KIND.event, payload(1, 16)));
  for (const bytes of [4, 76, 72, 60, 232]) {
    expect(appendRecord(journal, KIND.learned, payload(1, bytes)), `${bytes}`).toBe(true)
  }
})

test('summaries are left behind, oldest first, where they would take more than half of an area', () => {
  const { store, journal } = opened(8)
  for (let session = 1; session <= 40; session++) appendRecord(journal, KIND.summary, payload(session))
  fill(journal)
  carryAll(journal)
  const kept = Math.floor((2 * BLOCK) / RECORD)
  expect(journal.here).toEqual(Array.from({ length: kept }, (_, i) => 41 - kept + i))
  const again = openJournal(store, crc32)
  expect(again.here).toEqual(journal.here)
  expect(again.newestSession).toBe(40)
})

test('the older area goes when half of the room behind what was carried is used, or sooner when all of it was pulled', () => {
  const { store, journal } = opened(8)
  fill(journal)
  carryAll(journal)
  const carriedAt = journal.freeAddress - 12
  expect(journal.needAddress).toBe((carriedAt + 8 * BLOCK) / 2)
  expect(wantsRest(journal)).toBe(false)
  tend(journal, 20)
  expect(store.erases).toEqual([0, 0, 0, 0, 0, 0, 0, 0])
  journal.pulled = journal.olderSequence - 1
  expect(wantsRest(journal)).toBe(false)
  journal.pulled = journal.olderSequence
  expect(wantsRest(journal)).toBe(true)
  journal.pulled = 0
  for (let i = 0; i < 200 && journal.freeAddress < journal.needAddress; i++) {
    expect(wantsRest(journal)).toBe(false)
    write(journal, 1)
  }
  expect(wantsRest(journal)).toBe(true)
  tend(journal, 20, false)
  expect(journal.erased).toBe(0)
  // One block at each call.
  for (let block = 1; block <= 4; block++) {
    tend(journal, 1)
    expect(store.erases.slice(0, 4)).toEqual([1, 2, 3, 4].map(i => (i <= block ? 1 : 0)))
  }
  expect(journal).toMatchObject({ eraseAddress: NaN, erased: 4 })
  expect(wantsRest(journal)).toBe(false)
})

test('a block that cannot be erased is tried again, and counted', () => {
  const { store, journal } = opened()
  fill(journal)
  carryAll(journal)
  journal.pulled = journal.olderSequence
  const erase = store.erase.bind(store)
  store.erase = () => {
    throw new Error('worn')
  }
  tend(journal, 3)
  expect(journal).toMatchObject({ worn: 3, erased: 0, eraseAddress: 0 })
  store.erase = erase
  tend(journal, 2)
  expect(journal).toMatchObject({ worn: 3, erased: 2, eraseAddress: NaN })
})

test('an area of which no block is erased any more is tried again and again', () => {
  const { store, journal } = opened()
  fill(journal)
  carryAll(journal)
  journal.pulled = journal.olderSequence
  const erase = store.erase.bind(store)
  store.erase = () => {
    throw new Error('worn')
  }
  tend(journal, 10)
  expect(journal).toMatchObject({ worn: 10, erased: 0, eraseAddress: 0 })
  store.erase = erase
  tend(journal, 2)
  expect(journal).toMatchObject({ worn: 10, erased: 2, eraseAddress: NaN })
})

test('a flash that refuses everything for a while leaves no block out', () => {
  const { store, journal } = opened()
  fill(journal)
  carryAll(journal)
  journal.pulled = journal.olderSequence
  tend(journal, 1)
  const { erase, write: put } = store
  store.erase = store.write = () => {
    throw new Error('refused')
  }
  tend(journal, 50)
  expect(journal).toMatchObject({ worn: 50, erased: 1, eraseAddress: BLOCK })
  Object.assign(store, { erase, write: put })
  tend(journal, 1)
  expect(journal).toMatchObject({ worn: 50, erased: 2, eraseAddress: NaN })
})

test('records of another layout are neither shown nor carried, and the sequence goes on behind them', () => {
  const { store, journal } = opened(64)
  appendRecord(journal, KIND.summary, payload(1))
  const newer = encodeRecord(KIND.summary, 2, payload(2), crc32)
  newer[1] = 2
  new DataView(newer.buffer).setUint32(newer.length - 4, crc32(newer.subarray(0, newer.length - 4)), true)
  store.write(RECORD, newer)
  const again = openJournal(store, crc32)
  expect(again).toMatchObject({ sequence: 2, here: [1], newestSession: 1 })
  expect(sequences(again)).toEqual([1])
  fill(again)
  carryAll(again)
  expect(again.here).toEqual([1])
})

test('of the older area only the newest summaries are carried, each once, and a mark behind them', () => {
  const { journal } = opened(64)
  for (let session = 1; session <= SUMMARIES_KEPT + 10; session++) {
    appendRecord(journal, KIND.summary, payload(session))
  }
  write(journal, 1)
  expect(journal.newestSession).toBe(SUMMARIES_KEPT + 10)
  fill(journal)
  const from = journal.sequence
  carryAll(journal)
  const carried: number[] = []
  const kinds: number[] = []
  forEachRecord(journal, ({ kind, sequence, payload: bytes }) => {
    if (sequence <= from) return
    kinds.push(kind)
    if (kind === KIND.summary) carried.push(new DataView(bytes.buffer, bytes.byteOffset).getUint32(0, true))
  })
  expect(carried).toEqual(Array.from({ length: SUMMARIES_KEPT }, (_, i) => i + 11))
  expect(kinds.at(-1)).toBe(KIND.carried)
  expect(kinds.filter(kind => kind !== KIND.summary)).toEqual([KIND.carried])
})

test('a record that flash does not take whole is tried three times, further on each time, and then lost', () => {
  const { store, journal } = opened()
  write(journal, 1)
  const wrote: number[] = []
  store.write = (address, data) => {
    wrote.push(address)
    // The first byte alone gets there.
    store.cells[address] &= data[0]!
  }
  expect(write(journal, 2)).toBe(false)
  expect(wrote).toEqual([RECORD, 2 * RECORD, 3 * RECORD])
  expect(journal).toMatchObject({ worn: 3, lost: 1, sequence: 1, freeAddress: 4 * RECORD })
})

test('a flash that takes nothing at all uses up no room', () => {
  const { store, journal } = opened()
  write(journal, 1)
  const whole = store.write.bind(store)
  store.write = () => {
    throw new Error('refused')
  }
  for (let i = 1; i <= 5; i++) {
    expect(write(journal, i)).toBe(false)
    expect(journal).toMatchObject({ lost: i, worn: 3 * i, freeAddress: RECORD })
  }
  store.write = whole
  expect(write(journal, 6)).toBe(true)
  expect(sequences(journal)).toEqual([1, 2])
})

test('the records are visited oldest first, whichever area is in use', () => {
  const { journal } = opened()
  for (let turn = 0; turn < 3; turn++) {
    fill(journal)
    const all = sequences(journal)
    expect(all).toEqual([...all].sort((a, b) => a - b))
    carryAll(journal)
    journal.pulled = journal.olderSequence
    tend(journal, 2)
  }
  expect(journal.areasTaken).toBe(3)
})
