/** The pack against published cells: each check names its source; figures in `figures/pack.json`. */
import { expect, test } from 'vitest'
import { defaultBase } from '../../firmware/defaultBase.ts'
import { capacityFactorAt as firmwareCapacityFactorAt } from '../../firmware/energy/charge.ts'
import { areaToCharge, chargeAtVolts, makeCurve, voltsAtCharge } from '../../firmware/energy/curve.ts'
import { capacityFactorAt, createPackPlant, curveAt, drawPackTruth, fineCurve, stepPack } from '../../sim/plant/pack.ts'
import { createRandom } from '../../sim/plant/random.ts'
import figures from './figures/pack.json'

function rowsOf(id: string): unknown[][] {
  const found = figures.find(one => one.id === id)
  if (found === undefined) throw new Error(`no figures for ${id}`)
  return found.rows as unknown[][]
}

const molicel = rowsOf('B-ocv-molicel-inr18650p28a') as [number, number][]
const chen = rowsOf('B-ocv-chen2020-derived') as [number, number][]

test('Sunil, Pattipati, Balasingam 2025 (INR18650-P28A): the ten-point curve is within 15 mV of the measured one', () => {
  const curve = makeCurve(defaultBase.pack.restingCellVolts)
  let worst = 0
  let square = 0
  for (const [charge, volts] of molicel) {
    const off = voltsAtCharge(curve, charge) - volts
    worst = Math.max(worst, Math.abs(off))
    square += (off * off) / molicel.length
  }
  console.log(`ten breakpoints: worst ${(1000 * worst).toFixed(1)} mV, rms ${(1000 * Math.sqrt(square)).toFixed(1)} mV`)
  expect(worst).toBeLessThan(0.015)
  expect(Math.sqrt(square)).toBeLessThan(0.008)
})

test('the same: charge read back from the published volts is within 2 % everywhere, 1 % rms', () => {
  const curve = makeCurve(defaultBase.pack.restingCellVolts)
  let worst = 0
  let square = 0
  for (const [charge, volts] of molicel) {
    const off = chargeAtVolts(curve, volts) - charge
    worst = Math.max(worst, Math.abs(off))
    square += (off * off) / molicel.length
  }
  console.log(
    `inverse curve: worst ${(100 * worst).toFixed(2)} %, rms ${(100 * Math.sqrt(square)).toFixed(2)} % of charge`,
  )
  expect(worst).toBeLessThan(0.02)
  expect(Math.sqrt(square)).toBeLessThan(0.01)
})

test('the published points themselves, as a base file would hold them, come back exactly both ways', () => {
  for (const points of [molicel, chen]) {
    const curve = makeCurve(points)
    for (const [charge, volts] of points) {
      expect(voltsAtCharge(curve, charge)).toBeCloseTo(volts, 9)
      expect(chargeAtVolts(curve, volts)).toBeCloseTo(charge, 9)
    }
  }
})

test('mean resting volts, and with them the energy of a cell: P28A 3.7231 V, LG M50 (Chen 2020) 3.7221 V', () => {
  const derived = rowsOf('B-energy-derived') as [string, number, number][]
  const mean = (points: [number, number][]): number => areaToCharge(makeCurve(points), 1)
  expect(mean(molicel)).toBeCloseTo(derived[0][1], 2)
  expect(mean(chen)).toBeCloseTo(derived[2][1], 2)
  expect(mean(defaultBase.pack.restingCellVolts)).toBeCloseTo(derived[0][1], 2)
  // 2.6 Ah hold about 9.65 Wh (note of the same entry).
  expect(2.6 * mean(molicel)).toBeGreaterThan(9.6)
  expect(2.6 * mean(molicel)).toBeLessThan(9.75)
})

test('charge below 3.0 V and 3.3 V at rest: 1.95 % and 8.09 % of the P28A', () => {
  const [, , , below30, below33] = rowsOf('B-energy-derived')[0] as [string, number, number, number, number]
  for (const points of [molicel, defaultBase.pack.restingCellVolts]) {
    const curve = makeCurve(points)
    expect(Math.abs(chargeAtVolts(curve, 3.0) - below30)).toBeLessThan(0.003)
    expect(Math.abs(chargeAtVolts(curve, 3.3) - below33)).toBeLessThan(0.003)
  }
})

test('Samsung INR18650-15L, item 7.5: capacity in the cold as its sheet prints it; the firmware takes less of it at small currents', () => {
  for (const [celsius, percent] of rowsOf('B-capacity-vs-temperature-15l') as [number, number][]) {
    expect(capacityFactorAt(celsius)).toBeCloseTo(percent / 100, 9)
    expect(firmwareCapacityFactorAt(celsius)).toBeGreaterThanOrEqual(percent / 100)
    expect(firmwareCapacityFactorAt(celsius)).toBeLessThanOrEqual(1)
  }
})

test('a simulated cell has the resistance that sheets and hobby measurements show: tens of milliohms up to 100', () => {
  // ICR18650-26J: 42.3 mOhm measured at 2.6 A, at most 100 mOhm by its sheet; small cells and wiring add to it.
  const measured = 0.0423
  const sheet = 0.1
  for (let seed = 1; seed <= 50; seed++) {
    const truth = drawPackTruth(createRandom(seed, 4), defaultBase, 25)
    const cell = (truth.resistanceOhms + truth.quickOhms) / truth.cells
    expect(cell).toBeGreaterThan(measured)
    expect(cell).toBeLessThan(2 * sheet)
  }
})

test('discharged at 0.2 C, the simulated pack gives its capacity to the maker`s limit within 4 %', () => {
  // Makers state capacity at 0.2 C down to 2.5 or 2.75 V: INR18650-30Q, ICR18650-26C and others.
  const truth = {
    ...drawPackTruth(createRandom(1, 4), defaultBase, 25),
    capacityCoulombs: defaultBase.pack.capacityMilliampHours * 3.6,
    restingCellVolts: fineCurve(molicel, () => 0),
  }
  const pack = createPackPlant(truth, 1)
  const amps = 0.2 * (defaultBase.pack.capacityMilliampHours / 1000)
  let coulombs = 0
  while (pack.leastCellVolts > 2.75 || coulombs === 0) {
    stepPack(pack, amps, 1)
    coulombs += amps
  }
  expect(coulombs / truth.capacityCoulombs).toBeGreaterThan(0.96)
  expect(coulombs / truth.capacityCoulombs).toBeLessThanOrEqual(1.001)
  expect(curveAt(molicel, 1)).toBe(4.1881)
})
