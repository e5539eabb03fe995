import { expect, test } from 'vitest'
import {
  appendRecord,
  type Journal,
  openJournal,
  SUMMARIES_KEPT,
  tendJournal,
  wantsRest,
} from '../../../firmware/journal/journal.ts'
import { KIND, putWord } from '../../../firmware/journal/record.ts'
import { runByPlan } from '../../../sim/bench/defaults.ts'
import { recordWear } from '../../../sim/bench/recordWear.ts'
import { type Bench, runSession } from '../../../sim/bench/run.ts'
import { crc32 } from '../../../sim/crc32.ts'
import { TornStore } from '../../firmware/journal/tornStore.ts'

test('what the plan says of the record is what sessions write, within a fifth', () => {
  let journal: Journal | undefined
  const options = runByPlan({ seed: 3 })
  const watch = (bench: Bench): void => {
    journal = bench.base.keeper?.journal
  }
  const { seconds } = runSession({ ...options, watch })
  const { area, areaBytes, areasTaken, freeAddress } = journal as Journal
  const written = areasTaken * areaBytes + freeAddress - area * areaBytes
  const said = recordWear(seconds, options.recipe.baths.length).bytesOfSession
  expect(said / written).toBeGreaterThan(0.8)
  expect(said / written).toBeLessThan(1.2)
})

test('on a base with many sessions behind it each block is erased as often as the years say, within a tenth', () => {
  const store = new TornStore(16_384, 4096)
  const journal = openJournal(store, crc32)
  const seconds = 1800
  const session = (number: number, bytesOfSession: number): void => {
    const append = (kind: number, payload: Uint8Array): void => {
      putWord(payload, 0, number)
      expect(appendRecord(journal, kind, payload)).toBe(true)
      while (journal.carryAddress >= 0 || wantsRest(journal)) tendJournal(journal, true)
    }
    let areasTaken = journal.areasTaken
    for (let bytes = 0; bytes < bytesOfSession - 76; bytes += 72) {
      append(KIND.checkpoint, new Uint8Array(60))
      // What the keeper writes anew.
      if (journal.areasTaken > areasTaken) append(KIND.learned, new Uint8Array(232))
      areasTaken = journal.areasTaken
    }
    append(KIND.summary, new Uint8Array(64))
  }
  for (let i = 1; i <= SUMMARIES_KEPT; i++) session(i, 0)
  const before = journal.erased
  const sessions = 8
  for (let i = 1; i <= sessions; i++) session(SUMMARIES_KEPT + i, recordWear(seconds, 7).bytesOfSession)
  const erasuresOfBlock = (journal.erased - before) / 4
  const years = ((100_000 / erasuresOfBlock) * sessions) / 365.25
  expect(recordWear(seconds, 7).years / years).toBeGreaterThan(0.9)
  expect(recordWear(seconds, 7).years / years).toBeLessThan(1.1)
})

test('half an hour a day wears out no flash in a base’s life', () => {
  expect(recordWear(1800, 7).years).toBeGreaterThan(50)
})
