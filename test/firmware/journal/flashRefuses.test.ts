/** A flash that refuses in the middle of a bath, where no press writes anything: the next checkpoint says so. */
import { expect, test } from 'vitest'
import { tick } from '../../../firmware/base.ts'
import { standingAlarms } from '../../../firmware/session/alarms.ts'
import { runByPlan } from '../../../sim/bench/defaults.ts'
import { openBench } from '../../../sim/bench/run.ts'
import { stepPlant } from '../../../sim/plant/plant.ts'
import { ASKED } from '../../../sim/rehearsal/asked.ts'

test('alarm 52 within the time of two checkpoints, and the tank turns on', () => {
  const bench = openBench(runByPlan({ seed: 1 }))
  const step = (): void => {
    tick(bench.base)
    stepPlant(bench.plant, bench.plant.steps < 100 ? 'wait' : ASKED[bench.base.session.state])
  }
  while (bench.base.session.state !== 'turning') step()
  for (let i = 0; i < 100; i++) step()
  bench.base.board.store.write = () => {
    throw new Error('full')
  }
  for (let i = 0; i < 100; i++) step()
  expect(standingAlarms(bench.base.session.alarms)).toEqual([52])
  expect(bench.base.session.state).toBe('turning')
  expect(bench.base.mishaps).toBe(0)
})
