/** Summaries on their way from area to area: through power cuts at every place, and over blocks that no longer erase. */
import { expect, test } from 'vitest'
import {
  appendRecord,
  forEachRecord,
  type Journal,
  openJournal,
  tendJournal,
} from '../../../firmware/journal/journal.ts'
import { KIND } from '../../../firmware/journal/record.ts'
import { crc32 } from '../../../sim/crc32.ts'
import { TornStore } from './tornStore.ts'

/** As on the reference board: areas of 8 kB. */
const BYTES = 16_384
const BLOCK = 4096
const SUMMARIES = 60

/** A summary with a name of `letters`, or any other payload that begins with a number. */
const payload = (number: number, bytes: number): Uint8Array => {
  const made = new Uint8Array(bytes)
  new DataView(made.buffer).setUint32(0, number, true)
  return made
}

function tend(journal: Journal, times = 1000): void {
  for (let i = 0; i < times; i++) tendJournal(journal, true)
}

/** What the keeper writes as soon as it may. */
function writeAnew(journal: Journal): void {
  for (const [kind, bytes] of [
    [KIND.sessionBegun, 52],
    [KIND.checkpoint, 60],
    [KIND.learned, 232],
  ] as const) {
    expect(appendRecord(journal, kind, payload(1, bytes))).toBe(true)
  }
}

function sessions(journal: Journal): number[] {
  const all: number[] = []
  forEachRecord(journal, ({ kind, payload: bytes }) => {
    if (kind === KIND.summary) all.push(new DataView(bytes.buffer, bytes.byteOffset).getUint32(0, true))
  })
  return all
}

/** Flash as it is when the other area has just been taken with so many summaries in the one before. */
function aboutToCarry(summaryBytes: number): Uint8Array {
  const store = new TornStore(BYTES, BLOCK)
  const journal = openJournal(store, crc32)
  for (let session = 1; session <= SUMMARIES; session++)
    appendRecord(journal, KIND.summary, payload(session, summaryBytes))
  while (journal.areasTaken === 0) appendRecord(journal, KIND.checkpoint, payload(1, 60))
  writeAnew(journal)
  expect(journal).toMatchObject({ lost: 0, area: 1 })
  return store.cells
}

function storeOf(cells: Uint8Array): TornStore {
  const store = new TornStore(BYTES, BLOCK)
  store.fill(cells)
  return store
}

/** The base starts again: it says so, and where the session stands. */
function start(store: TornStore): Journal {
  store.restorePower()
  const journal = openJournal(store, crc32)
  appendRecord(journal, KIND.started, payload(0, 12))
  appendRecord(journal, KIND.checkpoint, payload(1, 60))
  return journal
}

/** Carries until the power goes, or all is carried. */
function carry(journal: Journal, store: TornStore): void {
  while (!store.dead && !isNaN(journal.carryAddress)) tendJournal(journal, false)
}

for (const [words, bytes, kept] of [
  ['names of 24 letters', 72, 48],
  ['names of 4 letters', 52, 60],
] as const) {
  for (const times of [1, 2, 6]) {
    test(`sixty summaries, ${words}: power cut all along the carrying, ${times} in a row: it ends, nothing is lost, none twice`, () => {
      const cells = aboutToCarry(bytes)
      const newest = Array.from({ length: kept }, (_, i) => SUMMARIES - kept + 1 + i)
      const whole = storeOf(cells)
      const undisturbed = openJournal(whole, crc32)
      whole.operations = 0
      carry(undisturbed, whole)
      expect(undisturbed.here).toEqual(newest)
      const places = whole.operations
      expect(places).toBeGreaterThan(kept * (bytes + 12))
      // Every byte of a few records, and one in each further record.
      for (let cut = 1; cut <= places; cut += cut < 110 || cut > places - 30 ? 1 : 97) {
        const store = storeOf(cells)
        let journal = openJournal(store, crc32)
        for (let i = 0; i < times; i++) {
          store.operations = 0
          store.cutAfter = cut
          carry(journal, store)
          journal = start(store)
          expect(journal.lost, `cut ${cut}`).toBe(0)
        }
        carry(journal, store)
        expect(journal).toMatchObject({ carryAddress: NaN, lost: 0 })
        expect(
          [...journal.here].sort((a, b) => a - b),
          `cut ${cut}`,
        ).toEqual(newest)
        expect(openJournal(store, crc32).here, `cut ${cut}`).toEqual(journal.here)
      }
    })
  }
}

test('with as many summaries as it keeps an area of 8 kB still takes four minutes of a session', () => {
  const store = storeOf(aboutToCarry(72))
  const journal = openJournal(store, crc32)
  carry(journal, store)
  let checkpoints = 0
  while (journal.freeAddress + 72 <= BYTES && appendRecord(journal, KIND.checkpoint, payload(1, 60))) checkpoints++
  expect(checkpoints * 5).toBeGreaterThanOrEqual(240)
})

test('a session that ends while summaries are carried, and a cut behind that: none of them is lost', () => {
  for (const before of [0, 7, 30]) {
    const store = storeOf(aboutToCarry(52))
    const journal = openJournal(store, crc32)
    while (journal.here.length < before) tendJournal(journal, false)
    expect(appendRecord(journal, KIND.summary, payload(SUMMARIES + 1, 52))).toBe(true)
    const again = start(store)
    carry(again, store)
    expect(new Set(again.here).size).toBe(again.here.length)
    expect(again.here).toEqual(expect.arrayContaining(Array.from({ length: SUMMARIES }, (_, i) => i + 2)))
  }
})

