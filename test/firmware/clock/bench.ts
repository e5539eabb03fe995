/** A clock with nothing around it: estimates and presses as the tests set them, a constant bath that makes progress by itself. */
import { beginBath, type Clock, createClock, tickClock } from '../../../firmware/clock/clock.ts'
import { makeRate, secondsAt } from '../../../firmware/recipe/rate.ts'
import type { Bath } from '../../../firmware/recipe/recipe.ts'
import { createEstimates, type Estimates } from '../../../firmware/sense/estimates.ts'
import { createUnderway, type Underway } from '../../../firmware/sense/underway.ts'

export const POUR = { fillSeconds: 8, drainSeconds: 10 }
export const PRIOR = { reactionSeconds: 2, reactionSigmaSeconds: 0.5, known: false }

export interface Bench {
  clock: Clock
  estimates: Estimates
  underway: Underway
  tick: number
}

export function bench(bath: Bath, prior = PRIOR): Bench {
  const clock = createClock(prior)
  const estimates = createEstimates()
  const underway = createUnderway()
  underway.fillSeconds = POUR.fillSeconds
  underway.drainSeconds = POUR.drainSeconds
  underway.startsWhen = bath.startsWhen ?? 'contact'
  const rate = bath.kind === 'developed' ? makeRate(bath, 0) : undefined
  underway.rate = rate
  estimates.bathCelsius = 37.8
  estimates.bodyCelsius = 37.8
  estimates.believedRoomCelsius = 37.8
  beginBath(clock, bath, 0, rate, POUR)
  return { clock, estimates, underway, tick: 0 }
}

/** Ticks until `seconds` have passed or `until` says so; a constant bath makes progress by itself. */
export function go(b: Bench, seconds: number, until: () => boolean = () => false): void {
  for (let i = Math.round(seconds * 10); i > 0 && !until(); i--) {
    b.tick++
    b.estimates.nowSeconds = b.tick / 10
    b.estimates.tickSeconds = 0.1
    b.estimates.slow = b.tick % 10 === 0
    const counts =
      b.underway.contents !== 'empty' && (b.underway.startsWhen === 'contact' || b.underway.contents !== 'filling')
    if (b.underway.rate !== undefined && counts)
      b.estimates.progress += 0.1 / secondsAt(b.underway.rate, b.estimates.bathCelsius)
    tickClock(b.clock, b.estimates, b.underway)
  }
}

export function press(b: Bench, contents: Underway['contents']): void {
  b.underway.contents = contents
  b.underway.sinceSeconds = b.tick / 10
}

/** Runs a bath to its cue and returns the seconds from first contact to it. */
export function cueAfter(b: Bench): number {
  go(b, 5)
  press(b, 'filling')
  const contact = b.tick / 10
  go(b, POUR.fillSeconds)
  press(b, 'full')
  go(b, 100_000, () => b.clock.view.due)
  return b.tick / 10 - contact
}

export const timed: Bath = { name: 'stop', kind: 'timed', seconds: 60, agitation: 'even' }
export const atLeast: Bath = { name: 'fixer', kind: 'atLeast', seconds: 60, agitation: 'even' }
