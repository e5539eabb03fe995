/** Readings and files at their edges: what is no reading gives no figure, and what is not stated is taken as usual. */
import { expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { createBathSense } from '../../../firmware/sense/bathSense.ts'
import { calibrate } from '../../../firmware/sense/calibrate.ts'
import { celsiusOfProbe } from '../../../firmware/sense/resumeBath.ts'
import {
  coefficientsOf,
  countsFromOhms,
  kelvinPerCount,
  makeCurve,
  ohmsAt,
} from '../../../firmware/sense/thermistor.ts'
import { defaultTank } from '../../../firmware/tank/defaultTank.ts'
import { liquidLevelMillimetres, millilitresAtLevel } from '../../../firmware/tank/geometry.ts'
import { chemistryMillilitres } from '../../../firmware/tank/volume.ts'

const curve = makeCurve(defaultBase.probe, defaultBase.adcBits)
const countsAt = (celsius: number): number => countsFromOhms(curve, ohmsAt(curve, celsius))

test('at a start the probe says a bath only where a bath can be', () => {
  const sense = createBathSense(defaultBase, defaultTank, { lagKnown: false })
  expect(celsiusOfProbe(sense, undefined)).toBeNaN()
  expect(celsiusOfProbe(sense, NaN)).toBeNaN()
  expect(celsiusOfProbe(sense, countsAt(38))).toBeCloseTo(38, 3)
  for (const celsius of [-10, 70]) expect(celsiusOfProbe(sense, countsAt(celsius)), `${celsius} C`).toBeNaN()
})

test('a thermistor of which nothing is stated is the usual one of ten kilohm', () => {
  const { dividerOhms, thermistorAt, offsetCelsius } = defaultBase.probe
  const bare = { dividerOhms, thermistorAt, offsetCelsius } as typeof defaultBase.probe
  const usual = { ...bare, beta: { ohmsAt25: 10_000, kelvin: 3950 } }
  expect(coefficientsOf(bare)).toEqual(coefficientsOf(usual))
})

test('at the ends of the converter a count is worth no degrees', () => {
  for (const counts of [0, curve.fullScaleCounts, NaN]) expect(kelvinPerCount(curve, counts)).toBeNaN()
  expect(kelvinPerCount(curve, countsAt(30))).toBeGreaterThan(0)
})

test('of two readings at one temperature it does not matter which was taken first', () => {
  const one = { counts: countsAt(30), referenceCelsius: 30.2 }
  const other = { counts: countsAt(30.4), referenceCelsius: 30.2 }
  const third = { counts: countsAt(38), referenceCelsius: 38.1 }
  expect(calibrate(curve, [one, other, third])).toEqual(calibrate(curve, [third, other, one]))
})

test('reels without a ring displace nothing', () => {
  const { filmInnerDiameterMillimetres } = defaultTank
  const thin = { ...defaultTank, filmOuterDiameterMillimetres: filmInnerDiameterMillimetres }
  const bare = { ...thin, reelMillilitres: 0 }
  expect(millilitresAtLevel(thin, 0)).toBe(millilitresAtLevel(bare, 0))
  expect(liquidLevelMillimetres(thin, 300)).toBe(liquidLevelMillimetres(bare, 300))
})

test('a bath that the recipe does not have needs no chemistry', () => {
  const recipe = { name: 'r', title: 'R', pour: { fillSeconds: 8, drainSeconds: 8 }, baths: [], agitations: {} }
  expect(chemistryMillilitres(recipe, 3, 2)).toBe(0)
})
