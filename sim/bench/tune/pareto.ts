/**
 * Which programmes are worth looking at: those that no other beats in every objective at once. Pure.
 *
 * Figures that differ by less than an objective's `grain` count as the same, so that a front does not consist of
 * programmes nobody could tell apart: of those in one box of grains only the one nearest to the box's best corner stays.
 */
import type { Figures } from './figures.ts'

export interface Objective {
  measure: keyof Figures
  /** Differences below it mean nothing to anyone: assumed. */
  grain: number
}

/** All to be as small as possible. */
export const OBJECTIVES: Objective[] = [
  { measure: 'immersionCv', grain: 0.0005 },
  { measure: 'longestDrySeconds', grain: 0.1 },
  { measure: 'oneWaySeconds', grain: 0.5 },
  { measure: 'reversals', grain: 2 },
  { measure: 'joules', grain: 4 },
  { measure: 'foamMillimetresPerSecond', grain: 4 },
]

function boxOf(figures: Figures): number[] {
  return OBJECTIVES.map(({ measure, grain }) => Math.floor(figures[measure] / grain))
}

/** a is nowhere worse than b. */
function nowhereWorse(a: number[], b: number[]): boolean {
  for (let i = 0; i < a.length; i++) if ((a[i] as number) > (b[i] as number)) return false
  return true
}

function isSame(a: number[], b: number[]): boolean {
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false
  return true
}

function cornerDistance(figures: Figures): number {
  return OBJECTIVES.reduce((sum, { measure, grain }) => sum + ((figures[measure] / grain) % 1), 0)
}

/** Those that no other dominates, in the order given. */
export function frontOf<T extends { figures: Figures }>(candidates: T[]): T[] {
  let front: { candidate: T; box: number[]; corner: number }[] = []
  for (const candidate of candidates) {
    const box = boxOf(candidate.figures)
    const corner = cornerDistance(candidate.figures)
    const beaten = front.some(one => nowhereWorse(one.box, box) && (!isSame(one.box, box) || one.corner <= corner))
    if (beaten) continue
    front = front.filter(one => !nowhereWorse(box, one.box))
    front.push({ candidate, box, corner })
  }
  return front.map(one => one.candidate)
}

/**
 * At most `most` of a front, spread over it: the best of each objective first, then again and again the one that is
 * furthest from all taken. `first` are taken before any other.
 */
export function spreadOver<T extends { figures: Figures }>(front: T[], most: number, first: T[] = []): T[] {
  if (front.length <= most) return front
  const ranges = OBJECTIVES.map(({ measure }) => {
    const values = front.map(one => one.figures[measure])
    const low = Math.min(...values)
    return { measure, low, width: Math.max(...values) - low || 1 }
  })
  const placeOf = (one: T): number[] => ranges.map(({ measure, low, width }) => (one.figures[measure] - low) / width)
  const places = front.map(placeOf)
  const nearest = front.map(() => Infinity)
  const taken = new Set<number>()
  const take = (index: number): void => {
    taken.add(index)
    const place = places[index] as number[]
    for (let i = 0; i < front.length; i++) {
      const distance = (places[i] as number[]).reduce((sum, value, d) => sum + (value - (place[d] as number)) ** 2, 0)
      nearest[i] = Math.min(nearest[i] as number, distance)
    }
  }
  for (const one of first) if (front.includes(one) && taken.size < most) take(front.indexOf(one))
  for (let d = 0; d < ranges.length && taken.size < most; d++) {
    let best = 0
    for (let i = 1; i < front.length; i++) {
      if (((places[i] as number[])[d] as number) < ((places[best] as number[])[d] as number)) best = i
    }
    if (!taken.has(best)) take(best)
  }
  while (taken.size < most) {
    let furthest = -1
    for (let i = 0; i < front.length; i++) {
      if (!taken.has(i) && (furthest < 0 || (nearest[i] as number) > (nearest[furthest] as number))) furthest = i
    }
    take(furthest)
  }
  return front.filter((_, index) => taken.has(index))
}
