/** The clock tick by tick: what is worked out when, what the bound is made of, and what a usual tick costs. */
import { expect, test } from 'vitest'
import { beginBath, createClock, learnPress, tickClock } from '../../../firmware/clock/clock.ts'
import { resumeClock } from '../../../firmware/clock/resumeClock.ts'
import { secondsAt } from '../../../firmware/recipe/rate.ts'
import { atLeast, type Bench, bench, cueAfter, go, POUR, PRIOR, press, timed } from './bench.ts'
import { COLOUR } from './rig.ts'

/** A full tank, `seconds` after it was closed. */
function full(b: Bench, seconds: number): Bench {
  go(b, 5)
  press(b, 'filling')
  go(b, POUR.fillSeconds)
  press(b, 'full')
  go(b, seconds)
  return b
}

/** Ticks of the next seconds in which the forecast changed, in tenths after a whole second. */
function forecasts(b: Bench, seconds: number): number[] {
  const at: number[] = []
  for (let i = 0; i < Math.round(seconds * 10); i++) {
    // A bath that drifts, so that no two forecasts are the same.
    b.estimates.bathCelsius = b.estimates.bodyCelsius -= 1e-4
    const before = b.clock.view.endAtSeconds
    go(b, 0.1)
    if (b.clock.view.endAtSeconds !== before) at.push(b.tick)
  }
  return at
}

test('fill, drain and reaction are learned apart', () => {
  const clock = createClock(PRIOR)
  clock.fill.meanSeconds = 8
  clock.drain.meanSeconds = 10
  learnPress(clock, 'reaction', 2.3)
  expect([clock.reaction.weight, clock.fill.weight, clock.drain.weight]).toEqual([3, 2, 2])
  learnPress(clock, 'fill', 8.1)
  learnPress(clock, 'fill', 8.1)
  expect([clock.reaction.weight, clock.fill.weight, clock.drain.weight]).toEqual([3, 4, 2])
  learnPress(clock, 'drain', 10.1)
  expect([clock.reaction.weight, clock.fill.weight, clock.drain.weight]).toEqual([3, 4, 3])
  expect(clock.fill.meanSeconds).toBeGreaterThan(8)
  expect(clock.drain.meanSeconds).toBeGreaterThan(10)
})

test('habits of pouring start from the recipe, fifteen percent either way, and are kept from bath to bath', () => {
  const { clock } = bench(timed)
  expect(clock.fill).toMatchObject({ meanSeconds: 8, weight: 2 })
  expect(clock.fill.sigmaSeconds).toBeCloseTo(1.2, 12)
  expect(clock.drain.sigmaSeconds).toBeCloseTo(1.5, 12)
})

test('far from its cue the forecast is worked out every five seconds, in the tick after the whole second', () => {
  const at = forecasts(full(bench(COLOUR), 20), 60)
  expect(at.length).toBe(12)
  for (const tick of at) expect(tick % 10).toBe(1)
  for (let i = 1; i < at.length; i++) expect(at[i]! - at[i - 1]!).toBe(50)
})

test('from fifteen seconds before the last press it is worked out every second', () => {
  const b = full(bench(COLOUR), 20)
  go(b, 1000, () => b.clock.view.endAtSeconds - b.estimates.nowSeconds < 15 + 12 + 0.5)
  const at = forecasts(b, 8)
  expect(at.length).toBe(8)
})

test('shortly before the cue it is worked out in the whole second itself: it might say that it is now', () => {
  const b = full(bench(COLOUR), 20)
  go(b, 1000, () => b.clock.view.cueAtSeconds - b.estimates.nowSeconds < 4.5)
  const at = forecasts(b, 4)
  expect(at.length).toBeGreaterThanOrEqual(4)
  for (const tick of at) expect(tick % 10).toBe(0)
})

test('a clock that runs no bath shows nothing', () => {
  expect(createClock(PRIOR).view).toEqual({
    progress: 0,
    boundPercent: 0,
    cueAtSeconds: NaN,
    endAtSeconds: NaN,
    due: false,
    elapsedSeconds: 0,
    overdueSeconds: NaN,
    outsideSheet: false,
    farOutsideSheet: false,
    outsideSheetSeconds: 0,
    usable: 'within',
    meanCelsius: NaN,
    lowCelsius: NaN,
    highCelsius: NaN,
    bridging: false,
  })
})

