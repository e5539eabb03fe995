/** The journal against its flash: what was stored is found again, whatever happens to the power or to single bits. */
import fc from 'fast-check'
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
import {
  claimedBytes,
  createFound,
  decodeRecord,
  encodeRecord,
  KIND,
  PAYLOAD_BYTES_AT_MOST,
} from '../../../firmware/journal/record.ts'
import { crc32 } from '../../../sim/crc32.ts'
import { TornStore } from './tornStore.ts'

const payloadOf = (number: number, bytes = 24): Uint8Array => {
  const payload = new Uint8Array(bytes)
  new DataView(payload.buffer).setUint32(0, number, true)
  for (let i = 4; i < bytes; i++) payload[i] = (number * 31 + i * 7) & 0xff
  return payload
}
const numberOf = (payload: Uint8Array): number =>
  new DataView(payload.buffer, payload.byteOffset, payload.length).getUint32(0, true)

/** Between two records the base has many ticks; in each the journal does a little. */
function tend(journal: Journal, mayErase: boolean): void {
  for (let i = 0; i < 40; i++) tendJournal(journal, mayErase)
}

/** Numbers of the checkpoints that the journal holds, in order. */
function checkpoints(journal: Journal): number[] {
  const numbers: number[] = []
  forEachRecord(journal, found => {
    if (found.kind === KIND.checkpoint) numbers.push(numberOf(found.payload))
  })
  return numbers
}

test('a record comes back exactly as it was written, and no other bytes pass for it', () => {
  fc.assert(
    fc.property(
      fc.uint8Array({ maxLength: PAYLOAD_BYTES_AT_MOST }),
      fc.integer({ min: 0, max: 0xffffffff }),
      fc.integer({ min: 0, max: 255 }),
      (payload, sequence, kind) => {
        const found = createFound()
        const bytes = encodeRecord(kind, sequence, payload, crc32)
        expect(claimedBytes(bytes)).toBe(bytes.length)
        expect(decodeRecord(bytes, 400, crc32, found)).toBe(true)
        expect([found.kind, found.sequence, found.address, found.bytes]).toEqual([kind, sequence, 400, bytes.length])
        expect(found.payload.slice(0, payload.length)).toEqual(payload)
        expect([...found.payload.slice(payload.length)].every(byte => byte === 0)).toBe(true)
      },
    ),
  )
})

test('every single flipped bit of every record is detected', () => {
  for (const bytes of [0, 4, 24, 100, PAYLOAD_BYTES_AT_MOST]) {
    const record = encodeRecord(KIND.checkpoint, 77, payloadOf(5, Math.max(bytes, 4)).slice(0, bytes), crc32)
    // Whatever stands behind the record in flash: erased, zero, or another record.
    const behind = encodeRecord(KIND.checkpoint, 78, payloadOf(6, PAYLOAD_BYTES_AT_MOST), crc32)
    for (const rest of [new Uint8Array(behind.length).fill(0xff), new Uint8Array(behind.length), behind]) {
      const flash = new Uint8Array([...record, ...rest])
      expect(decodeRecord(flash, 0, crc32, createFound())).toBe(true)
      for (let bit = 0; bit < record.length * 8; bit++) {
        flash[bit >> 3]! ^= 1 << (bit & 7)
        expect(decodeRecord(flash, 0, crc32, createFound()), `bit ${bit} of ${bytes} bytes`).toBe(false)
        flash[bit >> 3]! ^= 1 << (bit & 7)
      }
    }
  }
})

test('after any number of records the newest are there, in order, with none twice', () => {
  const store = new TornStore(8192, 1024)
  const journal = openJournal(store, crc32)
  for (let i = 1; i <= 2000; i++) {
    expect(appendRecord(journal, KIND.checkpoint, payloadOf(i))).toBe(true)
    tend(journal, true)
  }
  const there = checkpoints(openJournal(store, crc32))
  expect(there[there.length - 1]).toBe(2000)
  expect(there).toEqual(there.map((_, i) => 2000 - there.length + 1 + i))
  // One area is always there whole, less what the newest needs.
  expect(there.length).toBeGreaterThan(90)
  expect(journal.lost + journal.worn).toBe(0)
  const erases = [...store.erases]
  expect(Math.max(...erases) - Math.min(...erases)).toBeLessThanOrEqual(1)
})

