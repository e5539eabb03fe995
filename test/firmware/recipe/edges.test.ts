/** Rates and reuse where a sheet says little: nothing throws, and every figure is one. */
import { expect, test } from 'vitest'
import { makeRate, secondsAt, sensitivityAt } from '../../../firmware/recipe/rate.ts'
import type { Bath } from '../../../firmware/recipe/recipe.ts'
import { reuseExhausted, reuseFactor } from '../../../firmware/recipe/reuse.ts'

const developed: Bath = { name: 'developer', kind: 'developed', agitation: 'even' }

test('a developer without any time has a rate of one second, at every temperature', () => {
  const rate = makeRate(developed, 0)
  expect([5, 20, 40].map(celsius => secondsAt(rate, celsius))).toEqual([1, 1, 1])
  expect(sensitivityAt(rate, 20)).toBe(0)
})

test('one row alone is a time for every temperature', () => {
  const rate = makeRate({ ...developed, rows: [[20, 300]] }, 0)
  for (const celsius of [10, 20, 38]) expect(secondsAt(rate, celsius)).toBeCloseTo(300, 9)
})

test('a sheet of reuse without a band changes nothing and is never exhausted', () => {
  expect(reuseFactor({ factors: [] }, 300, 9)).toBe(1)
  expect(reuseFactor({ addSeconds: [] }, 300, 9)).toBe(1)
  expect(reuseExhausted({ factors: [] }, 9)).toBe(false)
})

test('added seconds are a share of the time, and its end an end, as that of factors is', () => {
  const reuse = { addSeconds: [[4, 0] as [number, number], [8, 30] as [number, number]] }
  expect(reuseFactor(reuse, 300, 2)).toBe(1)
  expect(reuseFactor(reuse, 300, 6)).toBeCloseTo(1.1, 12)
  expect(reuseFactor(reuse, 0, 6)).toBe(1)
  expect(reuseExhausted(reuse, 7.9)).toBe(false)
  expect(reuseExhausted(reuse, 8)).toBe(true)
})
