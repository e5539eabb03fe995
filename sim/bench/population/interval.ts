/**
 * How far a figure from so many sessions can be trusted: intervals that hold the true value in 95 of 100 populations.
 * Pure functions; too few sessions give NaN for an end that cannot be told.
 */
import { deviationOf, meanOf, type Sketch, valueAtRank } from './sketch.ts'

/** Of the normal distribution: 2.5 % lie beyond. */
export const NORMAL_95 = 1.959963985

export type Interval = [number, number]

/** Of a share: Wilson (1927), which stays within 0 and 1 and is good for few sessions and for none of them. */
export function shareInterval(hits: number, of: number): Interval {
  if (of === 0) return [0, 1]
  const share = hits / of
  const z2 = NORMAL_95 * NORMAL_95
  const middle = share + z2 / (2 * of)
  const half = NORMAL_95 * Math.sqrt((share * (1 - share)) / of + z2 / (4 * of * of))
  const low = hits === 0 ? 0 : (middle - half) / (1 + z2 / of)
  const high = hits === of ? 1 : (middle + half) / (1 + z2 / of)
  return [Math.max(0, low), Math.min(1, high)]
}

/** Of a mean: normal, good from some dozens of sessions on. */
export function meanInterval(sketch: Sketch): Interval {
  const half = (NORMAL_95 * deviationOf(sketch)) / Math.sqrt(sketch.count)
  const mean = meanOf(sketch)
  return [mean - half, mean + half]
}

/** Of a quantile, whatever the distribution: the values at the ranks between which it lies (binomial, by its normal). */
export function quantileInterval(sketch: Sketch, part: number): Interval {
  const of = sketch.count
  const half = NORMAL_95 * Math.sqrt(of * part * (1 - part))
  return [valueAtRank(sketch, Math.floor(of * part - half)), valueAtRank(sketch, Math.ceil(of * part + half) + 1)]
}
