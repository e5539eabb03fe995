/** Sessions on one charge until the pack is empty, and what the base said beforehand each time. */
import type { BaseFile } from '../../../firmware/baseFile.ts'
import { sessionsLeft } from '../../../firmware/energy/budget.ts'
import { createEnergy } from '../../../firmware/energy/energy.ts'
import { exportLearned, importLearned, type LearnedEnergy } from '../../../firmware/energy/learned.ts'
import type { Recipe } from '../../../firmware/recipe/recipe.ts'
import { createPackPlant, drawPackTruth, type PackTruth } from '../../../sim/plant/pack.ts'
import { createRandom } from '../../../sim/plant/random.ts'
import { bathTimes, createBench, drawLoad, rest, runSession } from './sessionLoad.ts'

export interface Charge {
  /** Sessions that the pack gave, with a fraction. */
  given: number
  /** Done plus left, as said at the start of the first, second, third ... session. */
  predicted: number[]
  learned: LearnedEnergy | undefined
}

export function runCharge(
  base: BaseFile,
  recipe: Recipe,
  seconds: number[],
  seed: number,
  celsius: number,
  shape?: (truth: PackTruth) => void,
  before?: LearnedEnergy,
): Charge {
  const random = createRandom(seed, 77)
  const truth = drawPackTruth(random, base, celsius)
  if (shape !== undefined) shape(truth)
  const pack = createPackPlant(truth, 1)
  const bench = createBench(base, pack, drawLoad(random, base), createRandom(seed, before === undefined ? 78 : 79))
  bench.stubborn = true
  const predicted: number[] = []
  let learned = before
  let sessionJoules = 0
  let done = 0
  for (;;) {
    // Switched off between sessions: the pack recovers, the base forgets all but what it exported.
    pack.quickVolts = 0
    pack.slowVolts = 0
    bench.energy = createEnergy(base)
    if (learned !== undefined) importLearned(bench.energy, learned)
    rest(bench, 6)
    predicted.push(done + sessionsLeft(bench.energy, recipe))
    const joulesBefore = pack.joules
    const finished = runSession(bench, recipe, bathTimes(recipe, seconds, bench.random))
    learned = exportLearned(bench.energy)
    if (!finished) return { given: done + ((pack.joules - joulesBefore) / sessionJoules) * done, predicted, learned }
    done++
    sessionJoules += pack.joules - joulesBefore
    if (done > 60) return { given: NaN, predicted, learned }
  }
}
