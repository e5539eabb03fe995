/** Reuse bands at their edges, and counts that are no counts. */
import { expect, test } from 'vitest'
import type { Reuse } from '../../../firmware/recipe/recipe.ts'
import {
  bathFactor,
  primarySeconds,
  reuseExhausted,
  reuseFactor,
  timedSeconds,
} from '../../../firmware/recipe/reuse.ts'

const bands: Reuse = {
  factors: [
    [5, 1.05],
    [10, 1.15],
  ],
}

test('a band holds up to its last film: after five films the sixth is in the next band', () => {
  expect([0, 4, 4.9, 5, 9.9].map(films => reuseFactor(bands, 100, films))).toEqual([1.05, 1.05, 1.05, 1.15, 1.15])
})

test('beyond the last band its figure stays, and the solution counts as exhausted', () => {
  expect(reuseFactor(bands, 100, 40)).toBe(1.15)
  expect(reuseExhausted(bands, 9.9)).toBe(false)
  expect(reuseExhausted(bands, 10)).toBe(true)
  expect(reuseExhausted({ perFilm: 0.1 }, 1000)).toBe(false)
  expect(reuseExhausted(undefined, 1000)).toBe(false)
})

test('a count of films that is no number or negative counts as none', () => {
  for (const films of [Number.NaN, -3, Number.POSITIVE_INFINITY]) {
    expect(reuseFactor({ perFilm: 0.1 }, 100, films)).toBe(1)
    expect(reuseFactor(bands, 100, films)).toBe(1.05)
  }
})

test('seconds are added at the primary time: the bath seconds, else the warmest row', () => {
  const reuse: Reuse = { addSeconds: [[10, 60]] }
  const bath = { name: 'a', kind: 'developed' as const, agitation: 'even', reuse }
  const rows: [number, number][] = [
    [20, 450],
    [24, 300],
  ]
  expect(primarySeconds({ ...bath, rows })).toBe(300)
  expect(bathFactor({ ...bath, rows }, 1)).toBeCloseTo(1.2, 12)
  expect(timedSeconds({ ...bath, seconds: 120 }, 1)).toBeCloseTo(180, 12)
  expect(primarySeconds(bath)).toBeNaN()
  expect(bathFactor(bath, 1)).toBe(1)
  expect(timedSeconds(bath, 1)).toBeNaN()
})
