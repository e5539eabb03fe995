/** A bath's temperature against its sheet and its usable range, and over its time. */
import { expect, test } from 'vitest'
import { beginBath, type Clock, createClock } from '../../../firmware/clock/clock.ts'
import { judgeTemperature } from '../../../firmware/clock/temperature.ts'
import { makeRate } from '../../../firmware/recipe/rate.ts'
import type { Bath } from '../../../firmware/recipe/recipe.ts'
import { COLOUR } from './rig.ts'

/** A full tank of this bath: the sheet of `COLOUR` goes from 30 to 37.8, its usable range from 30 to 39. */
function full(bath: Bath = COLOUR): Clock {
  const clock = createClock({ reactionSeconds: 2, reactionSigmaSeconds: 0.5, known: false })
  const rate = bath.kind === 'developed' ? makeRate(bath, 0) : undefined
  beginBath(clock, bath, 0, rate, { fillSeconds: 8, drainSeconds: 10 })
  clock.contents = 'full'
  return clock
}

function judged(celsius: number, bath: Bath = COLOUR): Clock['view'] {
  const clock = full(bath)
  judgeTemperature(clock, celsius, 1)
  return clock.view
}

test('a tenth of a degree past an end of the sheet is the scatter of a probe, more is outside, half a degree is far', () => {
  for (const [celsius, outside, far] of [
    [29.45, true, true],
    [29.55, true, false],
    [29.85, true, false],
    [29.95, false, false],
    [37.85, false, false],
    [37.95, true, false],
    [38.25, true, false],
    [38.35, true, true],
  ] as const) {
    const view = judged(celsius)
    expect([view.outsideSheet, view.farOutsideSheet], `${celsius} C`).toEqual([outside, far])
  }
})

test('the usable range has the same tenth at both ends, for a bath by time too', () => {
  const fixer: Bath = { name: 'fixer', kind: 'atLeast', seconds: 60, usableCelsius: [18, 24], agitation: 'even' }
  for (const [celsius, usable] of [
    [17.85, 'tooCold'],
    [17.95, 'within'],
    [24.05, 'within'],
    [24.15, 'tooWarm'],
  ] as const) {
    expect(judged(celsius, fixer).usable, `${celsius} C`).toBe(usable)
  }
})

test('a bath by time has no sheet to be outside of, and one without a range is usable at any temperature', () => {
  const stop: Bath = { name: 'stop', kind: 'timed', seconds: 60, agitation: 'even' }
  for (const celsius of [-40, 5, 90]) {
    const view = judged(celsius, stop)
    expect([view.usable, view.outsideSheet, view.outsideSheetSeconds]).toEqual(['within', false, 0])
  }
})

test('what was outside is within again as soon as the bath is, and its seconds stay counted', () => {
  const clock = full()
  judgeTemperature(clock, 40, 3)
  expect(clock.view).toMatchObject({ usable: 'tooWarm', farOutsideSheet: true, outsideSheetSeconds: 3 })
  judgeTemperature(clock, 37, 2)
  expect(clock.view).toMatchObject({
    usable: 'within',
    outsideSheet: false,
    farOutsideSheet: false,
    outsideSheetSeconds: 3,
  })
})

test('the mean weighs each temperature with its time, and low and high are those of the bath', () => {
  const clock = full()
  judgeTemperature(clock, 37, 1)
  expect(clock.view).toMatchObject({ meanCelsius: 37, lowCelsius: 37, highCelsius: 37 })
  judgeTemperature(clock, 33, 3)
  judgeTemperature(clock, 35, 4)
  expect(clock.view.meanCelsius).toBeCloseTo((37 + 3 * 33 + 4 * 35) / 8, 12)
  expect(clock.view).toMatchObject({ lowCelsius: 33, highCelsius: 37 })
})

test('in its first moment, when no time has gone yet, the mean of a bath is its temperature', () => {
  const clock = full()
  judgeTemperature(clock, 36.5, 0)
  expect(clock.view.meanCelsius).toBe(36.5)
})

test('nothing is judged while the bath is poured in, nor without a temperature', () => {
  const pouring = full()
  pouring.contents = 'filling'
  judgeTemperature(pouring, 12, 1)
  const blind = full()
  judgeTemperature(blind, NaN, 1)
  for (const { view } of [pouring, blind]) {
    expect(view.usable).toBe('within')
    expect([view.lowCelsius, view.highCelsius, view.meanCelsius]).toEqual([NaN, NaN, NaN])
  }
  judgeTemperature(blind, 35, 1)
  expect(blind.view.meanCelsius).toBe(35)
})

test('the next bath begins with nothing of the one before', () => {
  const clock = full()
  judgeTemperature(clock, 25, 10)
  const fresh = full().view
  beginBath(clock, COLOUR, 0, makeRate(COLOUR, 0), { fillSeconds: 8, drainSeconds: 10 })
  expect(clock.view).toEqual(fresh)
  clock.contents = 'full'
  judgeTemperature(clock, 37, 1)
  expect(clock.view).toMatchObject({ meanCelsius: 37, lowCelsius: 37, highCelsius: 37 })
})
