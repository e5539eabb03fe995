/** The power goes in the middle of a session and comes back: nothing that was counted is lost, and nothing turns unasked. */
import { expect, test } from 'vitest'
import { tick } from '../../firmware/base.ts'
import { defaultBase } from '../../firmware/defaultBase.ts'
import { forEachRecord } from '../../firmware/journal/journal.ts'
import type { Keeper } from '../../firmware/journal/keeper.ts'
import { readEvent, readSummary, type Summary } from '../../firmware/journal/payloads.ts'
import { KIND } from '../../firmware/journal/record.ts'
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { evenAgitation } from '../../firmware/recipe/shipped/agitations.ts'
import { tellDark } from '../../firmware/resume.ts'
import { SESSION_LOST } from '../../firmware/session/alarmTable.ts'
import type { SessionState } from '../../firmware/session/table.ts'
import { defaultTank } from '../../firmware/tank/defaultTank.ts'
import type { ResetCause } from '../../hal/board.ts'
import { type Bench, openBench, type RunOptions, restartBase } from '../../sim/bench/run.ts'
import { drivenDuty, pressButton, releaseButton } from '../../sim/plant/pins.ts'
import { stepPlant } from '../../sim/plant/plant.ts'
import { ASKED } from '../../sim/rehearsal/asked.ts'
import { TornStore } from './journal/tornStore.ts'

/** A developer and a stop: all that a session has, in five minutes. */
const short: Recipe = {
  name: 'short',
  title: 'Short',
  pour: { fillSeconds: 4, drainSeconds: 5 },
  baths: [
    {
      name: 'developer',
      kind: 'developed',
      rows: [
        [20, 150],
        [30, 90],
      ],
      rowsFor: 'rotary',
      agitation: 'even',
    },
    { name: 'stop', kind: 'timed', seconds: 30, agitation: 'even' },
  ],
  agitations: { even: evenAgitation() },
}

/** One developer of half a minute. */
const shorter: Recipe = {
  ...short,
  name: 'shorter',
  baths: [
    {
      name: 'developer',
      kind: 'developed',
      rows: [
        [20, 40],
        [30, 30],
      ],
      rowsFor: 'rotary',
      agitation: 'even',
    },
  ],
}

function optionsOf(seed: number, recipe = short): RunOptions {
  return {
    recipe,
    tank: defaultTank,
    base: defaultBase,
    seed,
    filmsInTank: 1,
    filmsThrough: 0,
    roomCelsius: 20,
    millilitres: [300, 300],
    pourCelsius: [26, 20],
    startCharge: 0.9,
  }
}

const open = (seed: number): Bench => openBench(optionsOf(seed))

const LOOK_ROUND_STEPS = 100

/** One tick and a tenth of a second; the operator does as asked, and presses hold where a session waits to go on. */
function step(bench: Bench): void {
  tick(bench.base)
  const { plant, base } = bench
  const state = base.session.state
  releaseButton(plant.pins, 'hold')
  const heldFor = base.estimates.nowSeconds - base.session.stateSeconds
  if (state === 'held' && heldFor > 3) pressButton(plant.pins, 'hold')
  stepPlant(plant, plant.steps < LOOK_ROUND_STEPS ? 'wait' : state === 'heldDue' ? 'pourOut' : ASKED[state])
}

function isOver(bench: Bench): boolean {
  const { state } = bench.base.session
  return state === 'abandoned' || (state === 'finished' && bench.plant.bath.phase === 'empty')
}

function runTo(bench: Bench, steps: number): void {
  while (bench.plant.steps < steps && !isOver(bench)) step(bench)
}

/** The tank stands in the dark: nobody does anything, and nothing is driven. */
function goDark(bench: Bench, seconds: number): void {
  const { pins } = bench.plant
  pins.motorDuty = 0
  pins.motorGoodUntilSeconds = 0
  for (let i = 0; i < seconds * 10; i++) stepPlant(bench.plant, 'nothing')
}

/** The power goes, the tank stands in the dark, and the board starts. */
function cut(bench: Bench, darkSeconds: number, cause: ResetCause): void {
  const before = bench.base
  goDark(bench, darkSeconds)
  restartBase(bench, cause)
  expect(bench.base).not.toBe(before)
}

const steps = (() => {
  const bench = open(1)
  runTo(bench, 1e6)
  return bench.plant.steps
})()

test('the session that the cuts are tried on has all its transitions', () => {
  const bench = open(1)
  runTo(bench, 1e6)
  expect(bench.base.session.state).toBe('finished')
  expect(bench.base.mishaps).toBe(0)
  expect(steps).toBeGreaterThan(1500)
})

