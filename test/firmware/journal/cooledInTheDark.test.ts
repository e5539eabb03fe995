/** How long it was dark, and what the film got meanwhile, with every figure reckoned here once more. */
import { expect, test } from 'vitest'
import { type DarkFacts, darkProgress, darkTime } from '../../../firmware/journal/darkTime.ts'
import { makeRate, secondsAt, sensitivityAt } from '../../../firmware/recipe/rate.ts'

/** A bath at 36 in a measured room at 20, both well known, that was dark after the power was gone. */
const facts: DarkFacts = {
  resetCause: 'power',
  startsSince: 0,
  wallThenSeconds: NaN,
  wallNowSeconds: NaN,
  bathThenCelsius: 36,
  bathNowCelsius: 36,
  dropSigmaCelsius: 0.05,
  roomCelsius: 20,
  roomMeasured: true,
  coolingPerSecond: 3e-4,
}
const cooledFor = (seconds: number): DarkFacts => ({ ...facts, bathNowCelsius: 20 + 16 * Math.exp(-3e-4 * seconds) })
const wall = (seconds: number, from: DarkFacts = cooledFor(seconds)): DarkFacts => ({
  ...from,
  wallThenSeconds: 1.7e9,
  wallNowSeconds: 1.7e9 + seconds,
})

test('a bath tells its dark time exactly where all is as believed, between the edges of what is known', () => {
  for (const seconds of [120, 600, 1800]) {
    const known = cooledFor(seconds)
    const dark = darkTime(known)
    const drop = 36 - known.bathNowCelsius
    expect(dark.seconds).toBeCloseTo(seconds, 6)
    // Cooled by two sigma less in a room two degrees colder, faster by 1.6; and the other way round.
    expect(dark.leastSeconds).toBeCloseTo(Math.log(18 / (18 - drop + 0.1)) / (3e-4 * 1.6), 6)
    expect(dark.mostSeconds).toBeCloseTo(Math.log(14 / (14 - drop - 0.1)) / (3e-4 / 1.6), 6)
  }
})

test('a room that is only believed may be eight degrees off, either way', () => {
  const dark = darkTime({ ...cooledFor(600), roomMeasured: false })
  const drop = 16 - 16 * Math.exp(-0.18)
  expect(dark.seconds).toBeCloseTo(600, 6)
  expect(dark.leastSeconds).toBeCloseTo(Math.log(24 / (24 - drop + 0.1)) / (3e-4 * 1.6), 6)
  expect(dark.mostSeconds).toBeCloseTo(Math.log(8 / (8 - drop - 0.1)) / (3e-4 / 1.6), 6)
})

test('a cold bath in a warm room tells it in the same way', () => {
  const warming = { ...facts, bathThenCelsius: 20, roomCelsius: 36, bathNowCelsius: 36 - 16 * Math.exp(-3e-4 * 600) }
  const cooling = darkTime(cooledFor(600))
  const dark = darkTime(warming)
  expect(dark.seconds).toBeCloseTo(cooling.seconds, 6)
  expect(dark.leastSeconds).toBeCloseTo(cooling.leastSeconds, 6)
  expect(dark.mostSeconds).toBeCloseTo(cooling.mostSeconds, 6)
})

test('a bath that has not cooled was dark for three seconds at least, and for what two sigma of its fall take at most', () => {
  const dark = darkTime(facts)
  const most = Math.log(14 / 13.9) / (3e-4 / 1.6)
  expect(dark.leastSeconds).toBe(3)
  expect(dark.mostSeconds).toBeCloseTo(most, 6)
  expect(dark.seconds).toBeCloseTo(Math.sqrt(3 * most), 6)
})

test('a bath as cold as its room was dark for anything up to two hours', () => {
  for (const bathNowCelsius of [21.5, 20, 19]) {
    const dark = darkTime({ ...facts, bathNowCelsius })
    expect(dark.mostSeconds, `${bathNowCelsius} C`).toBe(7200)
    expect(dark.leastSeconds).toBeGreaterThan(1000)
  }
  const cold = darkTime({ ...facts, bathNowCelsius: 19 })
  expect(cold.seconds).toBeCloseTo(Math.sqrt(cold.leastSeconds * 7200), 6)
})

test('where nothing is known of the bath it was dark for three seconds to two hours', () => {
  for (const unknown of [
    { bathThenCelsius: NaN },
    { bathNowCelsius: NaN },
    { roomCelsius: NaN },
    { coolingPerSecond: NaN },
    { dropSigmaCelsius: NaN },
  ]) {
    const dark = darkTime({ ...cooledFor(900), ...unknown })
    expect(dark.leastSeconds, JSON.stringify(unknown)).toBe(3)
    expect(dark.mostSeconds).toBe(7200)
  }
})

