/**
 * When will the bath have acted: the time at which progress reaches 1, with the bath going on as physics has it. Bath
 * and body even out exponentially, and both together go exponentially towards the room.
 *
 * Solved by Newton's method from the answer before; each turn integrates the speed of development by Simpson's rule,
 * finer over the first minute, in which bath and tank even out. Good to a thousandth of the time left. A rate too slow
 * to end within ten hours gives ten hours; temperatures that are no numbers give what the rate gives for its middle.
 */
import type { Rate } from '../recipe/rate.ts'
import type { Estimates } from '../sense/estimates.ts'
import { speedAt } from './progress.ts'

/** No bath of a recipe lasts longer. */
export const LONGEST_SECONDS = 36000

/** The minute in which bath and tank even out. */
const EARLY_SECONDS = 60

/** The bath in `aheadSeconds`, if nobody touches it. */
export function bathAhead(estimates: Estimates, aheadSeconds: number): number {
  const difference = estimates.bathCelsius - estimates.bodyCelsius
  const share = estimates.bodyHeatShare
  const room = estimates.believedRoomCelsius
  const evened = estimates.bathCelsius - share * difference
  return (
    room +
    (evened - room) * Math.exp(-estimates.coolingPerSecond * aheadSeconds) +
    share * difference * Math.exp(-estimates.eveningPerSecond * aheadSeconds)
  )
}

/** What the bath will add to progress between `from` and `to` seconds from now: Simpson's rule over four parts. */
function addedBetween(rate: Rate, estimates: Estimates, from: number, to: number): number {
  const part = (to - from) / 4
  const odd = speedAt(rate, bathAhead(estimates, from + part)) + speedAt(rate, bathAhead(estimates, from + 3 * part))
  const even = speedAt(rate, bathAhead(estimates, from + 2 * part))
  const ends = speedAt(rate, bathAhead(estimates, from)) + speedAt(rate, bathAhead(estimates, to))
  return (part * (ends + 4 * odd + 2 * even)) / 3
}

/** What the bath will add to progress in the next `seconds`. */
export function progressAhead(rate: Rate, estimates: Estimates, seconds: number): number {
  if (seconds <= EARLY_SECONDS) return addedBetween(rate, estimates, 0, seconds)
  return addedBetween(rate, estimates, 0, EARLY_SECONDS) + addedBetween(rate, estimates, EARLY_SECONDS, seconds)
}

/**
 * Seconds from now until `missing` more progress is made: negative where it was made already. `guessSeconds`: the last
 * answer less the time gone since, or NaN.
 */
export function secondsUntil(rate: Rate, estimates: Estimates, missing: number, guessSeconds: number): number {
  const speedNow = speedAt(rate, estimates.bathCelsius)
  if (missing <= 0) return missing / speedNow
  let seconds = guessSeconds > 0 && guessSeconds < LONGEST_SECONDS ? guessSeconds : missing / speedNow
  for (let turn = 0; turn < 4; turn++) {
    const error = missing - progressAhead(rate, estimates, seconds)
    const correction = error / speedAt(rate, bathAhead(estimates, seconds))
    seconds += correction
    if (seconds < 0) seconds = 0
    if (!(seconds < LONGEST_SECONDS)) return LONGEST_SECONDS
    if (correction < CLOSE_SECONDS && correction > -CLOSE_SECONDS) break
  }
  return seconds
}

/** Newton's method squares its error: after a correction this small nothing is left to correct. */
const CLOSE_SECONDS = 0.5
