/**
 * The clock on baths that are forced on it: steps, ramps, bad stirring. The lag is known and the probe is exact, as in
 * a run on a trace, so that all that is left is how well the observer follows what no pour explains.
 */
import { expect, test } from 'vitest'
import { createRandom, gaussian } from '../../../sim/plant/random.ts'
import { type BathResult, COLOUR, RIG_DEFAULTS, runRig } from './rig.ts'

function scatter(mean: number, sigma: number, holdSeconds: number): (seconds: number) => number {
  const random = createRandom(5, 5)
  const values: number[] = []
  for (let i = 0; i < 2000; i++) values.push(mean + sigma * gaussian(random))
  return seconds => values[Math.floor(seconds / holdSeconds) % values.length]
}

const TRACES: { [name: string]: (seconds: number) => number } = {
  'constant at its end row': () => 37.8,
  'constant between its rows': () => 35,
  'stepping down by 2.5 °C': t => (t < 90 ? 38 : 35.5),
  'stepping up by 3 °C': t => (t < 60 ? 35 : 38),
  'stepping down by 2.5 °C just before its end': t => (t < 170 ? 37.8 : 35.3),
  'stepping up by 8 °C right after the pour': t => (t < 12 ? 30 : 37.8),
  'falling steadily by 0.9 °C a minute': t => 38 - 0.015 * t,
  'falling exponentially by 8 °C': t => 30 + 8 * Math.exp(-t / 120),
  'rising exponentially by 5 °C': t => 33 + 5 * (1 - Math.exp(-t / 40)),
  'jumping up and down by 1.5 °C': t => 37 + (Math.floor(t / 20) % 2) * 1.5,
  'below its sheet': t => 29 - 0.005 * t,
  'scattering by 0.2 °C every second': scatter(37.5, 0.2, 1),
  'scattering by 0.5 °C every five seconds': scatter(37.5, 0.5, 5),
}

function onTrace(trace: (seconds: number) => number, seed: number): BathResult {
  return runRig({
    ...RIG_DEFAULTS,
    seed,
    pours: [{ bath: COLOUR, millilitres: 400, pourCelsius: 38, expectCelsius: 37, expectSigmaCelsius: 3 }],
    roomErrorCelsius: NaN,
    lagKnown: true,
    calibrationSigmaCelsius: 0,
    handSpread: 0,
    reactionSeconds: 0,
    trace,
  })[0]
}

for (const name in TRACES) {
  test(`a bath ${name} is counted within the stated bound, poured out in time, and the probe is not accused`, () => {
    for (let seed = 1; seed <= 5; seed++) {
      const bath = onTrace(TRACES[name], seed)
      expect(Math.abs(bath.errorPercent)).toBeLessThan(bath.boundPercent)
      expect(bath.boundPercent).toBeLessThan(0.5)
      // The cue falls on a tick, and the last seconds of the bath lie ahead of it.
      expect(Math.abs(bath.trueProgress - 1)).toBeLessThan(0.005)
      expect(bath.states).toEqual(['ok'])
      expect(bath.bridged).toBe(0)
    }
  })
}

test('a constant bath on the end row of its sheet is not called outside it; half a degree above, it is', () => {
  expect(onTrace(() => 37.8, 1).outsideSheetSeconds).toBe(0)
  const warm = onTrace(() => 38.3, 1)
  expect(warm.outsideSheetSeconds).toBeGreaterThan(warm.seconds - 15)
})

test('the model is let go when a bath steps, and only then', () => {
  expect(onTrace(TRACES['stepping up by 3 °C'], 1).freed).toBeGreaterThan(5)
  expect(onTrace(TRACES['constant between its rows'], 1).freed).toBe(0)
})
