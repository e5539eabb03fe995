/**
 * The clock's one-step integration of dt / seconds(T) against a general solver of differential equations (odex, after
 * Hairer, Norsett and Wanner, at its own tight tolerance), on falling, rising, stepped and noisy baths: within 1e-4 of
 * a whole bath, at the board's tick and at its second. And what the tolerance of a colour developer is worth.
 */
import { Solver } from 'odex'
import { expect, test } from 'vitest'
import { progressStep, speedAt } from '../../firmware/clock/progress.ts'
import { makeRate, type Rate, secondsAt, sensitivityAt } from '../../firmware/recipe/rate.ts'
import type { Row } from '../../firmware/recipe/recipe.ts'
import { createRandom, gaussian } from '../../sim/plant/random.ts'
import colourNegative from './figures/colourNegative.json'

const COLOUR: Row[] = [
  [30, 480],
  [37.8, 195],
]
const BLACK_WHITE: Row[] = [
  [18, 570],
  [20, 480],
  [22, 400],
  [24, 340],
]

function rateOf(rows: Row[]): Rate {
  return makeRate({ name: 'developer', kind: 'developed', rows, agitation: 'even' }, 0)
}

/** One value of noise a second, straight between: a bath that is stirred badly. */
function noisy(mean: number, sigma: number, seed: number): (seconds: number) => number {
  const random = createRandom(seed, 1)
  const values: number[] = []
  for (let i = 0; i < 2000; i++) values.push(mean + sigma * gaussian(random))
  return seconds => {
    const i = Math.floor(seconds)
    return values[i] + (values[i + 1] - values[i]) * (seconds - i)
  }
}

/** Piece by piece between the given breaks, so that the solver never steps across one. */
function bySolver(rate: Rate, bath: (seconds: number) => number, breaks: number[]): number {
  const solver = new Solver(1)
  solver.absoluteTolerance = 1e-12
  solver.relativeTolerance = 1e-12
  let sum = 0
  for (let i = 1; i < breaks.length; i++) {
    // Inside the piece, so that a step at its end belongs to the next.
    const last = breaks[i] - 1e-9
    sum += solver.solve(t => [1 / secondsAt(rate, bath(Math.min(t, last)))], breaks[i - 1], [0], breaks[i]).y[0]
  }
  return sum
}

function byClock(rate: Rate, bath: (seconds: number) => number, seconds: number, stepSeconds: number): number {
  let sum = 0
  let speed = speedAt(rate, bath(0))
  const steps = Math.round(seconds / stepSeconds)
  for (let i = 1; i <= steps; i++) {
    const next = speedAt(rate, bath(i * stepSeconds))
    sum += progressStep(speed, next, stepSeconds)
    speed = next
  }
  return sum
}

const EVERY_SECOND = Array.from({ length: 601 }, (_, i) => i)

type Case = [string, Row[], (seconds: number) => number, number, number[], number]
/** name, rows, bath, seconds, breaks for the solver, longest step of the clock for which 1e-4 is promised */
const CASES: Case[] = [
  ['falling', COLOUR, t => 34 + 4.5 * Math.exp(-t / 40) - 0.003 * t, 195, [0, 195], 1],
  ['rising', COLOUR, t => 37.8 - 6 * Math.exp(-t / 25), 195, [0, 195], 1],
  ['noisy', COLOUR, noisy(37.2, 0.3, 5), 195, EVERY_SECOND.slice(0, 196), 1],
  ['stepped', COLOUR, t => (t < 80.03 ? 38 : t < 140.07 ? 35.5 : 37), 195, [0, 80.03, 140.07, 195], 0.1],
  ['falling in black and white', BLACK_WHITE, t => 19 + 4 * Math.exp(-t / 200), 500, [0, 500], 1],
  // Scatter of half a degree crosses the sheet's rows, where the slope changes, within a step.
  ['noisy in black and white', BLACK_WHITE, noisy(20.5, 0.5, 6), 500, EVERY_SECOND.slice(0, 501), 0.5],
]

for (const [name, rows, bath, seconds, breaks, longestStep] of CASES) {
  test(`progress of a ${name} bath is within 1e-4 of odex`, () => {
    const rate = rateOf(rows)
    const exact = bySolver(rate, bath, breaks)
    expect(exact).toBeGreaterThan(0.5)
    for (const step of [0.1, 0.5, 1]) {
      if (step <= longestStep) expect(Math.abs(byClock(rate, bath, seconds, step) - exact)).toBeLessThan(1e-4)
    }
  })
}

test('±0.15 °C at 37.8 °C, the tolerance of KODAK Z-131 for its colour developer of 195 s, is worth 1.7 %', () => {
  const step = colourNegative.rows[0]
  expect(step.seconds).toBe(195)
  const rate = rateOf([[30, 480] as Row, [step.temperature_C as number, step.seconds as number]])
  expect(secondsAt(rate, 37.8)).toBeCloseTo(195, 9)
  expect(100 * sensitivityAt(rate, 37.8) * (step.tolerance_C as number)).toBeCloseTo(1.7, 1)
})