test('before any bath nothing is owed, nothing is in the tank, and no temperature is unusable', () => {
  const clock = createClock(PRIOR)
  expect(clock).toMatchObject({ contents: 'empty', kind: 'timed', solveOwed: false, rate: undefined })
  expect(clock.usableLowCelsius).toBeLessThan(-273)
  expect(clock.usableHighCelsius).toBeGreaterThan(1000)
})

test('a bath that begins while another is half done begins with nothing of it but the habits', () => {
  const b = full(bench(COLOUR), 20)
  b.estimates.bathCelsius = 45
  b.estimates.bridging = true
  learnPress(b.clock, 'fill', 9)
  learnPress(b.clock, 'drain', 12)
  go(b, 1)
  const { fill, drain } = b.clock
  const habits = [{ ...fill }, { ...drain }]
  expect(b.clock.view).toMatchObject({ usable: 'tooWarm', farOutsideSheet: true, bridging: true })
  b.clock.solveOwed = true
  beginBath(b.clock, COLOUR, 0, b.underway.rate, { fillSeconds: 20, drainSeconds: 20 })
  expect(b.clock).toMatchObject({ contents: 'empty', solveOwed: false })
  expect(b.clock.view).toMatchObject({ usable: 'within', outsideSheet: false, farOutsideSheet: false, bridging: false })
  const fresh = bench(COLOUR).clock
  expect([fill, drain]).toEqual(habits)
  expect({ ...b.clock, fill: 0, drain: 0, lookFromSeconds: 0 }).toEqual({
    ...fresh,
    fill: 0,
    drain: 0,
    lookFromSeconds: 0,
  })
})

test('a forecast that is owed has the next tick look, wherever the cue is', () => {
  const b = full(bench(COLOUR), 20)
  go(b, 100, () => b.clock.solveOwed)
  expect(b.clock.solveOwed).toBe(true)
  expect(b.clock.lookFromSeconds).toBeLessThan(b.estimates.nowSeconds)
  go(b, 0.1)
  expect(b.clock.solveOwed).toBe(false)
  expect(b.clock.lookFromSeconds).toBeCloseTo(b.clock.view.cueAtSeconds - 2, 9)
})

test('a bath by time has its cue in the tick of its first contact, and it stays where it is', () => {
  const b = bench(timed)
  go(b, 5)
  press(b, 'filling')
  go(b, 0.1)
  const cue = b.clock.view.cueAtSeconds
  expect(cue).toBeCloseTo(b.clock.contactSeconds + 60 - 12, 9)
  go(b, 30)
  expect(b.clock.view.cueAtSeconds).toBe(cue)
})

test('far from its cue a usual tick looks at the time and at nothing else: the board pays for every name', () => {
  const b = full(bench(timed), 3)
  const view = b.clock.view
  let looks = 0
  b.clock.view = new Proxy(view, {
    get: (target, key) => {
      looks++
      return target[key as keyof typeof target]
    },
  })
  go(b, 0.5)
  expect(looks).toBe(0)
  // Nearer than two seconds every tick looks, because the cue may come in any.
  go(b, 1000, () => view.cueAtSeconds - b.estimates.nowSeconds <= 1.7)
  for (let i = 0; i < 5; i++) {
    looks = 0
    go(b, 0.1)
    expect(looks).toBeGreaterThan(0)
  }
})

test('the cue comes in the tick that is nearest to its moment', () => {
  for (const reactionSeconds of [2, 2.03, 2.07]) {
    const b = bench(timed, { ...PRIOR, reactionSeconds })
    const seconds = cueAfter(b)
    expect(Math.abs(seconds - (60 - 10 - reactionSeconds))).toBeLessThanOrEqual(0.05 + 1e-9)
  }
})

