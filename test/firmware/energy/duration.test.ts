import { expect, test } from 'vitest'
import { areaToCharge, chargeAtVolts, makeCurve, slopeAtCharge } from '../../../firmware/energy/curve.ts'
import { expectedSeconds, processCelsius } from '../../../firmware/energy/duration.ts'
import type { Bath } from '../../../firmware/recipe/recipe.ts'

const developed: Bath = { name: 'developer', kind: 'developed', agitation: 'even' }

test('a developed bath is meant for its one temperature, its row at 20 C, or its warmest usable row', () => {
  expect(processCelsius({ ...developed, atCelsius: 24, rows: [[20, 300]] })).toBe(24)
  expect(
    processCelsius({
      ...developed,
      rows: [
        [18, 600],
        [20.3, 480],
        [26, 300],
      ],
    }),
  ).toBe(20.3)
  expect(
    processCelsius({
      ...developed,
      rows: [
        [30, 480],
        [37.8, 195],
      ],
    }),
  ).toBe(37.8)
  expect(
    processCelsius({
      ...developed,
      rows: [
        [30, 480],
        [37.8, 195],
      ],
      usableCelsius: [25, 35],
    }),
  ).toBe(30)
  // None of its rows is usable: the last one.
  expect(
    processCelsius({
      ...developed,
      rows: [
        [30, 480],
        [37.8, 195],
      ],
      usableCelsius: [10, 15],
    }),
  ).toBe(37.8)
  expect(processCelsius({ ...developed, rows: [] })).toBeNaN()
  expect(processCelsius(developed)).toBeNaN()
  expect(processCelsius({ ...developed, kind: 'timed', atCelsius: 20 })).toBeNaN()
})

test('a bath is expected to last its time, with the fill where it counts from full, and never a senseless one', () => {
  const timed: Bath = { name: 'stop', kind: 'timed', seconds: 60, agitation: 'even' }
  expect(expectedSeconds(timed, NaN, 0, 8)).toBe(60)
  expect(expectedSeconds({ ...timed, startsWhen: 'full' }, NaN, 0, 8)).toBe(68)
  expect(expectedSeconds({ ...timed, seconds: -5 }, NaN, 0, 8)).toBe(0)
  expect(expectedSeconds({ ...timed, seconds: NaN }, NaN, 0, 8)).toBe(0)
  const colour: Bath = {
    ...developed,
    rows: [
      [30, 480],
      [37.8, 195],
    ],
  }
  expect(expectedSeconds(colour, NaN, 0, 8)).toBeCloseTo(195, 9)
  expect(expectedSeconds(colour, 30, 0, 8)).toBeCloseTo(480, 9)
})

test('off the ends of its curve a cell is empty or full, and where the curve is flat its slope is not nothing', () => {
  const curve = makeCurve([
    [0, 3],
    [0.4, 3.6],
    [0.6, 3.6],
    [1, 4.2],
  ])
  expect(chargeAtVolts(curve, 2)).toBe(0)
  expect(chargeAtVolts(curve, NaN)).toBe(0)
  expect(chargeAtVolts(curve, 5)).toBe(1)
  expect(slopeAtCharge(curve, 0.5)).toBe(0.01)
  expect(areaToCharge(curve, 0)).toBe(0)
  expect(areaToCharge(curve, NaN)).toBe(0)
  expect(areaToCharge(curve, 2)).toBeCloseTo(0.4 * 3.3 + 0.2 * 3.6 + 0.4 * 3.9, 9)
})
