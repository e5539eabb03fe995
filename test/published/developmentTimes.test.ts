/**
 * The rate of development against 235 published tables of development time by temperature (Kodak Alaris J-109, J-86,
 * F-4016, F-4043, F-32 and others; each table in figures/developmentTimes.json names its publication).
 */

import { expect, test } from 'vitest'
import { checkRecipe } from '../../firmware/recipe/check.ts'
import { makeRate, type Rate, secondsAt } from '../../firmware/recipe/rate.ts'
import type { Row } from '../../firmware/recipe/recipe.ts'
import { bwNegative } from '../../sim/bench/shippedRecipes.ts'
import tables from './figures/developmentTimes.json'

const GAS_CONSTANT_KILOJOULES = 8.314462618e-3

const sheets = tables.map(table => ({
  id: table.id,
  rows: table.minutes.map(([celsius, minutes]): Row => [celsius, minutes * 60]),
}))

function rateOf(rows: Row[]): Rate {
  return makeRate({ name: 'developer', kind: 'developed', rows, agitation: 'even' }, 0)
}

function rootMeanSquare(values: number[]): number {
  return Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length)
}

/** Relative errors with which rows left out are found again: inside their table, and past its end in two ways. */
function leaveOneOut(): { inside: number[]; pastEnd: number[]; pastEndByLastTwo: number[] } {
  const inside: number[] = []
  const pastEnd: number[] = []
  const pastEndByLastTwo: number[] = []
  for (const { rows } of sheets) {
    rows.forEach(([celsius, seconds], index) => {
      const others = rows.filter((_, i) => i !== index)
      const error = secondsAt(rateOf(others), celsius) / seconds - 1
      if (index > 0 && index < rows.length - 1) {
        inside.push(error)
        return
      }
      pastEnd.push(error)
      const nearTwo = index === 0 ? others.slice(0, 2) : others.slice(-2)
      pastEndByLastTwo.push(secondsAt(rateOf(nearTwo), celsius) / seconds - 1)
    })
  }
  return { inside, pastEnd, pastEndByLastTwo }
}

test('all 235 published tables can be used, and every printed row comes back exactly', () => {
  expect(sheets).toHaveLength(235)
  for (const { id, rows } of sheets) {
    const rate = rateOf(rows)
    for (const [celsius, seconds] of rows) {
      expect(Math.abs(secondsAt(rate, celsius) / seconds - 1), `${id} at ${celsius} C`).toBeLessThan(1e-12)
    }
  }
})

test('every published table makes a recipe that the checker accepts', () => {
  for (const { id, rows } of sheets) {
    const baths = [{ ...bwNegative.baths[0], rows }, ...bwNegative.baths.slice(1)]
    const refused = checkRecipe({ ...bwNegative, baths }).filter(problem => problem.severity === 'refused')
    expect(refused, id).toEqual([])
  }
})

test('between its rows a table never leaves the times of the two rows', () => {
  for (const { id, rows } of sheets) {
    const rate = rateOf(rows)
    for (let i = 1; i < rows.length; i++) {
      const middle = secondsAt(rate, (rows[i - 1][0] + rows[i][0]) / 2)
      expect(middle, id).toBeLessThanOrEqual(rows[i - 1][1] * (1 + 1e-12))
      expect(middle, id).toBeGreaterThanOrEqual(rows[i][1] * (1 - 1e-12))
    }
  }
})

test('a row left out is found again within 3 % in 89 of 100 cases inside a table, 2.0 % rms, and 4.4 % rms past an end', () => {
  const { inside, pastEnd, pastEndByLastTwo } = leaveOneOut()
  const within = inside.filter(error => Math.abs(error) <= 0.03).length / inside.length
  const figures = {
    insideRows: inside.length,
    within3Percent: within,
    insideRmsPercent: 100 * rootMeanSquare(inside),
    endRows: pastEnd.length,
    pastEndRmsPercent: 100 * rootMeanSquare(pastEnd),
    pastEndByLastTwoRmsPercent: 100 * rootMeanSquare(pastEndByLastTwo),
  }
  console.info('rows left out and found again:', figures)
  expect(figures.within3Percent).toBeGreaterThan(0.885)
  expect(figures.insideRmsPercent).toBeLessThan(2.05)
  expect(figures.pastEndRmsPercent).toBeLessThan(4.45)
  expect(figures.pastEndByLastTwoRmsPercent).toBeGreaterThan(4.9)
})

test('one activation energy would not do for all developers: they run from 26 to 99 kJ/mol', () => {
  const energies = sheets.map(({ rows }) => rateOf(rows).endSlopeKelvin * GAS_CONSTANT_KILOJOULES)
  expect(Math.min(...energies)).toBeCloseTo(25.7, 1)
  expect(Math.max(...energies)).toBeCloseTo(98.7, 1)
})
