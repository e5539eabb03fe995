/**
 * The journal alone, with the power cut at every byte of a scenario that takes areas into use and erases them, and cut
 * again at every byte of what follows: every record that was stored before is found, and the newest last.
 */
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
import { CutStore, type Operation } from '../cutStore.ts'

/** Areas of 192 bytes in blocks of 64: a dozen records fill one. */
const BYTES = 384
const BLOCK_BYTES = 64
/** Records of the scenario: a start, then checkpoints, and among them summaries that have to outlive their area. */
const RECORDS = 20
/** What is written after the first cut: enough to take the next area and to erase the one before. */
const RECORDS_AFTER = 13
const EVERY_SUMMARY = 10

const payloadOf = (number: number): Uint8Array => Uint8Array.of(number & 0xff, number >> 8, 0, 0)
const numberOf = (payload: Uint8Array): number => payload[0]! | (payload[1]! << 8)

/** What was stored, and what must be found. */
interface Stored {
  newest: number
  summaries: number[]
}

/** Number by number until `to`, tended as a base at rest does; `each` is told what was done to the flash and what that stored. */
function write(store: CutStore, journal: Journal, stored: Stored, to: number, each: () => void): void {
  for (let number = stored.newest + 1; number <= to; number++) {
    // One look at the work of the journal's own is one tick; there are more of them between two records.
    for (let i = 0; i < 16; i++) {
      tendJournal(journal, true)
      each()
      store.operations = []
    }
    const isSummary = number % EVERY_SUMMARY === 0
    const took = appendRecord(journal, isSummary ? KIND.summary : KIND.checkpoint, payloadOf(number))
    if (!took) throw new Error(`record ${number} found no place`)
    each()
    stored.newest = number
    if (isSummary) stored.summaries.push(number)
    store.operations = []
  }
}

/** Every byte of every write and every part of every erase that was done, as the flash would be found. */
function forEachCut(store: CutStore, before: Uint8Array, visit: (cells: Uint8Array) => void): void {
  const whole = before.slice()
  for (const operation of store.operations as Operation[]) {
    for (let place = 0; place < store.placesIn(operation); place++) {
      const cells = whole.slice()
      store.tear(cells, operation, place)
      visit(cells)
    }
    store.apply(whole, operation)
  }
  before.set(whole)
}

/** What the journal has; empty when it is as it should be. What was being written may have got there whole. */
function whatIsWrong(journal: Journal, { newest, summaries }: Stored): string {
  let last = 0
  const found: number[] = []
  forEachRecord(journal, record => {
    if (record.kind === KIND.checkpoint || record.kind === KIND.summary) last = Math.max(last, numberOf(record.payload))
    if (record.kind === KIND.summary) found.push(numberOf(record.payload))
  })
  if (last !== newest && last !== newest + 1) return `the newest is ${last}, not ${newest}`
  for (const summary of summaries) if (!found.includes(summary)) return `summary ${summary} is gone`
  return ''
}

test('the power may fail at any byte, and again at any byte afterwards', () => {
  const store = new CutStore(BYTES, BLOCK_BYTES)
  const stored: Stored = { newest: 0, summaries: [] }
  const before = store.cells.slice()
  const wrong: string[] = []
  let cuts = 0
  let pairs = 0
  const later = new CutStore(BYTES, BLOCK_BYTES)
  const look = new CutStore(BYTES, BLOCK_BYTES)
  const first = openJournal(store, crc32)
  write(store, first, stored, RECORDS, () => {
    forEachCut(store, before, cells => {
      cuts++
      later.cells.set(cells)
      later.operations = []
      const journal = openJournal(later, crc32)
      const problem = whatIsWrong(journal, stored)
      if (problem !== '') wrong.push(`cut ${cuts}: ${problem}`)
      const laterBefore = later.cells.slice()
      const laterStored = { newest: stored.newest, summaries: stored.summaries.slice() }
      write(later, journal, laterStored, stored.newest + RECORDS_AFTER, () => {
        forEachCut(later, laterBefore, cellsAgain => {
          pairs++
          look.cells.set(cellsAgain)
          const problemAgain = whatIsWrong(openJournal(look, crc32), laterStored)
          if (problemAgain !== '') wrong.push(`cut ${cuts}, then ${pairs}: ${problemAgain}`)
        })
      })
    })
  })
  console.log(`journal: ${cuts} cuts, ${pairs} pairs of them`)
  expect(wrong.slice(0, 5)).toEqual([])
  expect(cuts).toBeGreaterThan(350)
  expect(pairs).toBeGreaterThan(100_000)
}, 120_000)
