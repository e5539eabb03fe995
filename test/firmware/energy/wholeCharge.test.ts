/**
 * The promise: sessions per charge, as said beforehand, come within 5 % of what the simulated pack gives, from the
 * second session on. Packs, drives, rooms and the curve itself differ from what the base file says.
 */

import { expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { expectedSeconds } from '../../../firmware/energy/duration.ts'
import { colourNegative } from '../../../sim/bench/shippedRecipes.ts'
import { fineCurve, type PackTruth } from '../../../sim/plant/pack.ts'
import figures from '../../published/figures/pack.json'
import { runCharge } from './wholeCharge.ts'

const SEEDS = 40
const published = figures.find(one => one.id === 'B-ocv-molicel-inr18650p28a')?.rows as [number, number][]
const seconds = colourNegative.baths.map(bath => expectedSeconds(bath, NaN, 0, colourNegative.pour.fillSeconds))

/** Errors in percent, sorted, by session of the first charge and all of a second one. */
function campaign(currentSense: boolean, shape?: (truth: PackTruth) => void) {
  const base = { ...defaultBase, pack: { ...defaultBase.pack, currentSense } }
  const second: number[] = []
  const third: number[] = []
  const fromFourth: number[] = []
  const nextCharge: number[] = []
  for (let seed = 1; seed <= SEEDS; seed++) {
    const celsius = 10 + ((seed * 7.7) % 22)
    const first = runCharge(base, colourNegative, seconds, seed, celsius, shape)
    const again = runCharge(base, colourNegative, seconds, seed, celsius, shape, first.learned)
    const off = (predicted: number, given: number): number => Math.abs(100 * (predicted / given - 1))
    first.predicted.forEach((one, i) => {
      if (i === 1) second.push(off(one, first.given))
      if (i === 2) third.push(off(one, first.given))
      if (i >= 3) fromFourth.push(off(one, first.given))
    })
    for (const one of again.predicted) nextCharge.push(off(one, again.given))
  }
  return { second, third, fromFourth, nextCharge }
}

/** The part of 1 that is within so many percent. */
function within(errors: number[], percent: number): number {
  return errors.filter(one => one <= percent).length / errors.length
}

test('with a current sense, nine of ten first charges are foretold within 5 % at the second and third session, from the fourth all', () => {
  const all = campaign(true)
  expect(within(all.second, 5)).toBeGreaterThanOrEqual(0.9)
  expect(within(all.second, 7)).toBe(1)
  expect(within(all.third, 5)).toBeGreaterThanOrEqual(0.9)
  expect(within(all.fromFourth, 5)).toBe(1)
  expect(within(all.nextCharge, 5)).toBe(1)
})

test('the same on the published curve of a real cell, of which the base file only has ten points', () => {
  const all = campaign(true, truth => {
    truth.restingCellVolts = fineCurve(published, () => 0)
  })
  expect(within(all.second, 5)).toBeGreaterThanOrEqual(0.9)
  expect(within(all.third, 5)).toBeGreaterThanOrEqual(0.9)
  expect(within(all.nextCharge, 5)).toBe(1)
})

test('without a current sense 19 of 20 first charges are foretold from their fourth session on, later charges from the start', () => {
  const all = campaign(false)
  // The load model alone learns from how the pack's voltage falls, and one session is too little of that.
  expect(within(all.second, 40)).toBe(1)
  expect(within(all.third, 20)).toBe(1)
  expect(within(all.fromFourth, 5)).toBeGreaterThanOrEqual(0.95)
  expect(within(all.nextCharge, 5)).toBe(1)
})
