/**
 * A few evenings of a population as they are, for a picture and for a closer look: a sample that does not depend on who ran
 * which evening (those whose seeds come first in a fixed shuffle), and the ones whose clocks were furthest off. Both are
 * bounded, and parts add up to those of the whole.
 */
import { createRandom, uniform } from '../../plant/random.ts'

/** One evening: of the first developed bath, errors with their sign. */
export interface Point {
  seed: number
  clockErrorPercent: number
  totalErrorPercent: number
  boundPercent: number
}

export interface Points {
  sample: Point[]
  furthest: Point[]
}

export const SAMPLE_AT_MOST = 500
const FURTHEST_AT_MOST = 5
const STREAM = 302

export function pointsOf(evenings: Point[]): Points {
  const points = { sample: [], furthest: [] }
  addPoints(points, { sample: evenings, furthest: evenings })
  return points
}

/** A place in the shuffle, for each of some points. */
function firstOfShuffle(points: Point[]): Point[] {
  const placed = points.map(point => ({ point, place: uniform(createRandom(point.seed, STREAM)) }))
  placed.sort((a, b) => a.place - b.place || a.point.seed - b.point.seed)
  return placed.slice(0, SAMPLE_AT_MOST).map(({ point }) => point)
}

function error(point: Point): number {
  return Math.abs(point.clockErrorPercent)
}

/** Ties are decided by the seed, so that the order of adding never shows. */
function byError(a: Point, b: Point): number {
  return error(b) - error(a) || a.seed - b.seed
}

/** Sorts each time: add many at once. */
export function addPoints(points: Points, more: Points): void {
  points.sample = firstOfShuffle([...points.sample, ...more.sample])
  points.furthest = [...points.furthest, ...more.furthest].sort(byError).slice(0, FURTHEST_AT_MOST)
}
