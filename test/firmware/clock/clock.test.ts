import { expect, test } from 'vitest'
import { createClock, learnPress } from '../../../firmware/clock/clock.ts'
import { bathAhead, progressAhead, secondsUntil } from '../../../firmware/clock/forecast.ts'
import { createHabit, learnHabit } from '../../../firmware/clock/operator.ts'
import { makeRate, secondsAt } from '../../../firmware/recipe/rate.ts'
import { createEstimates, type Estimates } from '../../../firmware/sense/estimates.ts'
import { atLeast, bench, cueAfter, go, PRIOR, press, timed } from './bench.ts'
import { COLOUR } from './rig.ts'

test('a timed bath calls so that reaction and drain end it exactly', () => {
  expect(cueAfter(bench(timed))).toBeCloseTo(60 - 10 - 2, 5)
})

test('a bath of at least so long calls so that even a fast drain ends no sooner than that', () => {
  // Drains of 10 s take 15 % more or less until they are known: the fastest that counts is 2.5 sigma shorter.
  expect(Math.abs(cueAfter(bench(atLeast)) - (60 - 10 * (1 - 2.5 * 0.15)))).toBeLessThanOrEqual(0.1)
})

test('counted from full, the fill comes on top', () => {
  expect(cueAfter(bench({ ...timed, startsWhen: 'full' }))).toBeCloseTo(8 + 60 - 10 - 2, 5)
})

test('a constant developed bath lasts exactly its row, fill, reaction and drain within it', () => {
  expect(cueAfter(bench(COLOUR))).toBeCloseTo(195 - 10 - 2, 1)
})

test('a push, and films that went through before, are counted into a bath by time too', () => {
  const b = bench({ ...timed, timeFactor: 1.5 })
  expect(cueAfter(b)).toBeCloseTo(90 - 12, 5)
})

test('progress of a bath by time is the fraction of its time; when it is empty everything stays', () => {
  const b = bench(timed)
  cueAfter(b)
  go(b, 2)
  press(b, 'draining')
  go(b, 10)
  press(b, 'empty')
  go(b, 1)
  expect(b.clock.view.progress).toBeCloseTo(1, 5)
  expect(b.clock.view.elapsedSeconds).toBeCloseTo(60, 5)
  go(b, 50)
  expect(b.clock.view.progress).toBeCloseTo(1, 5)
  expect(b.clock.view.cueAtSeconds).toBeNaN()
  expect(b.clock.view.due).toBe(false)
})

test('seconds overdue run from the cue, and the cue stays due', () => {
  const b = bench(timed)
  cueAfter(b)
  go(b, 7)
  expect(b.clock.view.due).toBe(true)
  expect(b.clock.view.overdueSeconds).toBeCloseTo(7, 0)
})

test('too cold, too warm and outside the sheet are said at the next second', () => {
  const b = bench(COLOUR)
  go(b, 5)
  press(b, 'filling')
  go(b, 8)
  press(b, 'full')
  go(b, 10)
  expect([b.clock.view.usable, b.clock.view.outsideSheet]).toEqual(['within', false])
  b.estimates.bathCelsius = 29
  go(b, 1)
  expect([b.clock.view.usable, b.clock.view.outsideSheet]).toEqual(['tooCold', true])
  b.estimates.bathCelsius = 39.5
  go(b, 20)
  expect([b.clock.view.usable, b.clock.view.outsideSheet]).toEqual(['tooWarm', true])
  expect(b.clock.view.outsideSheetSeconds).toBeCloseTo(21, 0)
  expect(b.clock.view.lowCelsius).toBe(29)
  expect(b.clock.view.highCelsius).toBe(39.5)
})

test('a bath is not judged while it is poured, nor after it is gone', () => {
  const b = bench(COLOUR)
  b.estimates.bathCelsius = 20
  go(b, 5)
  press(b, 'filling')
  go(b, 8)
  b.estimates.bathCelsius = 37
  press(b, 'full')
  go(b, 30)
  press(b, 'draining')
  go(b, 10)
  b.estimates.bathCelsius = 25
  press(b, 'empty')
  go(b, 5)
  expect(b.clock.view.lowCelsius).toBe(37)
  expect(b.clock.view.meanCelsius).toBeCloseTo(37, 9)
})

test('without any temperature the clock goes on, with the widest bound and no NaN in what is shown', () => {
  const b = bench(COLOUR)
  b.estimates.bathCelsius = NaN
  b.estimates.bodyCelsius = NaN
  b.estimates.progressSigma = 1000
  const seconds = cueAfter(b)
  expect(seconds).toBeGreaterThan(100)
  expect(b.clock.view.boundPercent).toBe(9999)
  expect(b.clock.view.endAtSeconds).not.toBeNaN()
})

test('presses are learned, and one tea break does not spoil what was', () => {
  const clock = createClock(PRIOR)
  for (let i = 0; i < 10; i++) learnPress(clock, 'reaction', 3.5 + 0.2 * (i % 2))
  expect(clock.reaction.meanSeconds).toBeGreaterThan(3.2)
  const before = clock.reaction.meanSeconds
  learnPress(clock, 'reaction', 300)
  expect(clock.reaction.meanSeconds - before).toBeLessThan(0.5)
  learnPress(clock, 'reaction', NaN)
  learnPress(clock, 'reaction', -4)
  expect(clock.reaction.meanSeconds - before).toBeLessThan(0.5)
})

test('an operator who is known exactly is not learned from', () => {
  const clock = createClock({ ...PRIOR, known: true })
  learnPress(clock, 'reaction', 9)
  expect(clock.reaction.meanSeconds).toBe(2)
})

test('what is learned converges on the mean and the spread of the presses', () => {
  const habit = createHabit(2, 1)
  for (let i = 0; i < 200; i++) learnHabit(habit, 5 + (i % 2 === 0 ? 1 : -1))
  expect(habit.meanSeconds).toBeCloseTo(5, 0)
  expect(habit.sigmaSeconds).toBeGreaterThan(0.7)
  expect(habit.sigmaSeconds).toBeLessThan(1.3)
})

function cooling(): Estimates {
  const estimates = createEstimates()
  estimates.bathCelsius = 38
  estimates.bodyCelsius = 25
  estimates.believedRoomCelsius = 18
  estimates.eveningPerSecond = 0.05
  estimates.bodyHeatShare = 0.15
  estimates.coolingPerSecond = 2e-4
  return estimates
}

test('ahead, the bath first evens out with the tank and then goes towards the room', () => {
  const estimates = cooling()
  expect(bathAhead(estimates, 0)).toBeCloseTo(38, 9)
  expect(bathAhead(estimates, 120)).toBeCloseTo(18 + (38 - 0.15 * 13 - 18) * Math.exp(-0.024), 1)
  expect(bathAhead(estimates, 1e6)).toBeCloseTo(18, 6)
})

test('the forecast agrees with a fine integration, from any guess', () => {
  const rate = makeRate(COLOUR, 0)
  const estimates = cooling()
  let fine = 0
  for (let t = 0; t < 200; t += 0.01) fine += 0.01 / secondsAt(rate, bathAhead(estimates, t + 0.005))
  expect(progressAhead(rate, estimates, 200) / fine).toBeCloseTo(1, 3)
  for (const guess of [NaN, 5, 150, 3000]) {
    expect(Math.abs(secondsUntil(rate, estimates, fine, guess) - 200)).toBeLessThan(0.3)
  }
  expect(secondsUntil(rate, estimates, -0.01, 100)).toBeLessThan(0)
  expect(secondsUntil(rate, estimates, 1e6, NaN)).toBe(36000)
})