/** Why progress is not what the film got, within what the base says it knows; empty when it is. */
function beyondBound(bench: Bench): string {
  const { base, plant } = bench
  const { progress, boundPercent } = base.clock.view
  const truth = plant.bath.trueProgress
  const off = Math.abs(truth / progress - 1) * 100
  return off <= boundPercent
    ? ''
    : `true ${truth.toFixed(4)}, believed ${progress.toFixed(4)} within ${boundPercent.toFixed(2)} %`
}

/** How far belief and truth are apart, in seconds of the shorter session's developer. */
const secondsOff = (bench: Bench): number =>
  Math.abs(bench.plant.bath.trueProgress - bench.base.clock.view.progress) * 30

const isDeveloping = (bench: Bench): boolean =>
  bench.base.session.bathIndex === 0 && bench.base.session.underway.contents !== 'empty'

/** Two seconds as after every restart: at rest until a press, such as the operator had just begun to make. False with a press. */
function lookAtRest(bench: Bench, label: string): boolean {
  const { pins } = bench.plant
  const presses = pins.advance.presses
  for (let i = 0; i < 20 && pins.advance.presses === presses; i++) {
    tick(bench.base)
    expect(drivenDuty(pins), label).toBe(0)
    stepPlant(bench.plant, 'nothing')
  }
  expect(bench.base.mishaps, label).toBe(0)
  return pins.advance.presses === presses
}

/** What a state may be after the dark: what turned is held, and a cue may have come due meanwhile. */
function statesAfter(state: SessionState): RegExp {
  if (state === 'planned' || state === 'finished') return /^(planned|finished)$/
  if (state === 'turning') return /^held(Due)?$/
  if (state === 'due') return /^heldDue$/
  return state === 'filling' ? /^filling(Due)?$/ : new RegExp(`^${state}$`)
}

test('cut at any tick of a session: it is where it was, at rest, with progress inside its bound', () => {
  const outside: string[] = []
  let developing = 0
  for (let at = 0; at < steps; at++) {
    const bench = open(1)
    runTo(bench, at)
    const state = bench.base.session.state
    bench.plant.pins.wallOffsetSeconds = 1_700_000_000
    cut(bench, 6, 'watchdog')
    if (!lookAtRest(bench, `tick ${at}`)) continue
    expect(bench.base.session.state, `tick ${at}`).toMatch(statesAfter(state))
    if (!isDeveloping(bench)) continue
    developing++
    const beyond = beyondBound(bench)
    if (beyond !== '') outside.push(`tick ${at}, ${state}: ${beyond}`)
  }
  expect(developing).toBeGreaterThan(1000)
  expect(outside).toEqual([])
}, 60_000)

test('without a wall clock the bath itself tells how long it was dark, and the bound says how well', () => {
  const outside: string[] = []
  let tried = 0
  for (let at = 220; at < 1400; at += 59) {
    for (const dark of [2, 20, 90, 240, 700]) {
      const bench = open(1 + (at % 7))
      runTo(bench, at)
      if (!isDeveloping(bench)) continue
      cut(bench, dark, 'power')
      if (!lookAtRest(bench, `tick ${at}`)) continue
      tried++
      const beyond = beyondBound(bench)
      if (beyond !== '') outside.push(`tick ${at}, dark ${dark} s: ${beyond}`)
    }
  }
  expect(tried).toBeGreaterThan(90)
  expect(outside).toEqual([])
})

test('a person who knows how long it was dark says so, and the bound shrinks to what a person can know', () => {
  for (const dark of [30, 120, 400]) {
    const bench = open(2)
    runTo(bench, 700)
    cut(bench, dark, 'power')
    lookAtRest(bench, `${dark} s`)
    const before = bench.base.clock.view.boundPercent
    expect(tellDark(bench.base, dark)).toBe(true)
    lookAtRest(bench, `${dark} s`)
    expect(bench.base.clock.view.boundPercent).toBeLessThan(before)
    expect(bench.base.clock.view.boundPercent).toBeLessThan(25)
    expect(beyondBound(bench), `${dark} s`).toBe('')
  }
})

test('nobody can say how long it was dark where nothing was', () => {
  const bench = open(2)
  runTo(bench, 700)
  expect(tellDark(bench.base, 60)).toBe(false)
})

