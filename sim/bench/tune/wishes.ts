/**
 * What a programme should keep to: each wish a limit on one measure. Pure.
 *
 * Without being asked, four are made: an unevenness of at most 1 % (the budget that the shipped programmes keep); no place
 * dry for more than 3 s, a fifth of the shortest time in which what clings to the film is used up in our own model
 * (`bathTruth.ts`: 15 to 60 s, assumed); no longer in one direction than 10 s, as nobody has published an interval for
 * reversals (assumed, after the 10 s between nitrogen bursts in KODAK J-109's large tanks); and no more current than the
 * base file allows its motor.
 */
import type { BaseFile } from '../../../firmware/baseFile.ts'
import type { Figures } from './figures.ts'

export type Measure =
  | 'immersionCv'
  | 'longestDrySeconds'
  | 'oneWaySeconds'
  | 'exchangesPerMinute'
  | 'reversals'
  | 'joules'
  | 'peakAmps'
  | 'foamMillimetresPerSecond'

export interface Wish {
  /** The option by which it is asked for. */
  option: string
  measure: Measure
  limit: number
  /** The measure is to be at least the limit, not at most. */
  atLeast: boolean
}

/** Asked for by options, in the units of the measures. */
export interface AskedWishes {
  cv?: number
  dry?: number
  oneWay?: number
  exchanges?: number
  reversals?: number
  joules?: number
  amps?: number
  foam?: number
}

export const DEFAULT_CV_PERCENT = 1
export const DEFAULT_DRY_SECONDS = 3
export const DEFAULT_ONE_WAY_SECONDS = 10

/** `cv` is in percent, as people say it. */
export function wishesFor(asked: AskedWishes, base: BaseFile): Wish[] {
  const wishes: Wish[] = []
  const add = (option: string, measure: Measure, limit: number | undefined, atLeast = false): void => {
    if (limit !== undefined) wishes.push({ option, measure, limit, atLeast })
  }
  add('--cv', 'immersionCv', (asked.cv ?? DEFAULT_CV_PERCENT) / 100)
  add('--dry', 'longestDrySeconds', asked.dry ?? DEFAULT_DRY_SECONDS)
  add('--one-way', 'oneWaySeconds', asked.oneWay ?? DEFAULT_ONE_WAY_SECONDS)
  add('--exchanges', 'exchangesPerMinute', asked.exchanges, true)
  add('--reversals', 'reversals', asked.reversals)
  add('--joules', 'joules', asked.joules)
  add('--amps', 'peakAmps', Math.min(asked.amps ?? Infinity, base.limits.motorAmps))
  add('--foam', 'foamMillimetresPerSecond', asked.foam)
  return wishes
}

export function isMet(wish: Wish, figures: Figures): boolean {
  const value = figures[wish.measure]
  return wish.atLeast ? value >= wish.limit : value <= wish.limit
}

/** How far a measure misses its limit, as a fraction of the limit; 0 where it is met. */
export function missOf(wish: Wish, figures: Figures): number {
  if (isMet(wish, figures)) return 0
  const by = Math.abs(figures[wish.measure] - wish.limit)
  return by / Math.max(wish.limit, 1e-6)
}

/** The drive does what the programme says: it gets to its speed and is never taken for stalled. */
export function isDriven(figures: Figures): boolean {
  return figures.failedFraction === 0 && figures.reachedFraction >= LEAST_REACHED
}

/** Slower than this fraction of what was asked is not the programme that was asked for. Assumed. */
const LEAST_REACHED = 0.95

export function meetsAll(wishes: Wish[], figures: Figures): boolean {
  return isDriven(figures) && wishes.every(wish => isMet(wish, figures))
}

/** The worst miss of all wishes; a programme that the motor does not follow misses by more than any other. */
export function worstMiss(wishes: Wish[], figures: Figures): number {
  const undriven = isDriven(figures) ? 0 : 1000 * (1 + LEAST_REACHED - Math.min(figures.reachedFraction, LEAST_REACHED))
  return wishes.reduce((worst, wish) => Math.max(worst, missOf(wish, figures)), 0) + undriven
}
