/**
 * The thermistor's arithmetic against tables and coefficients that makers publish. Every figure comes from
 * `figures/thermistors.json`, whose entries name part, maker and document.
 */
import { expect, test } from 'vitest'
import type { Thermistor } from '../../firmware/baseFile.ts'
import { betaCoefficients, celsiusAt, makeCurve, ohmsAt, steinhartHartFrom } from '../../firmware/sense/thermistor.ts'
import { selfHeatingCelsius } from '../../sim/plant/probe.ts'
import figures from './figures/thermistors.json'

type Pair = [number, number]
type Description = Pick<Thermistor, 'steinhartHart' | 'points' | 'beta'>

function curve(description: Description) {
  const divider = { dividerOhms: 10000, thermistorAt: 'ground' as const, offsetCelsius: 0, calibrationSigmaCelsius: 0 }
  return makeCurve({ ...divider, ...description }, 12)
}

function worst(description: Description, table: Pair[], low: number, high: number): number {
  const made = curve(description)
  let most = 0
  for (const [celsius, ohms] of table) {
    if (celsius >= low && celsius <= high) most = Math.max(most, Math.abs(celsiusAt(made, ohms) - celsius))
  }
  return most
}

function at(table: Pair[], celsius: number): Pair {
  const row = table.find(r => r[0] === celsius)
  if (row === undefined) throw new Error(`no row at ${celsius}`)
  return row
}

const tdk = figures['A-ntc-b57861s0103-rt8016'].rows.map((r): Pair => [r[0], r[1] * 10000])
const vishay = figures['A-ntc-vishay-ntcalug01a103g'].rows.map((r): Pair => [r[0], r[1]])
const epcos = figures['A-ntc-epcos-b57891s0103'].rows.map((r): Pair => [r[0], r[1]])
const murata = figures['A-ntc-murata-nxxxh103-sparse'].rows.map((r): Pair => [r[0], r[1]])

function threePoints(table: Pair[], a: number, b: number, c: number): Description {
  return { points: [at(table, a), at(table, b), at(table, c)] }
}

test('three points of a table find all its other rows from 0 to 60 °C, to the error that the publication computes', () => {
  // A-accuracy-beta-vs-sh-derived prints 0.014 K for TDK's table and 0.004 K for Vishay's, fitted at 0, 25 and 50 °C.
  expect(worst(threePoints(tdk, 0, 25, 50), tdk, 0, 60)).toBeCloseTo(0.014, 3)
  expect(worst(threePoints(vishay, 0, 25, 50), vishay, 0, 60)).toBeCloseTo(0.004, 3)
})

test('three points of the coarser EPCOS table leave no more than the 0.08 K of its rounding', () => {
  expect(worst(threePoints(epcos, 0, 25, 50), epcos, 0, 60)).toBeLessThan(0.085)
})

test('three points of the sparse Murata table find its row at 80 °C', () => {
  // Rows 30 K apart: 20 and 50 °C with -10 °C, and 30 K beyond them.
  expect(worst(threePoints(murata, -10, 20, 50), murata, 80, 80)).toBeLessThan(0.3)
})

test('the three coefficients are those that the publication derives', () => {
  // Note of A-accuracy-beta-vs-sh-derived.
  const [a, b, c] = steinhartHartFrom([at(vishay, 0), at(vishay, 25), at(vishay, 50)])
  expect(a).toBeCloseTo(1.137985e-3, 8)
  expect(b).toBeCloseTo(2.326901e-4, 9)
  expect(c).toBeCloseTo(9.327397e-8, 12)
  const [ta, tb, tc] = steinhartHartFrom([at(tdk, 0), at(tdk, 25), at(tdk, 50)])
  expect(ta).toBeCloseTo(1.125257e-3, 8)
  expect(tb).toBeCloseTo(2.347204e-4, 9)
  expect(tc).toBeCloseTo(8.563053e-8, 12)
})

test('the coefficients that Campbell Scientific publishes give its own table within 0.0025 °C', () => {
  const named: { [name: string]: number } = {}
  for (const [name, value] of figures['A-sh-campbell-109'].rows) named[String(name)] = Number(value)
  const made = curve({ steinhartHart: [named.A, named.B, named.C] })
  for (const [, ohms, published, evaluated] of figures['A-sh-campbell-109-table'].rows) {
    expect(celsiusAt(made, ohms)).toBeCloseTo(evaluated, 3)
    expect(Math.abs(celsiusAt(made, ohms) - published)).toBeLessThan(0.0025)
  }
})

test('three points of the curve that Vishay publishes for NTCLE100E3 stay within 0.01 °C of it from 0 to 60 °C', () => {
  const table = figures['A-ntc-vishay-ntcle100e3103-derived'].rows.map((r): Pair => [r[0], r[1]])
  expect(worst(threePoints(table, 10, 30, 50), table, 0, 60)).toBeLessThan(0.01)
})

test('the beta equation is off by what the publication says, which is why it is only a fallback', () => {
  const columns = [0, 10, 20, 30, 40, 50, 60]
  const tables: { [part: string]: Pair[] } = { B57861S0103: tdk, NTCALUG01A103G: vishay }
  let compared = 0
  for (const row of figures['A-accuracy-beta-vs-sh-derived'].rows) {
    const table = tables[String(row[0])]
    if (table === undefined) continue
    const made = curve({ beta: { ohmsAt25: 10000, kelvin: Number(row[1]) } })
    columns.forEach((celsius, i) => {
      const error = celsiusAt(made, at(table, celsius)[1]) - celsius
      // Printed to two places.
      expect(Math.abs(error - Number(row[2 + i]))).toBeLessThan(0.0055)
      compared++
    })
  }
  expect(compared).toBe(14)
})

test('the beta of Vishay NTCLE100E3 gives the printed errors', () => {
  const [a, b, c] = betaCoefficients(10000, 3977)
  const made = curve({ steinhartHart: [a, b, c] })
  for (const [celsius, ohms, , error] of figures['A-ntc-vishay-ntcle100e3103-derived'].rows) {
    expect(Math.abs(celsiusAt(made, ohms) - celsius - error)).toBeLessThan(0.002)
  }
})

test('resistance from temperature is the inverse of temperature from resistance in every table', () => {
  for (const table of [tdk, vishay, epcos]) {
    const made = curve(threePoints(table, 0, 25, 50))
    for (const [celsius] of table) expect(celsiusAt(made, ohmsAt(made, celsius))).toBeCloseTo(celsius, 9)
    for (const [, ohms] of table) expect(ohmsAt(made, celsiusAt(made, ohms)) / ohms).toBeCloseTo(1, 9)
  }
})

test('a thermistor in a divider of 10 + 10 kOhm at 3.3 V warms itself by 0.14 K at 2 mW/K', () => {
  // Note of D-thermistor-dissipation-media: 0.272 mW in the thermistor at 25 °C.
  expect(selfHeatingCelsius(10000, 10000, 2)).toBeCloseTo(0.136, 3)
})
