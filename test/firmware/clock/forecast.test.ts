/** The forecast's own arithmetic: against a finer integration, at its edges, and where nothing is known. */
import { expect, test } from 'vitest'
import { bathAhead, LONGEST_SECONDS, progressAhead, secondsUntil } from '../../../firmware/clock/forecast.ts'
import { progressStep, speedAt } from '../../../firmware/clock/progress.ts'
import { makeRate, secondsAt } from '../../../firmware/recipe/rate.ts'
import { createEstimates, type Estimates } from '../../../firmware/sense/estimates.ts'
import { COLOUR } from './rig.ts'

const rate = makeRate(COLOUR, 0)

/** Poured warm into a cold tank in a colder room. */
function uneven(): Estimates {
  const estimates = createEstimates()
  estimates.bathCelsius = 38
  estimates.bodyCelsius = 22
  estimates.believedRoomCelsius = 18
  estimates.eveningPerSecond = 0.06
  estimates.bodyHeatShare = 0.2
  estimates.coolingPerSecond = 3e-4
  return estimates
}

/** By the rectangle in the middle of each fiftieth of a second. */
function fineProgress(estimates: Estimates, seconds: number): number {
  let sum = 0
  const parts = Math.ceil(seconds * 50)
  const part = seconds / parts
  for (let i = 0; i < parts; i++) sum += part / secondsAt(rate, bathAhead(estimates, (i + 0.5) * part))
  return sum
}

test('development is as fast as its whole time is short', () => {
  expect(speedAt(rate, 37.8) * 195).toBeCloseTo(1, 9)
  expect(speedAt(rate, 30) * 480).toBeCloseTo(1, 9)
})

test('a step between two speeds is what an exponential between them gives', () => {
  for (const [before, after] of [
    [0.005, 0.005],
    [0.005, 0.0056],
    [0.006, 0.004],
  ]) {
    const exact = before === after ? before * 10 : ((after - before) / Math.log(after / before)) * 10
    expect(progressStep(before, after, 10) / exact).toBeCloseTo(1, 4)
  }
})

test('bath and tank meet at their common heat, and both go on towards the room', () => {
  const estimates = uneven()
  const share = 0.2 * 16
  for (const seconds of [0, 5, 30, 200, 5000]) {
    const expected = 18 + (20 - share) * Math.exp(-3e-4 * seconds) + share * Math.exp(-0.06 * seconds)
    expect(bathAhead(estimates, seconds)).toBeCloseTo(expected, 12)
  }
})

test('progress ahead agrees with a fine integration to a thousandth, before, at and after the minute of evening out', () => {
  for (const seconds of [10, 45, 60, 61, 90, 150, 240]) {
    expect(Math.abs(progressAhead(rate, uneven(), seconds) / fineProgress(uneven(), seconds) - 1)).toBeLessThan(1e-3)
  }
  expect(progressAhead(rate, uneven(), 0)).toBe(0)
})

test('the time to go is found from any guess, also one that is far off or senseless', () => {
  for (const seconds of [1, 20, 58, 62, 180, 230]) {
    const missing = fineProgress(uneven(), seconds)
    for (const guess of [NaN, -5, 0, 0.5, seconds, 4 * seconds, LONGEST_SECONDS, 1e9]) {
      const found = secondsUntil(rate, uneven(), missing, guess)
      expect(Math.abs(found - seconds), `${seconds} s from ${guess}`).toBeLessThan(0.15 + 0.001 * seconds)
    }
  }
})

/** How often the forecast asks for the bath ahead, for which it needs the room once each time. */
function asked(missing: number, guess: number): number {
  let times = 0
  const estimates = uneven()
  const room = estimates.believedRoomCelsius
  Object.defineProperty(estimates, 'believedRoomCelsius', {
    get: () => {
      times++
      return room
    },
  })
  secondsUntil(rate, estimates, missing, guess)
  return times
}

test('from its last answer the forecast takes one turn; from none, or from a senseless one, it begins with the speed now', () => {
  const missing = fineProgress(uneven(), 180)
  const turn = asked(missing, 180)
  // Ten temperatures for Simpson's rule over two stretches, and one where they end.
  expect(turn).toBe(11)
  const anew = asked(missing, NaN)
  expect(anew).toBeGreaterThan(turn)
  for (const guess of [-5, 0, LONGEST_SECONDS, 1e9]) expect(asked(missing, guess), `${guess}`).toBe(anew)
  // The speed now is near enough for two turns.
  expect(anew).toBe(3 * turn)
})

test('what is over is over by as much as the bath does now in that time', () => {
  const estimates = uneven()
  expect(secondsUntil(rate, estimates, 0, 100)).toBe(0)
  expect(secondsUntil(rate, estimates, -0.1, 100)).toBeCloseTo(-0.1 * secondsAt(rate, 38), 9)
})

test('a bath too slow to end within ten hours ends in ten hours, as far as the clock goes', () => {
  const cold = uneven()
  cold.bathCelsius = cold.bodyCelsius = cold.believedRoomCelsius = -5
  const slow = makeRate(
    {
      ...COLOUR,
      rows: [
        [30, 4e5],
        [37.8, 3e5],
      ],
    },
    0,
  )
  expect(secondsUntil(slow, cold, 1, NaN)).toBe(LONGEST_SECONDS)
  expect(secondsUntil(slow, cold, 1, 100)).toBe(LONGEST_SECONDS)
})

test('without any temperature the forecast is that of the middle of the sheet', () => {
  const blind = createEstimates()
  const middle = secondsAt(rate, NaN)
  expect(secondsUntil(rate, blind, 1, NaN)).toBeCloseTo(middle, 6)
  expect(secondsUntil(rate, blind, 0.5, 30)).toBeCloseTo(middle / 2, 6)
})
