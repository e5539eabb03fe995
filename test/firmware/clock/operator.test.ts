/** What one press after another teaches the base of its operator, figure by figure. */
import { expect, test } from 'vitest'
import { createHabit, learnHabit } from '../../../firmware/clock/operator.ts'

test('the prior counts as two presses: the first one moves the mean by a third of its distance', () => {
  const habit = createHabit(2, 0.8)
  learnHabit(habit, 3.5)
  expect(habit.meanSeconds).toBeCloseTo(2.5, 12)
  // Two parts of the spread, one part of a press 1.5 s off, about their new mean.
  expect(habit.sigmaSeconds).toBeCloseTo(Math.sqrt((2 / 3) * (0.8 ** 2 + 1.5 ** 2 / 3)), 12)
  learnHabit(habit, 2.5)
  expect(habit.meanSeconds).toBeCloseTo(2.5, 12)
  expect(habit.weight).toBe(4)
})

test('a press far out, either way, counts as one 2.5 sigma out', () => {
  const late = createHabit(20, 1)
  learnHabit(late, 400)
  expect(late.meanSeconds).toBeCloseTo(20 + 2.5 / 3, 12)
  const early = createHabit(20, 1)
  learnHabit(early, 1)
  expect(early.meanSeconds).toBeCloseTo(20 - 2.5 / 3, 12)
  expect(early.sigmaSeconds).toBeCloseTo(late.sigmaSeconds, 12)
})

test('a spread of nothing still lets a habit move', () => {
  const habit = createHabit(2, 0)
  learnHabit(habit, 30)
  expect(habit.meanSeconds).toBeCloseTo(2 + (2.5 * 0.2) / 3, 12)
})

test('people change: no more than twelve presses are remembered', () => {
  const habit = createHabit(4, 1)
  for (let i = 0; i < 100; i++) learnHabit(habit, 4)
  expect(habit.weight).toBe(12)
  const before = habit.meanSeconds
  learnHabit(habit, before + 0.1)
  expect(habit.meanSeconds).toBeCloseTo(before + 0.1 / 13, 9)
})

test('a press in no time is learned from; what is no time, or more than any session lasts, is not', () => {
  const habit = createHabit(2, 5)
  learnHabit(habit, 0)
  expect(habit.meanSeconds).toBeCloseTo(2 - 2 / 3, 12)
  const before = { ...habit }
  for (const seconds of [NaN, -0.001, 1e6, Infinity]) learnHabit(habit, seconds)
  expect(habit).toEqual(before)
})
