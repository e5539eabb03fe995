/**
 * `npm run bench`: how fast the bench is, as simulated seconds for each second of the wall clock, on one core.
 *
 * The whole firmware on the plant, and the bare plant loop in the same rounds, so that a noisy machine shifts both: the
 * ratio is the figure to compare. The plant alone turns a full bath; it draws the same noise and makes the same steps.
 */

import { performance } from 'node:perf_hooks'
import { findRecipe } from '../../firmware/recipe/shipped/shipped.ts'
import { beginFill, closeTank } from '../plant/bath.ts'
import { STEP_SECONDS, stepPlant } from '../plant/plant.ts'
import { DEFAULT_RECIPE, runByPlan } from './defaults.ts'
import { openBench, runSession } from './run.ts'
import { shippedRecipes } from './shippedRecipes.ts'

const ROUNDS = 7
const SESSIONS_A_ROUND = 20
/** DESIGN: simulated seconds for each second of the wall clock. */
const BUDGET = 100_000
/** Steps after which the motor of the bare plant turns round. */
const LEG_STEPS = 30

/** Simulated seconds and seconds of the wall clock. */
interface Timing {
  simulated: number
  wall: number
}

function wholeSessions(firstSeed: number): Timing {
  const began = performance.now()
  let simulated = 0
  for (let seed = firstSeed; seed < firstSeed + SESSIONS_A_ROUND; seed++)
    simulated += runSession(runByPlan({ seed })).seconds
  return { simulated, wall: (performance.now() - began) / 1000 }
}

function barePlant(seed: number, seconds: number): Timing {
  const { plant } = openBench(runByPlan({ seed }))
  const { pins, bath } = plant
  // No dead man without a firmware, and a developer in the tank, so that the film's truth is worked out too.
  pins.motorGoodUntilSeconds = Number.POSITIVE_INFINITY
  plant.bathIndex = plant.rates.findIndex(rate => rate !== undefined)
  beginFill(bath, 300, 1, 38, 'contact')
  closeTank(bath)
  plant.records.push({ ...emptyRecord })
  const steps = Math.round(seconds / STEP_SECONDS)
  const began = performance.now()
  for (let step = 0; step < steps; step++) {
    pins.motorDuty = Math.floor(step / LEG_STEPS) % 2 === 0 ? 0.5 : -0.5
    stepPlant(plant, 'nothing')
  }
  return { simulated: seconds, wall: (performance.now() - began) / 1000 }
}

const emptyRecord = {
  contactSeconds: 0,
  drainSeconds: Number.NaN,
  endSeconds: Number.NaN,
  trueProgress: 0,
  clingProgress: 0,
  celsiusSeconds: 0,
  lowCelsius: Number.POSITIVE_INFINITY,
  highCelsius: Number.NEGATIVE_INFINITY,
  outsideSheetSeconds: 0,
  evenness: { immersionCv: 0, longestDrySeconds: 0, exchangesPerMinute: 0, reversals: 0 },
}

function median(values: number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] as number
}

function main(): void {
  const recipe = findRecipe(DEFAULT_RECIPE) ?? shippedRecipes[0]!
  wholeSessions(1)
  barePlant(1, 20_000)
  const whole: number[] = []
  const bare: number[] = []
  const ratios: number[] = []
  let sessionSeconds = 0
  for (let round = 0; round < ROUNDS; round++) {
    const both = wholeSessions(100 + round * SESSIONS_A_ROUND)
    const plantOnly = barePlant(round, both.simulated)
    sessionSeconds = both.simulated / SESSIONS_A_ROUND
    whole.push(both.simulated / both.wall)
    bare.push(plantOnly.simulated / plantOnly.wall)
    ratios.push(both.wall / plantOnly.wall)
  }
  const ratio = median(ratios)
  const speed = median(whole)
  const lines = [
    `${ROUNDS} rounds of ${SESSIONS_A_ROUND} sessions of ${recipe.title}, ${Math.round(sessionSeconds)} s each; medians (least to most)`,
    `whole firmware on the plant  ${spread(whole)} simulated seconds a second, ${((1000 * sessionSeconds) / speed).toFixed(1)} ms a session`,
    `bare plant loop              ${spread(bare)} simulated seconds a second`,
    `the whole takes              ${ratio.toFixed(2)} times the bare plant: ${(100 / ratio).toFixed(0)} % plant, ${(100 - 100 / ratio).toFixed(0)} % firmware and bench`,
    `budget                       ${BUDGET.toLocaleString('en')}: ${speed >= BUDGET ? 'met' : 'NOT met'}`,
  ]
  process.stdout.write(`${lines.join('\n')}\n`)
}

function spread(values: number[]): string {
  const [least, most] = [Math.min(...values), Math.max(...values)]
  const text = (value: number): string => Math.round(value).toLocaleString('en')
  return `${text(median(values)).padStart(9)} (${text(least)} to ${text(most)})`
}

main()
