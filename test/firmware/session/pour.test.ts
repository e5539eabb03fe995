/** What is known of a bath before it is poured: its own range, else its neighbours', else a room's. */
import { expect, test } from 'vitest'
import type { Bath, Recipe } from '../../../firmware/recipe/recipe.ts'
import { expectedPourCelsius, expectedPourSigmaCelsius, statedCelsius } from '../../../firmware/session/pour.ts'

const plain: Bath = { name: 'wash', kind: 'timed', seconds: 60, agitation: 'even' }
const rows: Bath['rows'] = [
  [18, 600],
  [20, 480],
  [26, 300],
]

function recipeOf(...baths: Bath[]): Recipe {
  return { name: 'r', title: 'R', pour: { fillSeconds: 8, drainSeconds: 10 }, baths, agitations: {} }
}

test('a bath is stated by its usable range before its rows, by these before one temperature', () => {
  expect(statedCelsius({ ...plain, usableCelsius: [15, 30], rows, atCelsius: 40 })).toEqual([15, 30])
  expect(statedCelsius({ ...plain, rows, atCelsius: 40 })).toEqual([18, 26])
  expect(statedCelsius({ ...plain, rows: [], atCelsius: 40 })).toEqual([40, 40])
  expect(statedCelsius({ ...plain, atCelsius: 40 })).toEqual([40, 40])
  expect(statedCelsius(plain)).toBeUndefined()
})

test('it is expected in the middle of its range, as well as a range tells, and no better than people pour', () => {
  const wide = recipeOf({ ...plain, usableCelsius: [10, 40] })
  expect(expectedPourCelsius(wide, 0)).toBe(25)
  expect(expectedPourSigmaCelsius(wide, 0)).toBeCloseTo(30 / Math.sqrt(12), 12)
  const narrow = recipeOf({ ...plain, rows })
  expect(expectedPourCelsius(narrow, 0)).toBe(22)
  expect(expectedPourSigmaCelsius(narrow, 0)).toBe(4)
})

test('a bath of which nothing is stated is expected where the first stated one is, less surely; else at a room', () => {
  const recipe = recipeOf(plain, { ...plain, atCelsius: 38 }, { ...plain, atCelsius: 30 }, plain)
  expect([0, 3].map(bath => expectedPourCelsius(recipe, bath))).toEqual([38, 38])
  expect([0, 1].map(bath => expectedPourSigmaCelsius(recipe, bath))).toEqual([6, 4])
  expect(expectedPourCelsius(recipe, 2)).toBe(30)
  expect(expectedPourCelsius(recipeOf(plain), 0)).toBe(20)
})
