/** How long it was dark, from a bath that says little or contradicts what was believed of it. */
import { expect, test } from 'vitest'
import { type DarkFacts, darkTime } from '../../../firmware/journal/darkTime.ts'

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
