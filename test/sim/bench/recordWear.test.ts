import { expect, test } from 'vitest'
import type { Journal } from '../../../firmware/journal/journal.ts'
import { runByPlan } from '../../../sim/bench/defaults.ts'
import { recordWear } from '../../../sim/bench/recordWear.ts'
import { type Bench, runSession } from '../../../sim/bench/run.ts'

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

test('half an hour a day wears out no flash in a base’s life', () => {
  expect(recordWear(1800, 7).years).toBeGreaterThan(50)
})
