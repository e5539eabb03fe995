import fc from 'fast-check'
import { expect, test } from 'vitest'
import type { Thermistor } from '../../../firmware/baseFile.ts'
import { calibrate } from '../../../firmware/sense/calibrate.ts'
import {
  celsiusAt,
  celsiusFromCounts,
  countsFromOhms,
  kelvinPerCount,
  makeCurve,
  ohmsAt,
  ohmsFromCounts,
} from '../../../firmware/sense/thermistor.ts'

const PART: Thermistor = {
  points: [
    [10, 19896.9],
    [30, 8055.96],
    [50, 3598.72],
  ],
  dividerOhms: 10000,
  thermistorAt: 'ground',
  offsetCelsius: 0,
  calibrationSigmaCelsius: 0.05,
}

test('counts give back the temperature that made them, wherever the thermistor sits and whatever the converter', () => {
  fc.assert(
    fc.property(
      fc.double({ min: -5, max: 60, noNaN: true }),
      fc.constantFrom<'ground' | 'supply'>('ground', 'supply'),
      fc.constantFrom(10, 12, 16),
      fc.double({ min: 1000, max: 100000, noNaN: true }),
      (celsius, thermistorAt, bits, dividerOhms) => {
        const curve = makeCurve({ ...PART, thermistorAt, dividerOhms, offsetCelsius: 0.3 }, bits)
        const counts = countsFromOhms(curve, ohmsAt(curve, celsius - 0.3))
        expect(celsiusFromCounts(curve, counts)).toBeCloseTo(celsius, 6)
      },
    ),
  )
})

test('what a count is worth is the slope of the curve', () => {
  for (const thermistorAt of ['ground', 'supply'] as const) {
    const curve = makeCurve({ ...PART, thermistorAt }, 12)
    for (const celsius of [0, 20, 38, 55]) {
      const counts = countsFromOhms(curve, ohmsAt(curve, celsius))
      const slope = Math.abs(celsiusFromCounts(curve, counts + 0.5) - celsiusFromCounts(curve, counts - 0.5))
      expect(kelvinPerCount(curve, counts) / slope).toBeCloseTo(1, 4)
    }
  }
})

test('a reading at an end of the range, beyond it or of no number is no temperature', () => {
  const curve = makeCurve(PART, 12)
  for (const counts of [0, 4095, -1, 5000, NaN, Infinity]) {
    expect(celsiusFromCounts(curve, counts)).toBeNaN()
    expect(ohmsFromCounts(curve, counts)).toBeNaN()
  }
  expect(celsiusAt(curve, -5)).toBeNaN()
})

/** A part that is not quite the one in its table: 1.5 % more resistance and another beta. */
function truth(celsius: number): number {
  const curve = makeCurve(PART, 12)
  return 1.015 * ohmsAt(curve, celsius) ** 1.004
}

function reading(celsius: number): { counts: number; referenceCelsius: number } {
  return { counts: countsFromOhms(makeCurve(PART, 12), truth(celsius)), referenceCelsius: celsius }
}

function errorAfter(calibrated: Thermistor, celsius: number): number {
  const curve = makeCurve(calibrated, 12)
  return Math.abs(celsiusFromCounts(curve, countsFromOhms(curve, truth(celsius))) - celsius)
}

test('one reading beside the reference gives the offset there', () => {
  const found = calibrate(makeCurve(PART, 12), [reading(38)])
  expect(found?.steinhartHart).toBeUndefined()
  expect(errorAfter({ ...PART, offsetCelsius: found?.offsetCelsius as number }, 38)).toBeLessThan(1e-9)
})

test('two readings share the offset and say how far they disagree', () => {
  const found = calibrate(makeCurve(PART, 12), [reading(20), reading(40)])
  expect(found?.restCelsius).toBeGreaterThan(0)
  const part = { ...PART, offsetCelsius: found?.offsetCelsius as number }
  expect(errorAfter(part, 20)).toBeCloseTo(found?.restCelsius as number, 6)
  expect(errorAfter(part, 30)).toBeLessThan(0.05)
})

test('three readings apart give coefficients that are right between them, and better than an offset', () => {
  const found = calibrate(makeCurve(PART, 12), [reading(40), reading(15), reading(28)])
  expect(found?.steinhartHart).toBeDefined()
  const { points: _unused, ...rest } = PART
  const part: Thermistor = { ...rest, steinhartHart: found?.steinhartHart as [number, number, number] }
  for (const celsius of [15, 20, 28, 35, 40]) expect(errorAfter(part, celsius)).toBeLessThan(0.002)
})

test('readings that cannot be used are left out; none at all give no calibration', () => {
  const curve = makeCurve(PART, 12)
  expect(calibrate(curve, [])).toBeUndefined()
  expect(calibrate(curve, [{ counts: 4095, referenceCelsius: 20 }])).toBeUndefined()
  expect(calibrate(curve, [{ counts: 2000, referenceCelsius: NaN }])).toBeUndefined()
  expect(calibrate(curve, [reading(30), { counts: NaN, referenceCelsius: 30 }])?.offsetCelsius).toBeDefined()
})

test('published coefficients come before points, and beta alone is the last resort', () => {
  const { points: _unused, ...rest } = PART
  const byBeta = makeCurve({ ...rest, beta: { ohmsAt25: 10000, kelvin: 3984 } }, 12)
  expect(celsiusAt(byBeta, 10000)).toBeCloseTo(25, 9)
  const byCoefficients = makeCurve({ ...PART, steinhartHart: [0.001129241, 0.0002341077, 8.775468e-8] }, 12)
  expect(celsiusAt(byCoefficients, 32650.9)).toBeCloseTo(0, 2)
})
