/**
 * Water, and the heat that a tank loses, against published figures (`figures/heat.json` names each source): what the
 * plant's parameter ranges and the observer's constants rest on.
 */
import { expect, test } from 'vitest'
import { heatModel, TURNING_ROOM_FACTOR, WATER_JOULES_PER_MILLILITRE_KELVIN } from '../../firmware/sense/heat.ts'
import { defaultTank } from '../../firmware/tank/defaultTank.ts'
import { drawBathTruth, tankOuterSquareMetres } from '../../sim/plant/bathTruth.ts'
import { createRandom } from '../../sim/plant/random.ts'
import { waterGramsPerMillilitre, waterJoulesPerGramKelvin } from '../../sim/plant/water.ts'
import figures from './figures/heat.json'

test("water's density is Tanaka's formula, and agrees with the handbook list to 0.003 kg/m3 up to 30 °C", () => {
  for (const [celsius, printed, formula] of figures['D-water-density-values'].rows) {
    expect(Math.abs(1000 * waterGramsPerMillilitre(celsius) - formula)).toBeLessThan(0.0001)
    if (celsius <= 30) expect(Math.abs(1000 * waterGramsPerMillilitre(celsius) - printed)).toBeLessThan(0.0035)
  }
})

test("water's heat capacity agrees with all three printed lists to 0.08 %: they differ by 0.06 % themselves", () => {
  for (const row of figures['D-water-cp'].rows) {
    const celsius = row[0] as number
    for (const printed of [row[1], row[2], row[4]]) {
      if (printed === null) continue
      expect(Math.abs(waterJoulesPerGramKelvin(celsius) / printed - 1)).toBeLessThan(0.0008)
    }
  }
})

test("the firmware's one figure for water's heat is right to 0.7 % from 15 to 40 °C", () => {
  for (let celsius = 15; celsius <= 40; celsius += 5) {
    const heat = waterGramsPerMillilitre(celsius) * waterJoulesPerGramKelvin(celsius)
    expect(Math.abs(WATER_JOULES_PER_MILLILITRE_KELVIN / heat - 1)).toBeLessThan(0.007)
  }
})

/** Churchill and Chu 1975, horizontal cylinder: the Nusselt number. */
function nusselt(rayleigh: number, prandtl: number): number {
  const f = (1 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)
  return (0.6 + (0.387 * rayleigh ** (1 / 6)) / f) ** 2
}

test("Churchill and Chu's worked cases come out as published", () => {
  for (const [, prandtl, rayleigh, nu] of figures['D-churchill-chu-horizontal-cylinder'].rows) {
    expect(nusselt(rayleigh as number, prandtl as number)).toBeCloseTo(nu as number, 1)
  }
})

test('convection by Churchill and Chu with radiation as in ISO 6946 gives the 8 W/m2K within 30 % that the plant draws', () => {
  // Air at 30 °C, the properties of the second case; a tank of 96 mm, 15 K warmer than the room.
  const nu = 1.798e-5
  const conductivity = 0.02735
  const prandtl = 0.7228
  const diameterMetres = (defaultTank.innerDiameterMillimetres + 4) / 1000
  const rayleigh = (9.81 * (15 / 303) * diameterMetres ** 3 * prandtl) / (nu * nu)
  const convection = (nusselt(rayleigh, prandtl) * conductivity) / diameterMetres
  // EN ISO 6946 recommends 5.42 W/m2K for the radiative part (note of D-iso6946-surface-resistance).
  const combined = convection + 5.42
  expect(combined).toBeGreaterThan(8 * 0.7)
  expect(combined).toBeLessThan(8 * 1.3)
  for (const [, , reciprocal] of figures['D-iso6946-surface-resistance'].rows) {
    expect(reciprocal as number).toBeGreaterThan(8 * 0.7)
    expect(reciprocal as number).toBeLessThan(8 * 1.3)
  }
  const outer = tankOuterSquareMetres(defaultTank)
  for (let seed = 1; seed <= 200; seed++) {
    const truth = drawBathTruth(createRandom(seed, 1), defaultTank, 1)
    expect(truth.roomStandingWattsPerKelvin / outer).toBeGreaterThan(8 * 0.7)
    expect(truth.roomStandingWattsPerKelvin / outer).toBeLessThan(8 * 1.31)
  }
})

test('closed cylinders have the published time constants, and a full tank of our own lies among them', () => {
  for (const [litres, , , squareCentimetres, h, minutes] of figures['D-tank-time-constant-derived'].rows) {
    const seconds = (litres * 995 * 4.18 * 1e4) / (h * squareCentimetres)
    expect(seconds / 60 / minutes).toBeCloseTo(1, 2)
  }
  const model = heatModel(defaultTank)
  const heat = 500 * WATER_JOULES_PER_MILLILITRE_KELVIN + model.bodyJoulesPerKelvin
  const minutes = heat / model.roomWattsPerKelvin / 60
  // 105 to 156 min for 0.3 to 1 litre at 8 W/m2K without wall heat; turning takes a fifth off.
  expect(minutes).toBeGreaterThan(80)
  expect(minutes).toBeLessThan(156)
  expect(minutes / TURNING_ROOM_FACTOR).toBeGreaterThan(70)
})
