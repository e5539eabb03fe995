import { expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import {
  createPackPlant,
  cutOffPack,
  drawPackTruth,
  type PackTruth,
  resetPack,
  setPackCelsius,
  stepPack,
} from '../../../sim/plant/pack.ts'
import { createRandom } from '../../../sim/plant/random.ts'

function truth(seed = 1, celsius = 25): PackTruth {
  return drawPackTruth(createRandom(seed, 4), defaultBase, celsius)
}

test('what is drawn leaves the charge, coulomb by coulomb', () => {
  const pack = createPackPlant(truth(), 1)
  for (let i = 0; i < 6000; i++) stepPack(pack, 0.5, 0.1)
  expect(1 - pack.charge).toBeCloseTo(300 / pack.truth.capacityCoulombs, 9)
})

test('one long step draws what many short ones do', () => {
  const one = createPackPlant(truth(), 0.8)
  const many = createPackPlant(truth(), 0.8)
  stepPack(one, 0.4, 60)
  for (let i = 0; i < 600; i++) stepPack(many, 0.4, 0.1)
  expect(one.charge).toBeCloseTo(many.charge, 9)
  expect(one.packVolts).toBeCloseTo(many.packVolts, 6)
})

test('load drops the volts at once, more within minutes, and rest gives them back', () => {
  const pack = createPackPlant(truth(), 0.6)
  const resting = pack.packVolts
  const atOnce = resting - stepPack(pack, 0.5, 0.001)
  expect(atOnce).toBeGreaterThan(0.45 * pack.resistanceOhms)
  expect(atOnce).toBeLessThan(0.55 * pack.resistanceOhms)
  for (let i = 0; i < 1200; i++) stepPack(pack, 0.5, 0.1)
  expect(resting - pack.packVolts).toBeGreaterThan(1.2 * atOnce)
  for (let i = 0; i < 20_000; i++) stepPack(pack, 0, 0.1)
  expect(pack.slowVolts + pack.quickVolts).toBeLessThan(1e-4)
})

test('a cold pack has more resistance and less to give', () => {
  const pack = createPackPlant(truth(), 1)
  const warm = { ohms: pack.resistanceOhms, per: pack.chargePerCoulomb }
  setPackCelsius(pack, 5)
  expect(pack.resistanceOhms).toBeGreaterThan(1.5 * warm.ohms)
  expect(pack.chargePerCoulomb).toBeGreaterThan(1.04 * warm.per)
})

test('a weak cell ends the pack before the other is empty', () => {
  const weak = { ...truth(), weakCellFactor: 0.6 }
  const pack = createPackPlant(weak, 1)
  while (!pack.cutOff) stepPack(pack, 0.4, 1)
  expect(pack.charge).toBeGreaterThan(0.35)
  expect(pack.packVolts).toBe(0)
})

test('an opened protection gives nothing until it is reset', () => {
  const pack = createPackPlant(truth(), 0.5)
  cutOffPack(pack)
  expect(stepPack(pack, 0.1, 0.1)).toBe(0)
  expect(pack.charge).toBe(0.5)
  resetPack(pack, 1)
  expect(stepPack(pack, 0.1, 0.1)).toBeGreaterThan(8)
})

test('a current that is no number counts as none', () => {
  const pack = createPackPlant(truth(), 0.5)
  const volts = stepPack(pack, NaN, 0.1)
  expect(pack.charge).toBe(0.5)
  expect(volts).toBeGreaterThan(7)
})

test('the same seed draws the same pack, another seed another one; every curve rises', () => {
  expect(truth(7)).toEqual(truth(7))
  expect(truth(7).capacityCoulombs).not.toBe(truth(8).capacityCoulombs)
  for (let seed = 1; seed < 100; seed++) {
    const curve = truth(seed).restingCellVolts
    for (let i = 1; i < curve.length; i++) expect(curve[i]).toBeGreaterThanOrEqual(curve[i - 1])
  }
})