test('a bath that has cooled further than any time explains says nothing: three seconds to two hours', () => {
  const dark = darkTime({ ...cooledFor(900), coolingPerSecond: 1e-6 })
  expect([dark.leastSeconds, dark.mostSeconds]).toEqual([3, 7200])
})

test('a restart takes 3 s to 12 s and a checkpoint interval, in the middle ten, by whatever restarts', () => {
  for (const resetCause of ['watchdog', 'software'] as const) {
    expect(darkTime({ ...facts, resetCause })).toEqual({ seconds: 10, leastSeconds: 3, mostSeconds: 17 })
  }
  for (const resetCause of ['power', 'unknown'] as const) {
    expect(darkTime({ ...facts, resetCause })).toEqual(darkTime(facts))
  }
})

test('a wall clock that ran says it to a second, and never less than nothing', () => {
  expect(darkTime(wall(600))).toEqual({ seconds: 600, leastSeconds: 599, mostSeconds: 601 })
  expect(darkTime(wall(2))).toEqual({ seconds: 2, leastSeconds: 1, mostSeconds: 3 })
  expect(darkTime(wall(0.5))).toEqual({ seconds: 0.5, leastSeconds: 0, mostSeconds: 1.5 })
  expect(darkTime(wall(0))).toEqual({ seconds: 0, leastSeconds: 0, mostSeconds: 1 })
})

test('a wall clock is believed up to the edges of what the bath says, and no further', () => {
  const bath = cooledFor(600)
  const { leastSeconds, mostSeconds } = darkTime(bath)
  for (const seconds of [leastSeconds + 1, mostSeconds - 1]) {
    expect(darkTime(wall(seconds, bath)).mostSeconds - seconds).toBeCloseTo(1, 5)
  }
  for (const seconds of [leastSeconds - 1, mostSeconds + 1, -1]) {
    expect(darkTime(wall(seconds, bath)), `${seconds} s`).toEqual(darkTime(bath))
  }
})

test('after a restart, a wall clock is believed as far as a restart takes; longer, both are possible', () => {
  const restart: DarkFacts = { ...cooledFor(30), resetCause: 'watchdog' }
  expect(darkTime(wall(17, restart))).toEqual({ seconds: 17, leastSeconds: 16, mostSeconds: 18 })
  expect(darkTime(wall(18, restart))).toEqual({ seconds: 10.5, leastSeconds: 3, mostSeconds: 18 })
  // A board that died once more on the way may have been dark for all of it.
  expect(darkTime(wall(18, { ...restart, startsSince: 1 })).leastSeconds).toBe(17)
})

const rate = makeRate(
  {
    name: 'developer',
    kind: 'developed',
    rows: [
      [30, 480],
      [37.8, 195],
    ],
    agitation: 'even',
  },
  0,
)
const dark = { seconds: 60, leastSeconds: 40, mostSeconds: 100 }

test('a bath by time gets no progress in the dark', () => {
  expect(darkProgress(undefined, dark, 38, 36, 1)).toEqual({ progress: 0, sigma: 0, celsiusSigma: 0 })
})

test('what a film got in the dark is its rate along the fall, as a fine integration has it', () => {
  let fine = 0
  for (let i = 0; i < 6000; i++) fine += 0.01 / secondsAt(rate, 37 - (4 * (i + 0.5)) / 6000)
  expect(darkProgress(rate, dark, 37, 33, 0).progress / fine).toBeCloseTo(1, 3)
  expect(darkProgress(rate, dark, 35, 35, 0).progress).toBeCloseTo(60 / secondsAt(rate, 35), 12)
})

test('its sigma is half of the way to the further edge of the time, and what the temperatures leave', () => {
  const perSecond = 1 / secondsAt(rate, 35)
  expect(darkProgress(rate, dark, 35, 35, 0)).toMatchObject({ celsiusSigma: 0 })
  expect(darkProgress(rate, dark, 35, 35, 0).sigma).toBeCloseTo(((dark.mostSeconds - 60) * perSecond) / 2, 12)
  const warm = darkProgress(rate, dark, 35, 35, 0.5)
  const byCelsius = 60 * perSecond * sensitivityAt(rate, 35) * 0.5
  expect(warm.celsiusSigma).toBeCloseTo(byCelsius, 12)
  expect(warm.sigma).toBeCloseTo(Math.hypot(((dark.mostSeconds - 60) * perSecond) / 2, byCelsius), 12)
  // The temperature that matters for it is half-way.
  const fallen = darkProgress(rate, dark, 37, 33, 0.5)
  expect(fallen.celsiusSigma / fallen.progress).toBeCloseTo(sensitivityAt(rate, 35) * 0.5, 12)
})