test('a summary outlives the details: the newest are carried from area to area, each once', () => {
  const store = new TornStore(16_384, 1024)
  const journal = openJournal(store, crc32)
  for (let session = 1; session <= 200; session++) {
    for (let i = 0; i < 40; i++) {
      appendRecord(journal, KIND.checkpoint, payloadOf(session * 100 + i))
      tend(journal, true)
    }
    appendRecord(journal, KIND.summary, payloadOf(session))
  }
  const sessions = new Set<number>()
  forEachRecord(openJournal(store, crc32), found => {
    if (found.kind === KIND.summary) sessions.add(numberOf(found.payload))
  })
  const kept = Array.from({ length: SUMMARIES_KEPT - 5 }, (_, i) => 200 - i)
  for (const session of kept) expect(sessions).toContain(session)
})

test('nothing is erased while the motor turns: what finds no room is counted, and what was stored stays', () => {
  const store = new TornStore(4096, 1024)
  const journal = openJournal(store, crc32)
  let stored = 0
  for (let i = 1; i <= 400; i++) {
    if (appendRecord(journal, KIND.checkpoint, payloadOf(i))) stored = i
    tend(journal, false)
  }
  expect(store.erases.reduce((sum, count) => sum + count, 0)).toBe(0)
  expect(journal.lost).toBeGreaterThan(0)
  expect(wantsRest(journal)).toBe(true)
  expect(checkpoints(openJournal(store, crc32)).pop()).toBe(stored)
  // As soon as the motor rests there is room again.
  tend(journal, true)
  expect(appendRecord(journal, KIND.checkpoint, payloadOf(999))).toBe(true)
  expect(checkpoints(openJournal(store, crc32)).pop()).toBe(999)
})

/** Writes records 1, 2, … until the power goes; gives the last one that was stored. */
function writeUntilCut(store: TornStore, records: number): number {
  const journal = openJournal(store, crc32)
  for (let i = 1; i <= records; i++) {
    const stored = appendRecord(journal, KIND.checkpoint, payloadOf(i))
    if (store.dead) return i - 1
    expect(stored).toBe(true)
    for (let k = 0; k < 40; k++) {
      tendJournal(journal, true)
      if (store.dead) return i
    }
  }
  return records
}

/** Enough for both areas to be taken into use twice. */
const RECORDS = 90

test('the power may fail at any byte of any write or erase: every record that was stored before is found', () => {
  const whole = new TornStore(2048, 256)
  writeUntilCut(whole, RECORDS)
  const cuts = whole.operations
  expect(cuts).toBeGreaterThan(2000)
  for (let cut = 1; cut < cuts; cut++) {
    const store = new TornStore(2048, 256)
    store.cutAfter = cut
    const stored = writeUntilCut(store, RECORDS)
    store.restorePower()
    const journal = openJournal(store, crc32)
    const there = checkpoints(journal)
    const newest = there[there.length - 1] ?? 0
    // What was being written may have got there whole.
    expect(newest === stored || newest === stored + 1, `cut ${cut}: ${newest} of ${stored}`).toBe(true)
    // The board starts with its motor at rest.
    tend(journal, true)
    expect(appendRecord(journal, KIND.checkpoint, payloadOf(5000)), `cut ${cut}`).toBe(true)
    expect(checkpoints(openJournal(store, crc32)).pop()).toBe(5000)
  }
})

test('a worn place costs one record nothing: it is stored further on', () => {
  const store = new TornStore(8192, 1024)
  const journal = openJournal(store, crc32)
  store.stuckLow = 700
  for (let i = 1; i <= 60; i++) expect(appendRecord(journal, KIND.checkpoint, payloadOf(i))).toBe(true)
  expect(journal.worn).toBeGreaterThan(0)
  expect(checkpoints(openJournal(store, crc32))).toEqual(Array.from({ length: 60 }, (_, i) => i + 1))
})

test('a store full of anything opens as an empty journal or with whole records only, and takes records once erased', () => {
  fc.assert(
    fc.property(fc.uint8Array({ minLength: 4096, maxLength: 4096 }), rubbish => {
      const store = new TornStore(4096, 512)
      store.fill(rubbish)
      const journal = openJournal(store, crc32)
      expect(checkpoints(journal)).toEqual([])
      tend(journal, true)
      let stored = false
      for (let i = 0; i < 4 && !stored; i++) {
        stored = appendRecord(journal, KIND.checkpoint, payloadOf(1))
        tend(journal, true)
      }
      expect(stored).toBe(true)
      expect(checkpoints(openJournal(store, crc32))).toEqual([1])
    }),
    { numRuns: 50 },
  )
})
