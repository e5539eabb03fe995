/** Longer times for used solutions, against the three forms in which makers publish them. */

import { expect, test } from 'vitest'
import { makeRate, secondsAt } from '../../firmware/recipe/rate.ts'
import type { Bath, Reuse } from '../../firmware/recipe/recipe.ts'
import { reuseExhausted, reuseFactor, timedSeconds } from '../../firmware/recipe/reuse.ts'
import { bwNegative } from '../../sim/bench/shippedRecipes.ts'

const LITRES_PER_US_GALLON = 3.785411784

function developer(reuse: Reuse): Bath {
  const rows: Bath['rows'] = [
    [20, 450],
    [21.11, 420],
    [22.22, 390],
    [23.89, 375],
  ]
  return { name: 'developer', kind: 'developed', rows, reuse, agitation: 'even' }
}

test('ILFORD powder developers (2010, page 4): 10 % more for every film that a litre has seen, none for the first', () => {
  const printed: [film: number, addPercent: number][] = [
    [1, 0],
    [2, 10],
    [3, 20],
    [4, 30],
    [5, 40],
    [10, 90],
  ]
  for (const [film, addPercent] of printed) {
    expect(reuseFactor({ perFilm: 0.1 }, 600, film - 1), `film ${film}`).toBeCloseTo(1 + addPercent / 100, 12)
  }
})

test('KODAK J-109 (2018, page 2), XTOL: rolls 1-5 as fresh, 6-10 by 1.15, 11-15 by 1.15 once more', () => {
  const reuse = bwNegative.baths[0].reuse
  for (let roll = 1; roll <= 15; roll++) {
    const printed = roll <= 5 ? 1 : roll <= 10 ? 1.15 : 1.15 * 1.15
    expect(reuseFactor(reuse, 420, roll - 1), `roll ${roll}`).toBeCloseTo(printed, 12)
    expect(reuseExhausted(reuse, roll - 1), `roll ${roll}`).toBe(false)
  }
  expect(reuseExhausted(reuse, 15)).toBe(true)
})

test('KODAK J-86 (2017, page 9), T-MAX 1:4: none, one and two minutes more for rolls 1-16, 17-32, 33-48 of a US gallon', () => {
  const bath = developer({
    addSeconds: [
      [16 / LITRES_PER_US_GALLON, 0],
      [32 / LITRES_PER_US_GALLON, 60],
      [48 / LITRES_PER_US_GALLON, 120],
    ],
  })
  for (let roll = 1; roll <= 48; roll++) {
    const printedSeconds = roll <= 16 ? 0 : roll <= 32 ? 60 : 120
    const rate = makeRate(bath, (roll - 1) / LITRES_PER_US_GALLON)
    // The primary temperature of these developers is 24 C (75 F), the warmest row.
    expect(secondsAt(rate, 23.89), `roll ${roll}`).toBeCloseTo(375 + printedSeconds, 6)
    // Exhaustion slows development alike at every temperature.
    expect(secondsAt(rate, 20) / secondsAt(rate, 23.89), `roll ${roll}`).toBeCloseTo(450 / 375, 9)
  }
})

test('a bath by time is lengthened like any other', () => {
  const fixer: Bath = { name: 'fixer', kind: 'atLeast', seconds: 240, reuse: { perFilm: 0.05 }, agitation: 'even' }
  expect(timedSeconds(fixer, 0)).toBe(240)
  expect(timedSeconds(fixer, 4)).toBeCloseTo(288, 9)
})
