/** A bath that turns for an hour fills the journal several times over: its records are kept all the same. */
import { expect, test } from 'vitest'
import { tick } from '../../../firmware/base.ts'
import type { Keeper } from '../../../firmware/journal/keeper.ts'
import type { Recipe } from '../../../firmware/recipe/recipe.ts'
import { evenAgitation } from '../../../firmware/recipe/shipped/agitations.ts'
import { alarmHistory } from '../../../firmware/session/alarms.ts'
import { runByPlan } from '../../../sim/bench/defaults.ts'
import { openBench, restartBase } from '../../../sim/bench/run.ts'
import { stepPlant } from '../../../sim/plant/plant.ts'
import { ASKED } from '../../../sim/rehearsal/asked.ts'

const recipe: Recipe = {
  name: 'short',
  title: 'Stand',
  pour: { fillSeconds: 5, drainSeconds: 6 },
  baths: [{ name: 'wash', kind: 'atLeast', seconds: 4000, agitation: 'even' }],
  agitations: { even: evenAgitation() },
}

test('checkpoints go on being kept, and the session is found at its end', () => {
  const bench = openBench(runByPlan({ seed: 1, recipe }))
  while (bench.plant.steps < 36_000) {
    tick(bench.base)
    stepPlant(bench.plant, bench.plant.steps < 100 ? 'wait' : ASKED[bench.base.session.state])
  }
  const { journal } = bench.base.keeper as Keeper
  expect(journal.lost).toBe(0)
  expect(journal.erased).toBeGreaterThan(4)
  expect(alarmHistory(bench.base.session.alarms)).toEqual([])
  restartBase(bench, 'watchdog')
  expect(bench.base.session.state).toBe('held')
  expect(bench.base.estimates.nowSeconds - bench.base.session.contactSeconds).toBeGreaterThan(3500)
})
