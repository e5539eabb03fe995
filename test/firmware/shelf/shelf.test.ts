import { expect, test } from 'vitest'
import {
  daysStillKept,
  filmsPerLitre,
  filmsStillTaken,
  mostFilmsPerLitre,
  type SolutionKind,
  solutionLife,
} from '../../../firmware/shelf/shelf.ts'

test('every kind of solution has its days, fewer in a bottle that is half empty, and where they are from', () => {
  const kinds: SolutionKind[] = ['powderStock', 'diluted', 'liquidDeveloper', 'fixer', 'colourDeveloper']
  for (const kind of kinds) {
    const life = solutionLife(kind)
    expect(life.halfDays, kind).toBeLessThanOrEqual(life.fullDays)
    expect(life.source.length, kind).toBeGreaterThan(10)
  }
})

test('an age that is none counts as new, an old solution is over its time by as many days', () => {
  const life = solutionLife('fixer')
  expect(daysStillKept(life, -3, true)).toBe(life.fullDays)
  expect(daysStillKept(life, NaN, false)).toBe(life.halfDays)
  expect(daysStillKept(life, life.halfDays + 5, false)).toBe(-5)
})

test('a bottle takes what its sheet leaves, never less than none, and no sheet states no end', () => {
  const bands = { factors: [[4, 1] as [number, number], [8, 1.15] as [number, number]] }
  expect(mostFilmsPerLitre(bands)).toBe(8)
  expect(filmsStillTaken(bands, 3, 500)).toBe(1)
  expect(filmsStillTaken(bands, 9, 500)).toBe(0)
  expect(filmsStillTaken(bands, -2, 500)).toBe(4)
  expect(mostFilmsPerLitre({ factors: [] })).toBeNaN()
  expect(mostFilmsPerLitre({ addSeconds: [[6, 0]] })).toBe(6)
  expect(mostFilmsPerLitre({ perFilm: 0.1 })).toBeNaN()
  expect(mostFilmsPerLitre(undefined)).toBeNaN()
  expect(filmsPerLitre(2, 500)).toBe(4)
  expect([filmsPerLitre(0, 500), filmsPerLitre(2, 0), filmsPerLitre(NaN, 500)]).toEqual([0, 0, 0])
})
