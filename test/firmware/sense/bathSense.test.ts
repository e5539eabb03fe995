import { expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { createReadings } from '../../../firmware/readings.ts'
import { makeRate } from '../../../firmware/recipe/rate.ts'
import { createBathSense, senseBath } from '../../../firmware/sense/bathSense.ts'
import { createEstimates, type Estimates } from '../../../firmware/sense/estimates.ts'
import { countsFromOhms, makeCurve, ohmsAt } from '../../../firmware/sense/thermistor.ts'
import { type Contents, createUnderway, type Underway } from '../../../firmware/sense/underway.ts'
import { defaultTank } from '../../../firmware/tank/defaultTank.ts'
import { createRandom, type Random, uniform } from '../../../sim/plant/random.ts'
import { BLACK_WHITE, COLOUR, drawColour, RIG_DEFAULTS, runRig } from '../clock/rig.ts'

const CURVE = makeCurve(defaultBase.probe, 12)
const counts = (celsius: number): number => countsFromOhms(CURVE, ohmsAt(CURVE, celsius))

interface Bench {
  tick(n: number, celsius: number): void
  press(contents: Contents, secondsAgo: number): void
  estimates: Estimates
  underway: Underway
}

function bench(): Bench {
  const sense = createBathSense(defaultBase, defaultTank, { lagKnown: true })
  const readings = createReadings()
  const estimates = createEstimates()
  const underway = createUnderway()
  underway.millilitres = 400
  underway.fillSeconds = 8
  underway.drainSeconds = 10
  underway.pourCelsius = 37.8
  underway.pourSigmaCelsius = 2
  underway.rate = makeRate(COLOUR, 0)
  let ticks = 0
  return {
    estimates,
    underway,
    tick(n, celsius) {
      for (let i = 0; i < n; i++) {
        ticks++
        readings.nowSeconds = 1000 + ticks / 10
        readings.tickSeconds = 0.1
        readings.slow = ticks % 10 === 0
        // A quiet converter, but never twice the same: nothing here is stuck.
        readings.probeCounts = counts(celsius) + 0.01 * (ticks % 7)
        readings.roomCounts = counts(22)
        senseBath(sense, readings, underway, estimates)
      }
    },
    press(contents, secondsAgo) {
      underway.contents = contents
      underway.sinceSeconds = 1000 + ticks / 10 - secondsAgo
    },
  }
}

test('before any pour the tank has the temperature of its probe, and nothing is counted', () => {
  const b = bench()
  b.tick(100, 22)
  expect(b.estimates.bathCelsius).toBeCloseTo(22, 1)
  expect(b.estimates.bodyCelsius).toBeCloseTo(22, 1)
  expect(b.estimates.roomCelsius).toBeCloseTo(22, 1)
  expect(b.estimates.progress).toBe(0)
})

test('a press counts from its own moment, wherever between two seconds it fell and whenever it was seen', () => {
  const progress: number[] = []
  for (const late of [0, 0.05, 0.1]) {
    for (const offset of [0, 3, 7]) {
      const b = bench()
      b.tick(100 + offset, 37.8)
      b.press('filling', late)
      b.tick(80, 37.8)
      b.press('full', 0)
      b.tick(600, 37.8)
      b.press('draining', 0)
      b.tick(100, 37.8)
      b.press('empty', 0)
      b.tick(1, 37.8)
      progress.push(b.estimates.progress - late / 195)
    }
  }
  for (const p of progress) expect(p).toBeCloseTo(78 / 195, 3)
  expect(Math.max(...progress) - Math.min(...progress)).toBeLessThan(1e-4)
})

test('after the drain progress stays as it was at the press', () => {
  const b = bench()
  b.tick(100, 37.8)
  b.press('filling', 0)
  b.tick(80, 37.8)
  b.press('full', 0)
  b.tick(300, 37.8)
  b.press('draining', 0)
  b.tick(100, 37.8)
  b.press('empty', 0)
  b.tick(1, 37.8)
  const progress = b.estimates.progress
  b.tick(500, 30)
  expect(b.estimates.progress).toBe(progress)
})

test('on a tick that is neither a second nor a change nothing is touched', () => {
  const b = bench()
  b.tick(100, 22)
  b.estimates.bathCelsius = -1
  b.tick(9, 22)
  expect(b.estimates.bathCelsius).toBe(-1)
  b.tick(1, 22)
  expect(b.estimates.bathCelsius).toBeCloseTo(22, 1)
})

test('the lag learned in one bath is carried to the next, and nearer to the truth', () => {
  const before: number[] = []
  const after: number[] = []
  for (let seed = 1; seed <= 60; seed++) {
    const drawn = drawColour(seed)
    const last = drawn.pours[drawn.pours.length - 1]
    const [bath] = runRig({ ...RIG_DEFAULTS, ...drawn, pours: [last] })
    before.push(Math.abs(Math.log(defaultBase.probe.lagSeconds / bath.trueLagSeconds)))
    after.push(Math.abs(Math.log(bath.lagSeconds / bath.trueLagSeconds)))
  }
  const mean = (values: number[]): number => values.reduce((a, b) => a + b) / values.length
  expect(mean(after)).toBeLessThan(0.3 * mean(before))
})

const RUBBISH = [NaN, Infinity, -Infinity, -1, 0, 1e12, -1e12, 4095, 2000, 38]

function pick<T>(random: Random, from: T[]): T {
  return from[Math.floor(uniform(random) * from.length)]
}

test('rubbish from converter and session never leads to a NaN in temperature, progress or their sigma', () => {
  const contents: Contents[] = ['empty', 'filling', 'full', 'draining']
  for (let seed = 1; seed <= 200; seed++) {
    const random = createRandom(seed, 9)
    const sense = createBathSense(defaultBase, defaultTank, { lagKnown: false })
    const readings = createReadings()
    const estimates = createEstimates()
    const underway = createUnderway()
    underway.rate = makeRate(COLOUR, 0)
    let known = false
    for (let i = 1; i <= 200; i++) {
      readings.nowSeconds = i
      readings.slow = true
      readings.probeCounts = uniform(random) < 0.7 ? 1500 + 200 * uniform(random) : pick(random, RUBBISH)
      readings.roomCounts = pick(random, RUBBISH)
      if (uniform(random) < 0.1) underway.contents = pick(random, contents)
      if (uniform(random) < 0.1) underway.sinceSeconds = i + pick(random, [0, -0.1, -1, 5, NaN, -1e9])
      if (uniform(random) < 0.1) underway.millilitres = pick(random, [400, 250, ...RUBBISH])
      if (uniform(random) < 0.1) underway.fillSeconds = pick(random, [8, ...RUBBISH])
      if (uniform(random) < 0.1) underway.drainSeconds = pick(random, [10, ...RUBBISH])
      if (uniform(random) < 0.1) underway.pourCelsius = pick(random, [37.8, ...RUBBISH])
      if (uniform(random) < 0.1) underway.pourSigmaCelsius = pick(random, [2, ...RUBBISH])
      senseBath(sense, readings, underway, estimates)
      // Until the first good reading or the first bath there is nothing to be known.
      known = known || estimates.probeCelsius > 0 || underway.contents !== 'empty'
      if (!known) continue
      const { bathCelsius, bathSigmaCelsius, bodyCelsius, progress, progressSigma, lagSeconds } = estimates
      for (const value of [bathCelsius, bathSigmaCelsius, bodyCelsius, progress, progressSigma, lagSeconds]) {
        if (!Number.isFinite(value)) expect.fail(`seed ${seed}, reading ${i}: ${JSON.stringify(estimates)}`)
      }
      expect(progress).toBeGreaterThanOrEqual(0)
    }
  }
})

test('a slow pour into a warm tank, in which the probe hangs in air for long, teaches no wrong lag and frees nothing', () => {
  for (let seed = 1; seed <= 60; seed++) {
    const pour = { millilitres: 280, pourCelsius: 16.8, expectCelsius: 20, expectSigmaCelsius: 2.5 }
    const [bath] = runRig({
      ...RIG_DEFAULTS,
      seed,
      roomCelsius: 29.4,
      handSpread: 0.25,
      pours: [{ bath: BLACK_WHITE, ...pour }],
    })
    expect(Math.abs(Math.log(bath.lagSeconds / bath.trueLagSeconds))).toBeLessThan(0.3)
    expect(bath.freed).toBe(0)
  }
})
