/** How long it was dark, from a bath that says little or contradicts what was believed of it. */
import { expect, test } from 'vitest'
import { type DarkFacts, darkTime } from '../../../firmware/journal/darkTime.ts'

const facts: DarkFacts = {
  resetCause: 'unknown',
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