test('a session gone on with is carried to its end, and its record says that it was dark', () => {
  const bench = open(3)
  runTo(bench, 700)
  cut(bench, 15, 'power')
  expect(bench.base.session.state).toBe('held')
  expect(bench.base.session.alarms.standing).toBeGreaterThan(0)
  runTo(bench, 1e6)
  const { base, plant } = bench
  expect(base.session.state).toBe('finished')
  expect(base.mishaps).toBe(0)
  expect(plant.records).toHaveLength(2)
  const summaries: Summary[] = []
  const alarms: number[] = []
  forEachRecord((base.keeper as Keeper).journal, found => {
    const event = found.kind === KIND.event ? readEvent(found.payload) : undefined
    if (event?.kind === 'alarmRaised') alarms.push(event.alarm)
    if (found.kind === KIND.summary) summaries.push(readSummary(found.payload) as Summary)
  })
  expect(alarms).toContain(50)
  expect(summaries).toHaveLength(1)
  expect(summaries[0]).toMatchObject({ session: 1, recipe: 'short', finished: true, baths: 2, darkTimes: 1 })
})

test('a session whose recipe is gone is not gone on with, and an alarm says so', () => {
  const bench = open(1)
  runTo(bench, 700)
  bench.options = { ...bench.options, recipe: { ...short, name: 'another' } }
  cut(bench, 5, 'power')
  tick(bench.base)
  expect(bench.base.session.state).toBe('planned')
  expect(bench.base.session.alarms.level[SESSION_LOST]).toBeGreaterThan(0)
  expect(bench.base.mishaps).toBe(0)
})

/** Runs until the flash has taken so many more bytes, or the session is over. */
function runToCut(bench: Bench, flash: TornStore, bytes: number): boolean {
  flash.cutAfter = flash.operations + bytes
  while (!flash.dead && !isOver(bench)) step(bench)
  const wasCut = flash.dead
  flash.restorePower()
  return wasCut
}

test('cut at every record that is written, at its beginning, middle and end: the one before is found', () => {
  const flash = new TornStore(16_384, 4096)
  const whole = openBench(optionsOf(1), flash)
  runTo(whole, 1e6)
  const written = flash.operations
  expect(written).toBeGreaterThan(3000)
  let cuts = 0
  for (let at = 1; at < written; at += 11) {
    const torn = new TornStore(16_384, 4096)
    const bench = openBench(optionsOf(1), torn)
    bench.plant.pins.wallOffsetSeconds = 1_700_000_000
    if (!runToCut(bench, torn, at)) continue
    cuts++
    const state = bench.base.session.state
    cut(bench, 4, 'power')
    if (!lookAtRest(bench, `byte ${at}`)) continue
    if (isDeveloping(bench)) expect(beyondBound(bench), `byte ${at}, ${state}`).toBe('')
    // The press whose record was torn has to be made again: no other is lost.
    const asked = bench.base.session.state
    const back: Record<string, RegExp> = {
      filling: /planned|ready|filling/,
      turning: /filling|held/,
      draining: /held|draining/,
      ready: /draining|ready/,
      finished: /draining|finished|planned/,
    }
    expect(asked, `byte ${at}, ${state}`).toMatch(back[state] ?? statesAfter(state))
  }
  expect(cuts).toBeGreaterThan(300)
}, 60_000)

test('cut at every pair of places in the record of a shorter session: it is still there, at rest, inside its bound', () => {
  const written = (() => {
    const flash = new TornStore(8192, 2048)
    const bench = openBench(optionsOf(1, shorter), flash)
    runTo(bench, 1e6)
    return flash.operations
  })()
  let pairs = 0
  let alike = 0
  for (let first = 1; first < written; first += 17) {
    for (let second = 1; second < written - first; second += 17) {
      const flash = new TornStore(8192, 2048)
      const bench = openBench(optionsOf(1, shorter), flash)
      bench.plant.pins.wallOffsetSeconds = 1_700_000_000
      if (!runToCut(bench, flash, first)) continue
      cut(bench, 3, 'power')
      if (!runToCut(bench, flash, second)) continue
      cut(bench, 3, 'power')
      if (!lookAtRest(bench, `bytes ${first} and ${second}`)) continue
      pairs++
      // Drained in the dark, or a press whose record was torn: the tank is further on than the base can know.
      if (bench.plant.bath.phase !== bench.base.session.underway.contents) continue
      alike++
      // The second press then counts as the first: up to five seconds of this half minute are lost.
      if (isDeveloping(bench) && secondsOff(bench) > 5)
        expect(beyondBound(bench), `bytes ${first} and ${second}`).toBe('')
    }
  }
  expect(pairs).toBeGreaterThan(500)
  expect(alike).toBeGreaterThan(250)
}, 60_000)