test('seconds overdue are counted in every tick, and there are none before the cue nor after the bath', () => {
  const b = full(bench(timed), 10)
  expect(b.clock.view.overdueSeconds).toBeNaN()
  go(b, 1000, () => b.clock.view.due)
  const { cueAtSeconds } = b.clock.view
  go(b, 0.7)
  expect(b.clock.view.overdueSeconds).toBeCloseTo(b.estimates.nowSeconds - cueAtSeconds, 9)
  press(b, 'draining')
  go(b, 3)
  expect(b.clock.view.overdueSeconds).toBeCloseTo(b.estimates.nowSeconds - cueAtSeconds, 9)
  press(b, 'empty')
  go(b, 1)
  expect(b.clock.view).toMatchObject({ due: false, overdueSeconds: NaN, cueAtSeconds: NaN })
})

test('a cue that was given stays where it was, whatever the bath does then', () => {
  const b = full(bench(COLOUR), 20)
  go(b, 1000, () => b.clock.view.due)
  const { cueAtSeconds } = b.clock.view
  b.estimates.bathCelsius = b.estimates.bodyCelsius = 33
  go(b, 10)
  expect(b.clock.view.cueAtSeconds).toBe(cueAtSeconds)
  // When it will have acted is foretold all the same.
  expect(b.clock.view.endAtSeconds).toBeGreaterThan(cueAtSeconds + 12)
})

test('while the tank drains the moment of the cue stays what it was, though the bath goes on', () => {
  const b = full(bench(COLOUR), 40)
  const { cueAtSeconds } = b.clock.view
  press(b, 'draining')
  b.estimates.bathCelsius = b.estimates.bodyCelsius = 33
  go(b, 8)
  expect(b.clock.view.cueAtSeconds).toBe(cueAtSeconds)
  expect(b.clock.view.endAtSeconds).toBeGreaterThan(cueAtSeconds + 20)
})

test('poured out before its cue, a bath is called for no more', () => {
  const b = full(bench(timed), 20)
  const { cueAtSeconds } = b.clock.view
  press(b, 'draining')
  go(b, 3)
  expect(b.clock.view.due).toBe(false)
  expect(b.clock.view.cueAtSeconds).toBe(cueAtSeconds)
  press(b, 'empty')
  go(b, 100)
  expect(b.clock.view.due).toBe(false)
})

test('when the tank is empty, the bath has ended at that press, and nothing of it changes any more', () => {
  const b = full(bench(COLOUR), 60)
  press(b, 'draining')
  go(b, 9)
  press(b, 'empty')
  const emptied = b.tick / 10
  go(b, 0.1)
  expect(b.clock.view.endAtSeconds).toBe(emptied)
  expect(b.clock.view.elapsedSeconds).toBeCloseTo(emptied - b.clock.contactSeconds, 9)
  const stays = { ...b.clock.view }
  b.estimates.progress = 5
  b.estimates.progressSigma = 3
  b.estimates.bathCelsius = 12
  go(b, 20)
  expect(b.clock.view).toEqual(stays)
})

test('before first contact nothing runs', () => {
  const b = bench(COLOUR)
  const blank = { ...b.clock.view }
  go(b, 30)
  expect(b.clock.view).toEqual(blank)
})

test('a bath counted from full makes no progress before, and none is foretold to', () => {
  const b = bench({ ...timed, startsWhen: 'full' })
  go(b, 5)
  press(b, 'filling')
  go(b, 4)
  expect(b.clock.view.progress).toBe(0)
  expect(b.clock.view.elapsedSeconds).toBeCloseTo(4, 9)
  expect(b.clock.view.endAtSeconds).toBeCloseTo(5 + 8 + 60, 9)
  go(b, 6)
  press(b, 'full')
  go(b, 30)
  expect(b.clock.view.progress).toBeCloseTo(0.5, 9)
  // Filled two seconds later than the recipe says.
  expect(b.clock.view.endAtSeconds).toBeCloseTo(5 + 10 + 60, 9)
})

test('a developer counted from full waits for what is left of the fill', () => {
  const b = bench({ ...COLOUR, startsWhen: 'full' })
  go(b, 5)
  press(b, 'filling')
  go(b, 6.2)
  expect(b.clock.view.endAtSeconds).toBeCloseTo(5 + 8 + 195, 1)
  // A fill that takes longer than the recipe says is not foretold to have been over.
  go(b, 10)
  expect(b.clock.view.endAtSeconds).toBeGreaterThan(b.estimates.nowSeconds + 195 - 6)
})

