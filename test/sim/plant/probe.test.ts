import { expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { celsiusFromCounts } from '../../../firmware/sense/thermistor.ts'
import { type BathState, createBath } from '../../../sim/plant/bath.ts'
import { createProbe, drawProbeTruth, type ProbeTruth, probeCounts, stepProbe } from '../../../sim/plant/probe.ts'
import { createRandom } from '../../../sim/plant/random.ts'

const EXACT: ProbeTruth = {
  lagSeconds: 7,
  airLagFactor: 5,
  immersedFrom: 0.3,
  errorCelsius: 0,
  airSelfHeatingCelsius: 0.05,
  noiseCounts: 0.4,
  stepsPerCount: 16,
}

function bathAt(celsius: number, filledFraction: number): BathState {
  const bath = createBath(20, 20)
  bath.phase = 'full'
  bath.bathCelsius = celsius
  bath.filledFraction = filledFraction
  return bath
}

test('a probe dipped into a bath has gone 63.2 % of the way after its lag', () => {
  const probe = createProbe(EXACT, defaultBase.probe, 12, 20)
  const bath = bathAt(38, 1)
  for (let i = 0; i < 70; i++) stepProbe(probe, bath, 0.1)
  expect((probe.celsius - 20) / 18).toBeCloseTo(0.632, 3)
})

test('below the level at which it is dipped in it stays in air, near the wall, and a little too warm', () => {
  const probe = createProbe(EXACT, defaultBase.probe, 12, 20)
  const bath = bathAt(38, 0.29)
  for (let i = 0; i < 20000; i++) stepProbe(probe, bath, 0.1)
  expect(probe.celsius).toBeCloseTo(20.05, 6)
})

test('what it says is its temperature with the calibration error, within its noise', () => {
  const probe = createProbe({ ...EXACT, errorCelsius: 0.1 }, defaultBase.probe, 12, 37)
  const random = createRandom(1, 1)
  let sum = 0
  let squares = 0
  const readings = 4000
  for (let i = 0; i < readings; i++) {
    const celsius = celsiusFromCounts(probe.curve, probeCounts(probe, random))
    sum += celsius
    squares += (celsius - 37.1) ** 2
  }
  expect(sum / readings).toBeCloseTo(37.1, 2)
  // 0.4 counts of about 0.026 K.
  expect(Math.sqrt(squares / readings)).toBeGreaterThan(0.008)
  expect(Math.sqrt(squares / readings)).toBeLessThan(0.013)
})

test('failures: open and short give the ends of the range, stuck the last reading, jumping no peace, drifting a slope', () => {
  const random = createRandom(2, 1)
  const probe = createProbe(EXACT, defaultBase.probe, 12, 37)
  probe.failure = 'open'
  expect(probeCounts(probe, random)).toBe(4095)
  probe.failure = 'short'
  expect(probeCounts(probe, random)).toBe(0)
  probe.failure = 'none'
  const last = probeCounts(probe, random)
  probe.failure = 'stuck'
  probe.celsius = 20
  expect(probeCounts(probe, random)).toBe(last)
  probe.failure = 'jumping'
  let most = 0
  for (let i = 0; i < 20; i++) most = Math.max(most, Math.abs(probeCounts(probe, random) - probeCounts(probe, random)))
  expect(most).toBeGreaterThan(400)
  probe.failure = 'drifting'
  const bath = bathAt(20, 1)
  for (let i = 0; i < 600; i++) stepProbe(probe, bath, 0.1)
  expect(celsiusFromCounts(probe.curve, probeCounts(probe, random))).toBeCloseTo(21.2, 1)
})

test('drawn probes keep to 3 to 15 s, and to what is known exactly', () => {
  const lags: number[] = []
  for (let seed = 1; seed <= 500; seed++) {
    lags.push(drawProbeTruth(createRandom(seed, 1), defaultBase.probe, 0.25, 0.05).lagSeconds)
    const known = drawProbeTruth(createRandom(seed, 1), defaultBase.probe, 0, 0)
    expect(known.lagSeconds).toBe(defaultBase.probe.lagSeconds)
    expect(known.errorCelsius === 0).toBe(true)
  }
  lags.sort((a, b) => a - b)
  expect(lags[0]).toBeGreaterThanOrEqual(3)
  expect(lags[499]).toBeLessThanOrEqual(15)
  expect(lags[250] / defaultBase.probe.lagSeconds).toBeCloseTo(1, 1)
  expect(Math.log(lags[420] / lags[79]) / 2).toBeCloseTo(0.25, 1)
})
