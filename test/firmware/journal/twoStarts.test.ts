/** A board that starts, takes the other area for its first record, and fails before its first tick: nothing is lost. */
import { expect, test } from 'vitest'
import { tick } from '../../../firmware/base.ts'
import { appendRecord } from '../../../firmware/journal/journal.ts'
import { type Keeper, notePulled } from '../../../firmware/journal/keeper.ts'
import { KIND } from '../../../firmware/journal/record.ts'
import { runByPlan } from '../../../sim/bench/defaults.ts'
import { type Bench, openBench, restartBase } from '../../../sim/bench/run.ts'
import { stepPlant } from '../../../sim/plant/plant.ts'
import { ASKED } from '../../../sim/rehearsal/asked.ts'

function step(bench: Bench): void {
  tick(bench.base)
  stepPlant(bench.plant, bench.plant.steps < 100 ? 'wait' : ASKED[bench.base.session.state])
}

const keeperOf = (bench: Bench): Keeper => bench.base.keeper as Keeper

test('the session is still known when the older area has been erased', () => {
  const bench = openBench(runByPlan({ seed: 1 }))
  while (bench.base.session.bathIndex < 1 || bench.base.session.state !== 'turning') step(bench)
  const { journal } = keeperOf(bench)
  const areaEnd = (journal.area + 1) * journal.areaBytes
  // Full but for less than the record of a start takes.
  while (areaEnd - journal.freeAddress >= 24) appendRecord(journal, KIND.event, new Uint8Array(0))
  const area = journal.area
  restartBase(bench, 'watchdog')
  expect(keeperOf(bench).journal.area).not.toBe(area)
  restartBase(bench, 'watchdog')
  notePulled(keeperOf(bench), keeperOf(bench).journal.sequence)
  for (let i = 0; i < 1000; i++) {
    tick(bench.base)
    stepPlant(bench.plant, 'nothing')
  }
  expect(keeperOf(bench).journal.carryAddress).toBeNaN()
  expect(keeperOf(bench).journal.eraseAddress).toBeNaN()
  restartBase(bench, 'watchdog')
  expect(bench.base.session.bathIndex).toBe(1)
  expect(['held', 'heldDue']).toContain(bench.base.session.state)
})
