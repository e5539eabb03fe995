import { expect, test } from 'vitest'
import type { Recipe } from '../../../firmware/recipe/recipe.ts'
import { defaultTank } from '../../../firmware/tank/defaultTank.ts'
import { liquidLevelMillimetres } from '../../../firmware/tank/geometry.ts'
import {
  advisedMillilitres,
  innermostImmersedFraction,
  LEAST_IMMERSION_MILLIMETRES,
  leastMillilitres,
  mostLyingMillilitres,
  standingMillilitres,
  wettingMillilitres,
} from '../../../firmware/tank/volume.ts'

function recipe(...perFilm: (number | undefined)[]): Recipe {
  return {
    name: 'try',
    title: 'Try',
    pour: { fillSeconds: 8, drainSeconds: 10 },
    baths: perFilm.map((one, i) => ({
      name: `bath ${i}`,
      kind: 'timed' as const,
      seconds: 60,
      agitation: 'even',
      ...(one === undefined ? {} : { millilitresPerFilm: one }),
    })),
    agitations: { even: { rpm: 45, legTurns: 2, restSeconds: 0.4, rampSeconds: 0.6, stagger: true } },
  }
}

test('without a word on chemistry the least is what wets the innermost turn by its margin', () => {
  const least = leastMillilitres(defaultTank, 2, recipe(undefined, undefined))
  expect(least.because).toBe('film')
  expect(least.bathIndex).toBe(-1)
  const level = liquidLevelMillimetres(defaultTank, least.millilitres)
  expect(level).toBeCloseTo(LEAST_IMMERSION_MILLIMETRES - defaultTank.filmInnerDiameterMillimetres / 2, 5)
})

test('the hungriest bath decides where its chemistry needs more than wetting', () => {
  const least = leastMillilitres(defaultTank, 2, recipe(50, 150, undefined, 140))
  expect(least).toEqual({ millilitres: 300, because: 'chemistry', bathIndex: 1 })
})

test('the advised volume lies between the least and what stands, in steps of a graduate', () => {
  for (const perFilm of [undefined, 50, 100, 125, 140, 200, 290, 400]) {
    for (const films of [1, 2]) {
      for (const reels of [1, 2]) {
        const one = recipe(perFilm)
        const advised = advisedMillilitres(defaultTank, films, one, reels)
        const least = leastMillilitres(defaultTank, films, one, reels).millilitres
        expect(advised).toBeGreaterThanOrEqual(least)
        expect(advised % 10).toBe(0)
        const ceiling = Math.min(standingMillilitres(defaultTank, reels), mostLyingMillilitres(defaultTank, reels))
        expect(advised).toBeLessThan(Math.max(least, ceiling) + 10)
      }
    }
  }
})

test('as advised, the innermost turn is in the bath for a third of each turn at least', () => {
  const advised = advisedMillilitres(defaultTank, 2, recipe(undefined))
  expect(innermostImmersedFraction(defaultTank, advised)).toBeGreaterThanOrEqual(1 / 3)
})

test('films that are no number count as one, reels beyond those that fit as all', () => {
  expect(leastMillilitres(defaultTank, NaN, recipe(300)).millilitres).toBe(300)
  expect(wettingMillilitres(defaultTank, 9)).toBe(wettingMillilitres(defaultTank))
  expect(standingMillilitres(defaultTank, NaN)).toBe(defaultTank.standingMillilitres)
  expect(standingMillilitres(defaultTank, 1)).toBe(defaultTank.standingMillilitres / 2)
})
