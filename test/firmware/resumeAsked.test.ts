/** How long it was dark, asked on the panel and answered with the two buttons. */
import { expect, test } from 'vitest'
import { forEachRecord } from '../../firmware/journal/journal.ts'
import type { Keeper } from '../../firmware/journal/keeper.ts'
import { readEvent } from '../../firmware/journal/payloads.ts'
import { KIND } from '../../firmware/journal/record.ts'
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { evenAgitation } from '../../firmware/recipe/shipped/agitations.ts'
import { tellDark } from '../../firmware/resume.ts'
import { ASK_SECONDS } from '../../firmware/session/session.ts'
import { type Bench, openBench } from '../../sim/bench/run.ts'
import { pressButton, releaseButton } from '../../sim/plant/pins.ts'
import { beyondBound, cut, leave, open, optionsOf, pressFor, runTo, short, step } from './powerCut.ts'

/** A developer that acts for hours, turned now and then so that the pack lasts: no dark time of these tests ends it. */
const long: Recipe = {
  ...short,
  agitations: { even: { ...evenAgitation(), restSeconds: 30 } },
  baths: [
    {
      name: 'developer',
      kind: 'developed',
      rows: [
        [20, 9000],
        [30, 5500],
      ],
      rowsFor: 'rotary',
      agitation: 'even',
    },
    ...short.baths.slice(1),
  ],
}

const linesOf = (bench: Bench): string[] => bench.plant.pins.screen.lines.map(line => line.text)
const answersOf = (bench: Bench): number[] => bench.base.session.darkAnswers

/** The tank turns, the power goes for so long, and for some seconds nobody touches the base. */
function dark(seconds: number, recipe = long, seed = 2): Bench {
  const bench = open(seed, recipe)
  runTo(bench, 900)
  expect(bench.base.session.state).toBe('turning')
  cut(bench, seconds, 'power')
  leave(bench, 3)
  return bench
}

/** Steps on to the answer nearest to the truth, by ratio. */
function choose(bench: Bench, seconds: number): void {
  const { session } = bench.base
  const answers = answersOf(bench).slice(1)
  const off = answers.map(answer => Math.abs(Math.log(answer / seconds)))
  const nearest = answers[off.indexOf(Math.min(...off))]
  // The first press stops the alarm.
  for (let i = 0; i <= answers.length + 1 && session.darkAnswers[session.darkAt] !== nearest; i++) {
    pressFor(bench, 'advance', 0.5)
  }
  expect(session.darkAnswers[session.darkAt]).toBe(nearest)
}

test('the panel asks in plain words, and shows what the base believes before what a person may choose', () => {
  const bench = dark(240)
  expect(bench.base.session.state).toBe('held')
  expect(linesOf(bench).slice(0, 2)).toEqual(['ON HOLD', `~${(answersOf(bench)[0]! / 60).toFixed(0)} min?`])
  // As long as the alarm calls, its name stays.
  expect(linesOf(bench).slice(3)).toEqual(['Power gone how long?', 'Power was gone'])
  pressFor(bench, 'advance', 1)
  expect(linesOf(bench)[4]).toBe('Advance next, hold OK')
  const shown: string[] = []
  for (let i = 0; i < answersOf(bench).length; i++) {
    pressFor(bench, 'advance', 1)
    shown.push(linesOf(bench)[1] as string)
    expect(bench.base.session.state).toBe('held')
  }
  expect(shown[0]).toBe('<1 min?')
  expect(shown.slice(1, 4)).toEqual(['1 min?', '2 min?', '3 min?'])
  // Round again to the base's own.
  expect(shown[shown.length - 1]).toMatch(/^~/)
  for (const text of [...linesOf(bench), ...shown]) expect(text.length).toBeLessThanOrEqual(21)
  for (const text of shown) expect(text.length).toBeLessThanOrEqual(10)
})

