/** The rate of development: shape between and beyond rows, factors, and bad numbers. */
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { makeRate, secondsAt, sensitivityAt } from '../../../firmware/recipe/rate.ts'
import type { Bath, Row } from '../../../firmware/recipe/recipe.ts'

const rows: Row[] = [
  [18, 480],
  [20, 420],
  [24, 285],
]

function developer(parts: Partial<Bath>): Bath {
  return { name: 'developer', kind: 'developed', agitation: 'even', ...parts }
}

const coefficientBath = developer({ seconds: 360, atCelsius: 38, coefficientPer10C: 2.5 })

/** The same arithmetic written the long way round: straight lines in 1/T, found anew for each temperature. */
function naiveSeconds(sheet: Row[], celsius: number): number {
  const x = (c: number): number => 1 / (c + 273.15)
  const points = sheet.map(([c, s]) => ({ c, x: x(c), y: Math.log(s) }))
  const above = points.findIndex(point => point.c >= celsius)
  if (above > 0) {
    const [a, b] = [points[above - 1], points[above]]
    return Math.exp(a.y + ((b.y - a.y) * (x(celsius) - a.x)) / (b.x - a.x))
  }
  const n = points.length
  const sum = (of: (point: { x: number; y: number }) => number): number => points.reduce((s, p) => s + of(p), 0)
  const mx = sum(p => p.x) / n
  const my = sum(p => p.y) / n
  const slope = sum(p => (p.x - mx) * (p.y - my)) / sum(p => (p.x - mx) ** 2)
  const end = above === 0 ? points[0] : points[n - 1]
  return Math.exp(end.y + slope * (x(celsius) - end.x))
}

const sheets = fc
  .array(fc.tuple(fc.double({ min: 0.2, max: 4, noNaN: true }), fc.double({ min: 0.5, max: 1, noNaN: true })), {
    minLength: 2,
    maxLength: 12,
  })
  .map(steps => {
    let celsius = 12
    let seconds = 20000
    return steps.map(([warmer, shorter]): Row => {
      celsius += warmer
      seconds *= shorter
      return [celsius, seconds]
    })
  })

test('any sheet is followed as a naive second implementation follows it, between its rows and beyond', () => {
  fc.assert(
    fc.property(sheets, fc.double({ min: 1, max: 70, noNaN: true }), (sheet, celsius) => {
      const ratio = secondsAt(makeRate(developer({ rows: sheet }), 0), celsius) / naiveSeconds(sheet, celsius)
      expect(ratio).toBeGreaterThan(1 - 1e-9)
      expect(ratio).toBeLessThan(1 + 1e-9)
    }),
  )
})

test('the time never rises with the temperature and never jumps', () => {
  fc.assert(
    fc.property(sheets, fc.double({ min: -5, max: 79, noNaN: true }), (sheet, celsius) => {
      const rate = makeRate(developer({ rows: sheet }), 0)
      const here = secondsAt(rate, celsius)
      const warmer = secondsAt(rate, celsius + 1e-6)
      expect(warmer).toBeLessThanOrEqual(here * (1 + 1e-9))
      expect(warmer).toBeGreaterThan(here * (1 - 1e-4))
    }),
  )
})

test('the sensitivity is the derivative of ln(rate), for rows, beyond them, and for a coefficient', () => {
  const cases: [Bath, number][] = [
    [developer({ rows }), 19.3],
    [developer({ rows }), 22],
    [developer({ rows }), 12],
    [developer({ rows }), 31],
    [coefficientBath, 36.2],
  ]
  for (const [bath, celsius] of cases) {
    const rate = makeRate(bath, 0)
    const numeric = Math.log(secondsAt(rate, celsius - 0.005) / secondsAt(rate, celsius + 0.005)) / 0.01
    expect(sensitivityAt(rate, celsius)).toBeCloseTo(numeric, 6)
  }
})

test('a coefficient multiplies the rate for every 10 C', () => {
  const rate = makeRate(coefficientBath, 0)
  expect(secondsAt(rate, 38)).toBeCloseTo(360, 9)
  expect(secondsAt(rate, 28)).toBeCloseTo(360 * 2.5, 9)
  expect(secondsAt(rate, 43)).toBeCloseTo(360 / Math.sqrt(2.5), 9)
})

test('a coefficient of 1 makes a rate that no temperature changes', () => {
  const rate = makeRate({ ...coefficientBath, coefficientPer10C: 1 }, 0)
  expect(secondsAt(rate, 20)).toBeCloseTo(360, 9)
  expect(sensitivityAt(rate, 20)).toBe(0)
})

test('push, rotary factor and reuse multiply the time at every temperature', () => {
  const plain = makeRate(developer({ rows }), 0)
  const folded = makeRate(developer({ rows, timeFactor: 1.5, rotaryFactor: 0.85, reuse: { perFilm: 0.1 } }), 3)
  for (const celsius of [10, 18, 21, 24, 30]) {
    expect(secondsAt(folded, celsius) / secondsAt(plain, celsius)).toBeCloseTo(1.5 * 0.85 * 1.3, 9)
  }
})

test('the sheet ends where its rows end, or where the bath is usable, or four degrees from a single temperature', () => {
  const rate = makeRate(developer({ rows }), 0)
  expect([rate.sheetLowCelsius, rate.sheetHighCelsius]).toEqual([18, 24])
  const single = makeRate(coefficientBath, 0)
  expect([single.sheetLowCelsius, single.sheetHighCelsius]).toEqual([34, 42])
  const usable = makeRate({ ...coefficientBath, usableCelsius: [36, 39] }, 0)
  expect([usable.sheetLowCelsius, usable.sheetHighCelsius]).toEqual([36, 39])
})

test('a temperature that is no number counts as the middle of the sheet, an absurd one as the end of a sane range', () => {
  for (const bath of [developer({ rows }), coefficientBath]) {
    const rate = makeRate(bath, Number.NaN)
    expect(secondsAt(rate, Number.NaN)).toBe(secondsAt(rate, rate.centreCelsius))
    expect(secondsAt(rate, Number.POSITIVE_INFINITY)).toBe(secondsAt(rate, 80))
    expect(secondsAt(rate, Number.NEGATIVE_INFINITY)).toBe(secondsAt(rate, -5))
    expect(secondsAt(rate, -1e9)).toBe(secondsAt(rate, -5))
    expect(sensitivityAt(rate, Number.NaN)).toBe(sensitivityAt(rate, rate.centreCelsius))
  }
})

test('a bath that runs by time has a constant rate, should anybody ask', () => {
  const rate = makeRate({ name: 'wash', kind: 'timed', seconds: 65, agitation: 'even' }, 0)
  expect(secondsAt(rate, 10)).toBeCloseTo(65, 9)
  expect(secondsAt(rate, 40)).toBeCloseTo(65, 9)
})
