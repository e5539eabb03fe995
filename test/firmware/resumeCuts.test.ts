/**
 * The power cut at every tick of a short session and at every byte of its record, with each cause of a reset, and with a
 * wall clock that ran, that was lost, that was set meanwhile or that never was.
 */
import { expect, test } from 'vitest'
import { CutStore } from './cutStore.ts'
import { createTally, everyByte, howFor, openCutBench, setWall, tryCut, walk } from './cuts.ts'
import { short } from './powerCut.ts'

/** The older records leave so much of the first area: the developer's take the other one, and the first is erased. */
const FREE_BYTES = 1200

function cutEverywhere(wallBefore: boolean, wallAfter: boolean, from: number): void {
  const bench = openCutBench(short, new CutStore(8192, 1024), FREE_BYTES)
  setWall(bench, wallBefore)
  const tally = createTally()
  walk(bench, 1e6, everyByte, place => tryCut(bench, place, howFor(from + tally.cuts, wallAfter), tally, ''))
  expect(bench.base.session.state).toBe('finished')
  expect(bench.base.keeper?.journal.erased).toBeGreaterThan(0)
  const { cuts, judged, gone } = tally
  console.log(`every tick and byte: ${cuts} cuts, ${judged} baths judged, ${gone} gone`)
  expect(tally.wrong.slice(0, 5)).toEqual([])
  expect(cuts).toBeGreaterThan(4000)
  expect(judged).toBeGreaterThan(1500)
}

test('the wall clock ran', () => cutEverywhere(true, true, 0), 120_000)
test('there is no wall clock', () => cutEverywhere(false, false, 1), 120_000)
test('the wall clock was lost with the power', () => cutEverywhere(true, false, 2), 120_000)
test('the wall clock was set meanwhile', () => cutEverywhere(false, true, 3), 120_000)