test('every answer that is offered is possible, and every possible time has one near it', () => {
  for (const seconds of [5, 60, 600, 3000]) {
    const bench = dark(seconds)
    const [own, ...others] = answersOf(bench) as [number, ...number[]]
    const { leastSeconds, mostSeconds } = bench.base.dark!
    expect(own).toBe(bench.base.dark!.seconds)
    expect(others.length).toBeGreaterThan(2)
    for (let t = leastSeconds; t < mostSeconds; t += 10) {
      expect(
        others.some(answer => Math.abs(answer - t) <= Math.max(32, 0.42 * answer)),
        `${t} s`,
      ).toBe(true)
    }
    for (const answer of others) {
      expect(answer * 1.5).toBeGreaterThan(leastSeconds)
      expect(answer / 1.5).toBeLessThan(mostSeconds)
    }
  }
})

test('the chosen answer is counted, the bound shrinks, and the truth stays within it', () => {
  let shrunk = 0
  let asked = 0
  const outside: string[] = []
  for (let seed = 1; seed <= 12; seed++) {
    for (const seconds of [8, 25, 47, 85, 130, 210, 400, 800, 1500, 3100]) {
      const bench = dark(seconds, long, seed)
      if (bench.base.session.darkAt < 0) continue
      asked++
      const before = bench.base.clock.view.boundPercent
      choose(bench, seconds)
      pressFor(bench, 'hold', 2)
      expect(bench.base.session.state).toBe('turning')
      if (bench.base.clock.view.boundPercent < 0.8 * before) shrunk++
      expect(bench.base.clock.view.boundPercent).toBeLessThanOrEqual(before)
      const beyond = beyondBound(bench)
      if (beyond !== '') outside.push(`seed ${seed}, dark ${seconds} s: ${beyond}`)
    }
  }
  expect(asked).toBeGreaterThan(80)
  expect(shrunk).toBeGreaterThan(0.8 * asked)
  expect(outside).toEqual([])
}, 60_000)

test('a person who does not step says nothing: hold goes on with what the base believes, as wide as it was', () => {
  const bench = dark(300)
  const { seconds } = bench.base.dark!
  const { boundPercent } = bench.base.clock.view
  pressFor(bench, 'hold', 2)
  expect(bench.base.session.state).toBe('turning')
  expect(bench.base.session.darkAt).toBe(-1)
  expect(bench.base.dark!.seconds).toBe(seconds)
  expect(Math.abs(bench.base.clock.view.boundPercent / boundPercent - 1)).toBeLessThan(0.1)
})

test('the answer is written down at once: a second cut in the next tick does not lose it', () => {
  const bench = dark(400)
  choose(bench, 400)
  const chosen = answersOf(bench)[bench.base.session.darkAt] as number
  const { pins } = bench.plant
  pressButton(pins, 'hold')
  leave(bench, 0.1)
  releaseButton(pins, 'hold')
  expect(bench.base.session.state).toBe('turning')
  const believed = bench.base.bathSense.observer.progress
  pins.wallOffsetSeconds = 1_700_000_000
  cut(bench, 1, 'watchdog')
  expect(bench.base.bathSense.observer.progress).toBeGreaterThan(believed)
  expect(bench.base.bathSense.observer.progress - believed).toBeLessThan(20 / 5500)
  const answers: number[] = []
  forEachRecord((bench.base.keeper as Keeper).journal, found => {
    const event = found.kind === KIND.event ? readEvent(found.payload) : undefined
    if (event?.kind === 'darkAnswered') answers.push(event.seconds)
  })
  expect(answers).toEqual([chosen])
  leave(bench, 2)
  expect(beyondBound(bench)).toBe('')
})

test('said over the line, it is written down at once, and the question goes', () => {
  const bench = dark(400)
  expect(bench.base.session.darkAt).toBe(0)
  expect(tellDark(bench.base, 405)).toBe(true)
  expect(bench.base.session.darkAt).toBe(-1)
  const believed = bench.base.bathSense.observer.progress
  leave(bench, 1.2)
  expect(linesOf(bench)[1]).not.toMatch(/min/)
  expect(linesOf(bench)[3]).toMatch(/1\/2$/)
  cut(bench, 0, 'watchdog')
  expect(bench.base.bathSense.observer.progress).toBeGreaterThanOrEqual(believed)
})

