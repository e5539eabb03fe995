/** How long it was dark, from a bath that says little or contradicts what was believed of it. */
import { expect, test } from 'vitest'
import { type DarkFacts, darkProgress, darkSigma, darkTime } from '../../../firmware/journal/darkTime.ts'
import { makeRate } from '../../../firmware/recipe/rate.ts'

const facts: DarkFacts = {
  resetCause: 'unknown',
  startsSince: 0,
  wallThenSeconds: NaN,
  wallNowSeconds: NaN,
  bathThenCelsius: 32.9,
  bathNowCelsius: 32.9,
  dropSigmaCelsius: 0.22,
  roomCelsius: 20,
  roomMeasured: false,
  coolingPerSecond: 0.00028,
}

test('a bath that seems to have warmed says no more of the dark than one that has not cooled', () => {
  const still = darkTime(facts)
  const warmer = darkTime({ ...facts, bathNowCelsius: 33.5 })
  expect(still.mostSeconds).toBeGreaterThan(60)
  expect(warmer.mostSeconds).toBe(still.mostSeconds)
  expect(warmer.seconds).toBeGreaterThan(warmer.leastSeconds)
})

test('the more a bath has cooled the longer it was dark', () => {
  const cooled = [33.5, 32.9, 32.4, 31.9, 30.9].map(
    bathNowCelsius => darkTime({ ...facts, bathNowCelsius }).mostSeconds,
  )
  for (let i = 1; i < cooled.length; i++) expect(cooled[i]).toBeGreaterThanOrEqual(cooled[i - 1] as number)
})

test('a restart by the watchdog is short, unless the board had started since and died before its first tick', () => {
  const restart: DarkFacts = { ...facts, resetCause: 'watchdog' }
  expect(darkTime(restart).mostSeconds).toBeLessThan(20)
  expect(darkTime({ ...restart, startsSince: 1 }).mostSeconds).toBeGreaterThan(300)
  // A bath that has lost degrees was dark for longer than any restart.
  expect(darkTime({ ...restart, bathNowCelsius: 29 }).leastSeconds).toBeGreaterThan(100)
})

test('a wall clock is believed where the bath does not contradict it', () => {
  const wall = (seconds: number): DarkFacts => ({ ...facts, wallThenSeconds: 1e9, wallNowSeconds: 1e9 + seconds })
  expect(darkTime(wall(90))).toEqual({ seconds: 90, leastSeconds: 89, mostSeconds: 91 })
  // Set an hour on meanwhile: the bath would have cooled. Set back: nothing is known by it.
  for (const wrong of [7000, -60]) {
    expect(darkTime({ ...wall(wrong), bathNowCelsius: 32.8 })).toEqual(darkTime({ ...facts, bathNowCelsius: 32.8 }))
  }
  // After a restart it is either the clock or the prompt: both are possible.
  const both = darkTime({ ...wall(120), resetCause: 'watchdog' })
  expect(both.leastSeconds).toBeLessThan(5)
  expect(both.mostSeconds).toBe(120)
  // With the edges as two sigma, each of the two is inside.
  const sigma = (both.mostSeconds - both.leastSeconds) / 4
  expect(120 - both.seconds).toBeLessThanOrEqual(2 * sigma)
  expect(both.seconds - 8).toBeLessThanOrEqual(2 * sigma)
})

test('a bath close to the room says hardly anything: the likeliest of what is possible is not taken for a measurement', () => {
  // Believed 20 C, really 15 C: what it lost in minutes looks like half an hour.
  const close = darkTime({ ...facts, bathThenCelsius: 21.2, bathNowCelsius: 20.7 })
  expect(close.leastSeconds).toBeLessThan(30)
  expect(close.mostSeconds).toBe(7200)
  expect(close.seconds).toBeLessThan(400)
  // Where it does say something it is believed: half of the way to the room.
  const half = darkTime({ ...facts, bathThenCelsius: 38, bathNowCelsius: 29, roomMeasured: true })
  expect(half.seconds).toBeCloseTo(Math.log(2) / facts.coolingPerSecond, 0)
})

test('both edges of the dark time are within two sigma of what is taken, however far to one side it lies', () => {
  const rate = makeRate(
    {
      name: 'd',
      kind: 'developed',
      rows: [
        [20, 100],
        [30, 50],
      ],
      rowsFor: 'rotary',
      agitation: 'a',
    },
    0,
  )
  for (const drop of [0, 0.3, 1, 3, 8]) {
    const dark = darkTime({ ...facts, bathNowCelsius: facts.bathThenCelsius - drop })
    expect(dark.seconds + 2 * darkSigma(dark)).toBeGreaterThanOrEqual(dark.mostSeconds - 1e-9)
    expect(dark.seconds - 2 * darkSigma(dark)).toBeLessThanOrEqual(dark.leastSeconds + 1e-9)
    const { progress, sigma } = darkProgress(rate, dark, 25, 25, 0)
    expect(progress + 2 * sigma).toBeGreaterThanOrEqual((progress / dark.seconds) * dark.mostSeconds - 1e-9)
  }
})