test('the bound is 2.1 sigma of progress, of the two presses and of the arithmetic together', () => {
  const b = full(bench(COLOUR), 50)
  b.estimates.progressSigma = 0.004 * b.estimates.progress
  go(b, 1)
  const { view } = b.clock
  const press = 0.3 / view.elapsedSeconds
  const sigma = b.estimates.progressSigma / view.progress
  expect(view.boundPercent).toBeCloseTo(210 * Math.sqrt(sigma ** 2 + 2 * press ** 2 + 0.0005 ** 2), 9)
  const known = full(bench(COLOUR, { ...PRIOR, known: true }), 50)
  go(known, 1)
  expect(known.clock.view.boundPercent).toBeCloseTo(
    210 * Math.sqrt(2 * (0.03 / known.clock.view.elapsedSeconds) ** 2 + 0.0005 ** 2),
    9,
  )
})

test('in its first second, and before any progress, as good as nothing is known of a bath', () => {
  const b = bench({ ...COLOUR, startsWhen: 'full' })
  go(b, 5)
  press(b, 'filling')
  go(b, 4)
  expect(b.clock.view.boundPercent).toBeCloseTo(210 * Math.sqrt(1 + 2 * (0.3 / 4) ** 2 + 0.0005 ** 2), 6)
  const first = bench(COLOUR)
  go(first, 5)
  press(first, 'filling')
  go(first, 1)
  expect(first.clock.view.boundPercent).toBeCloseTo(210 * Math.sqrt(2 + 0.0005 ** 2), 6)
})

test('a bath by time has no bound, and its progress is the share of its time', () => {
  const b = full(bench(timed), 22)
  b.estimates.progressSigma = 1
  expect(b.clock.view.progress).toBeCloseTo(0.5, 9)
  go(b, 3)
  expect(b.clock.view.boundPercent).toBe(0)
})

test('that the probe is bridged is passed on every second', () => {
  const b = full(bench(COLOUR), 20)
  b.estimates.bridging = true
  go(b, 1)
  expect(b.clock.view.bridging).toBe(true)
  b.estimates.bridging = false
  go(b, 1)
  expect(b.clock.view.bridging).toBe(false)
})

test('of an operator known exactly, a bath of at least so long is called by the very drain', () => {
  expect(cueAfter(bench(atLeast, { ...PRIOR, known: true }))).toBeCloseTo(50, 5)
})

test('a drain that might take no time at all never puts the cue behind the end of the bath', () => {
  const b = bench(atLeast)
  b.clock.drain.meanSeconds = 3
  b.clock.drain.sigmaSeconds = 4
  expect(cueAfter(b)).toBeCloseTo(60, 5)
})

test('after a power cut the bath goes on from its first contact, which may lie before the board started', () => {
  for (const [startsWhen, contents, start] of [
    ['contact', 'full', -100],
    ['contact', 'filling', -100],
    ['full', 'full', -92],
    ['full', 'draining', -92],
    ['full', 'filling', NaN],
  ] as const) {
    const b = bench({ ...COLOUR, startsWhen })
    b.underway.contents = contents
    resumeClock(b.clock, b.underway, -100, 3)
    expect(b.clock.startSeconds, `${startsWhen} ${contents}`).toBe(start)
    expect(b.clock).toMatchObject({ contents, contactSeconds: -100, workedSeconds: 3, solvedSeconds: NaN })
    b.estimates.progress = 0.5
    b.estimates.nowSeconds = 4
    b.estimates.slow = true
    tickClock(b.clock, b.estimates, b.underway)
    expect(b.clock.view).toMatchObject({ progress: 0.5, elapsedSeconds: 104 })
  }
})

test('gone on with, a bath is foretold from what it has', () => {
  const b = bench(COLOUR)
  b.underway.contents = 'full'
  b.underway.sinceSeconds = -92
  resumeClock(b.clock, b.underway, -100, 3)
  b.tick = 30
  b.estimates.progress = 0.25
  go(b, 1.2)
  const left = (1 - b.estimates.progress) * secondsAt(b.underway.rate!, 37.8)
  expect(Math.abs(b.clock.view.endAtSeconds - b.estimates.nowSeconds - left)).toBeLessThan(0.3)
})