test('a summary that was written while others were being carried is not taken for the oldest at the next turn', () => {
  const store = storeOf(aboutToCarry(72))
  const journal = openJournal(store, crc32)
  expect(appendRecord(journal, KIND.summary, payload(SUMMARIES + 1, 72))).toBe(true)
  const { areasTaken } = journal
  while (journal.areasTaken === areasTaken) {
    tend(journal, 400)
    expect(appendRecord(journal, KIND.checkpoint, payload(1, 60))).toBe(true)
  }
  // It stands first, and there are more than are kept: the oldest goes all the same.
  appendRecord(journal, KIND.summary, payload(SUMMARIES + 2, 72))
  tend(journal)
  expect(journal.here).toEqual(expect.arrayContaining([SUMMARIES, SUMMARIES + 1, SUMMARIES + 2]))
  expect(journal.here).toHaveLength(48)
  expect(Math.min(...journal.here)).toBe(SUMMARIES + 2 - 47)
})

test('no more than sixty summaries are carried, however often the base starts', () => {
  const store = new TornStore(4 * BYTES, BLOCK)
  for (let session = 1; session <= 200; session++) {
    const journal = openJournal(store, crc32)
    let { areasTaken } = journal
    for (let i = 0; i < 40; i++) {
      appendRecord(journal, KIND.checkpoint, payload(session, 60))
      if (journal.areasTaken > areasTaken) {
        tend(journal)
        expect(journal.here.length).toBeLessThanOrEqual(60)
        areasTaken = journal.areasTaken
      }
      tend(journal, 10)
    }
    expect(appendRecord(journal, KIND.summary, payload(session, 64))).toBe(true)
  }
  const kept = sessions(openJournal(store, crc32))
  expect(kept.filter((session, i) => kept.indexOf(session) === i).length).toBeGreaterThanOrEqual(60)
})

/** Sessions of ten checkpoints, each with a start of its own; gives how many of the newest are told of at the end. */
function keepSessions(store: TornStore, count: number): void {
  for (let session = 1; session <= count; session++) {
    const journal = openJournal(store, crc32)
    const seen: number[] = []
    forEachRecord(journal, ({ kind, payload: bytes }) => {
      if (kind === KIND.checkpoint) seen.push(new DataView(bytes.buffer, bytes.byteOffset).getUint32(0, true))
    })
    // What the session before wrote last is what this start finds last.
    if (session > 1) expect(seen.at(-1), `session ${session}`).toBe(session - 1)
    tend(journal, 30)
    for (let i = 0; i < 10; i++) {
      const { areasTaken } = journal
      expect(appendRecord(journal, KIND.checkpoint, payload(session, 60)), `session ${session}`).toBe(true)
      if (journal.areasTaken > areasTaken) writeAnewOf(journal, session)
      tend(journal, 300)
    }
    expect(appendRecord(journal, KIND.summary, payload(session, 64))).toBe(true)
    appendRecord(journal, KIND.checkpoint, payload(session, 60))
    tend(journal, 300)
    expect(journal.lost, `session ${session}`).toBe(0)
  }
}

function writeAnewOf(journal: Journal, session: number): void {
  appendRecord(journal, KIND.checkpoint, payload(session, 60))
  appendRecord(journal, KIND.learned, payload(1, 232))
}

function wear(store: TornStore, blocks: number[], quietly: boolean): void {
  const erase = store.erase.bind(store)
  store.erase = address => {
    if (blocks.indexOf(address / store.blockBytes) < 0) erase(address)
    else if (!quietly) throw new Error('worn')
  }
}

test('one block that no longer erases, whichever: sessions go on being kept', () => {
  for (const quietly of [false, true]) {
    for (let block = 0; block < 4; block++) {
      const store = new TornStore(BYTES, BLOCK)
      wear(store, [block], quietly)
      keepSessions(store, 80)
      const kept = new Set(sessions(openJournal(store, crc32)))
      // What half of the smaller area takes.
      for (let session = 80; session > 80 - Math.floor(BLOCK / 2 / 76); session--) {
        expect(kept, `block ${block}`).toContain(session)
      }
    }
  }
})

test('any two of eight blocks that no longer erase: sessions go on being kept', () => {
  for (let first = 0; first < 8; first++) {
    for (let second = first + 1; second < 8; second++) {
      const store = new TornStore(2 * BYTES, BLOCK)
      wear(store, [first, second], false)
      keepSessions(store, 60)
      const kept = new Set(sessions(openJournal(store, crc32)))
      for (let session = 60; session > 10; session--) expect(kept, `${first}, ${second}`).toContain(session)
    }
  }
})

test('a block that could not be erased for a while is used again at its area’s next turn', () => {
  const store = new TornStore(BYTES, BLOCK)
  const erase = store.erase.bind(store)
  wear(store, [1], false)
  keepSessions(store, 20)
  expect([...store.cells.slice(BLOCK, BLOCK + 4)]).toEqual([0, 0, 0, 0])
  store.erase = erase
  const journal = openJournal(store, crc32)
  for (let i = 0; i < 400; i++) {
    expect(appendRecord(journal, KIND.checkpoint, payload(21, 60))).toBe(true)
    tend(journal, 100)
  }
  expect([...store.cells.slice(BLOCK, BLOCK + 4)]).not.toEqual([0, 0, 0, 0])
})
