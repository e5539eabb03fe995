/** A probe that jumps, and by chance to the same side at first: what was believed of it is taken back. */
import { expect, test } from 'vitest'
import { tick } from '../../../firmware/base.ts'
import { runByPlan } from '../../../sim/bench/defaults.ts'
import { type Bench, openBench } from '../../../sim/bench/run.ts'
import { stepPlant } from '../../../sim/plant/plant.ts'
import { ASKED } from '../../../sim/rehearsal/asked.ts'

/** One tick; a reading that the plant converts is changed by `off` counts. */
function step(bench: Bench, off = 0): void {
  const { plant, base } = bench
  tick(base)
  stepPlant(plant, plant.steps < 100 ? 'wait' : ASKED[base.session.state])
  if (plant.steps % 10 === 0) plant.pins.probeCounts += off
}

/** Seconds of a session, one offset a second. */
function seconds(bench: Bench, offsets: number[]): void {
  for (const off of offsets) for (let i = 0; i < 10; i++) step(bench, off)
}

function inDeveloper(seed: number, afterSeconds: number): Bench {
  const bench = openBench(runByPlan({ seed }))
  const { session } = bench.base
  while (session.recipe.baths[session.bathIndex]!.kind !== 'developed' || session.state !== 'turning') step(bench)
  seconds(bench, new Array(afterSeconds).fill(0))
  return bench
}

const JUMPS = [900, -700, 400, -900, 650, -300, 800, -500]

for (const same of [1, 2, 3, 4, 5]) {
  test(`${same} readings that jump to the same side before the others move neither bath nor progress nor the cue`, () => {
    for (const afterSeconds of [12, 60]) {
      const bench = inDeveloper(same, afterSeconds)
      const { observer } = bench.base.bathSense
      const { view } = bench.base.clock
      const dueSeconds = view.cueAtSeconds
      seconds(bench, [...new Array(same).fill(-180).map((off, i) => off + (i % 3) * 4), ...JUMPS, ...JUMPS])
      expect(bench.base.estimates.probe).toBe('jumping')
      expect(bench.base.session.state).toBe('turning')
      expect(Math.abs(observer.bathCelsius - bench.plant.bath.bathCelsius)).toBeLessThan(0.5)
      expect(Math.abs(view.progress / bench.plant.bath.trueProgress - 1) * 100).toBeLessThan(2 * view.boundPercent + 1)
      expect(Math.abs(view.cueAtSeconds - dueSeconds)).toBeLessThan(8)
    }
  })
}

test('a step that the bath really makes is followed, and stays', () => {
  const bench = inDeveloper(3, 60)
  bench.plant.bath.bathCelsius -= 3
  seconds(bench, new Array(40).fill(0))
  const { observer } = bench.base.bathSense
  expect(Math.abs(observer.bathCelsius - bench.plant.bath.bathCelsius)).toBeLessThan(0.3)
  expect(Math.abs(bench.base.clock.view.progress / bench.plant.bath.trueProgress - 1)).toBeLessThan(0.02)
})
