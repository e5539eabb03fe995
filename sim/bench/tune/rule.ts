/**
 * The rule by which one programme is advised: of those that meet every wish the one that costs least, energy and wear
 * together; what costs hardly more counts as the same, and of those the most even is taken. Where none meets every wish,
 * the one whose worst miss is smallest. Pure.
 */
import type { Figures } from './figures.ts'
import { meetsAll, type Wish, worstMiss } from './wishes.ts'

/** What one reversal weighs beside the energy, for gears, rollers and ears: assumed, about what it takes from the pack. */
export const DEFAULT_WEAR_JOULES = 1

/** Costs that differ by less than this fraction are the same to anyone: assumed. */
export const SAME_COST = 0.03

/** Joules of a bath, and so many more for each reversal. */
export function costOf(figures: Figures, wearJoules: number): number {
  return figures.joules + wearJoules * figures.reversals
}

/** Below 0 when a is the better one. */
export function compareByRule(a: Figures, b: Figures, wishes: Wish[], wearJoules: number): number {
  const aMeets = meetsAll(wishes, a)
  const bMeets = meetsAll(wishes, b)
  if (aMeets !== bMeets) return aMeets ? -1 : 1
  if (aMeets) return costOf(a, wearJoules) - costOf(b, wearJoules) || a.immersionCv - b.immersionCv
  return worstMiss(wishes, a) - worstMiss(wishes, b) || costOf(a, wearJoules) - costOf(b, wearJoules)
}

/** The best first; equals stay in their order. */
export function sortedByRule<T extends { figures: Figures }>(all: T[], wishes: Wish[], wearJoules: number): T[] {
  return [...all].sort((a, b) => compareByRule(a.figures, b.figures, wishes, wearJoules))
}

/** The programme advised, of at least one. */
export function chosenOf<T extends { figures: Figures }>(all: T[], wishes: Wish[], wearJoules: number): T {
  const sorted = sortedByRule(all, wishes, wearJoules)
  const first = sorted[0] as T
  if (!meetsAll(wishes, first.figures)) return first
  const dearest = costOf(first.figures, wearJoules) * (1 + SAME_COST)
  const same = sorted.filter(one => meetsAll(wishes, one.figures) && costOf(one.figures, wearJoules) <= dearest)
  return same.reduce((best, one) => (one.figures.immersionCv < best.figures.immersionCv ? one : best))
}