test('a bath that falls due while it is asked is called out as ever', () => {
  const bench = open(2)
  runTo(bench, 700)
  cut(bench, 25, 'power')
  leave(bench, 1)
  expect(bench.base.session.darkAt).toBe(0)
  const { session } = bench.base
  for (let i = 0; i < 2000 && session.state === 'held'; i++) leave(bench, 0.1)
  expect(session.state).toBe('heldDue')
  expect(session.darkAt).toBe(-1)
  leave(bench, 1.2)
  expect(linesOf(bench)[0]).toBe('POUR OUT')
  pressFor(bench, 'advance', 1)
  expect(session.state).toBe('draining')
})

test('a bath by time is called out at its time, the dark that a person told counted in', () => {
  const timed: Recipe = { ...short, baths: [{ name: 'bleach', kind: 'timed', seconds: 400, agitation: 'even' }] }
  const bench = open(2, timed)
  runTo(bench, 900)
  expect(bench.base.session.state).toBe('turning')
  cut(bench, 40, 'power')
  leave(bench, 3)
  expect(tellDark(bench.base, 40)).toBe(true)
  pressFor(bench, 'hold', 2)
  while (bench.base.session.state === 'turning') leave(bench, 0.1)
  expect(bench.base.session.state).toBe('due')
  const { drain, reaction } = bench.base.clock
  const bathSeconds = bench.plant.pins.seconds - bench.plant.firstContactSeconds
  expect(Math.abs(bathSeconds + drain.meanSeconds + reaction.meanSeconds - 400)).toBeLessThan(2.8)
})

test('a guess by which the bath is over asks before it calls: whoever comes within a minute saves the film', () => {
  const guessed = (): Bench => {
    // A bath close to the room says hardly anything of the time.
    const bench = openBench({ ...optionsOf(2, short), pourCelsius: [21, 20] })
    runTo(bench, 900)
    cut(bench, 25, 'power')
    leave(bench, 2)
    expect(bench.base.session.state).toBe('held')
    expect(bench.base.clock.view.due).toBe(true)
    return bench
  }
  const saved = guessed()
  leave(saved, 5)
  choose(saved, 25)
  pressFor(saved, 'hold', 2)
  expect(saved.base.session.state).toBe('turning')
  expect(beyondBound(saved)).toBe('')
  const alone = guessed()
  leave(alone, ASK_SECONDS - 4)
  expect(alone.base.session.state).toBe('held')
  leave(alone, 5)
  expect(alone.base.session.state).toBe('heldDue')
})

test('an answer by which the bath is over calls for the pour-out within a second or two', () => {
  const bench = open(2)
  runTo(bench, 700)
  cut(bench, 25, 'power')
  leave(bench, 1)
  const { session } = bench.base
  choose(bench, 1e5)
  expect(session.darkAnswers[session.darkAt]).toBeGreaterThan(90)
  pressFor(bench, 'hold', 2)
  expect(session.state).toBe('due')
})

test('with a button that is stuck nothing is asked of the other: the bath can be poured out early as ever', () => {
  const bench = dark(300)
  bench.plant.pins.hold.down = true
  leave(bench, 17)
  pressFor(bench, 'advance', 1)
  expect(bench.base.session.darkAt).toBe(0)
  pressFor(bench, 'advance', 0.8)
  pressFor(bench, 'advance', 0.8)
  expect(bench.base.session.state).toBe('draining')
})

test('nothing is asked where a wall clock ran, where it was a restart, or where nothing turned', () => {
  const wall = open(2, long)
  runTo(wall, 900)
  wall.plant.pins.wallOffsetSeconds = 1_700_000_000
  leave(wall, 6)
  cut(wall, 400, 'power')
  leave(wall, 3)
  expect(wall.base.session.state).toBe('held')
  expect(wall.base.session.darkAt).toBe(-1)

  const restarted = open(2, long)
  runTo(restarted, 900)
  cut(restarted, 6, 'watchdog')
  leave(restarted, 3)
  expect(restarted.base.session.state).toBe('held')
  expect(restarted.base.session.darkAt).toBe(-1)

  const filling = open(2, long)
  while (filling.base.session.state !== 'filling') step(filling)
  leave(filling, 1)
  cut(filling, 60, 'power')
  leave(filling, 1)
  expect(filling.base.session.state).toBe('filling')
  expect(filling.base.session.darkAt).toBe(-1)
})
