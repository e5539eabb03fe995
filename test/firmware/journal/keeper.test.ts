/** What a base writes down of a session, record by record, held against what the session itself knows; and what it finds of it. */
import { expect, test } from 'vitest'
import { tick } from '../../../firmware/base.ts'
import { forEachRecord } from '../../../firmware/journal/journal.ts'
import {
  hasLost,
  type Keeper,
  noteEvents,
  notePulled,
  openKeeper,
  tendKeeper,
} from '../../../firmware/journal/keeper.ts'
import { readLearned } from '../../../firmware/journal/learnedPayload.ts'
import {
  type Checkpoint,
  type JournalEvent,
  readCheckpoint,
  readEvent,
  readSessionBegun,
  readStarted,
  readSummary,
} from '../../../firmware/journal/payloads.ts'
import { KIND, word } from '../../../firmware/journal/record.ts'
import type { Recipe } from '../../../firmware/recipe/recipe.ts'
import { evenAgitation } from '../../../firmware/recipe/shipped/agitations.ts'
import { fire } from '../../../firmware/session/act.ts'
import { createAlarms } from '../../../firmware/session/alarms.ts'
import type { SessionState } from '../../../firmware/session/table.ts'
import { runByPlan } from '../../../sim/bench/defaults.ts'
import { type Bench, openBench, restartBase } from '../../../sim/bench/run.ts'
import { stepPlant } from '../../../sim/plant/plant.ts'
import { ASKED } from '../../../sim/rehearsal/asked.ts'

const RECIPE: Recipe = {
  name: 'brief',
  title: 'Brief',
  pour: { fillSeconds: 4, drainSeconds: 4 },
  baths: [
    { name: 'prewet', kind: 'timed', seconds: 20, agitation: 'even' },
    {
      name: 'developer',
      kind: 'developed',
      rows: [
        [20, 60],
        [38, 30],
      ],
      agitation: 'even',
    },
    { name: 'wash', kind: 'atLeast', seconds: 15, agitation: 'even' },
  ],
  agitations: { even: evenAgitation() },
}

function begun(recipe = RECIPE): Bench {
  return openBench(runByPlan({ seed: 3, recipe, filmsInTank: 1, filmsThrough: 2 }))
}

function step(bench: Bench): void {
  tick(bench.base)
  stepPlant(bench.plant, bench.plant.steps < 100 ? 'wait' : ASKED[bench.base.session.state])
}

function until(bench: Bench, state: SessionState, bathIndex: number): void {
  const { session } = bench.base
  for (let i = 0; i < 6000 && !(session.state === state && session.bathIndex === bathIndex); i++) step(bench)
  expect([session.state, session.bathIndex]).toEqual([state, bathIndex])
}

const keeperOf = (bench: Bench): Keeper => bench.base.keeper as Keeper

interface Read {
  kind: number
  payload: Uint8Array
  sequence: number
}

function records(bench: Bench): Read[] {
  const all: Read[] = []
  forEachRecord(keeperOf(bench).journal, ({ kind, payload, sequence }) =>
    all.push({ kind, payload: payload.slice(), sequence }),
  )
  return all
}

const checkpoints = (bench: Bench): Checkpoint[] =>
  records(bench).flatMap(({ kind, payload }) => (kind === KIND.checkpoint ? [readCheckpoint(payload)!] : []))
const events = (bench: Bench): JournalEvent[] =>
  records(bench).flatMap(({ kind, payload }) => (kind === KIND.event ? [readEvent(payload)!] : []))
const ofKind = (bench: Bench, wanted: number): Uint8Array[] =>
  records(bench).flatMap(({ kind, payload }) => (kind === wanted ? [payload] : []))

test('a board that starts writes why and when, once', () => {
  const bench = begun()
  bench.plant.pins.wallOffsetSeconds = 1.8e9
  restartBase(bench, 'watchdog')
  const started = ofKind(bench, KIND.started).map(readStarted)
  expect(started.map(one => one?.cause)).toEqual(['power', 'watchdog'])
  expect(started[1]?.wallSeconds).toBeCloseTo(1.8e9 + bench.plant.pins.seconds, 3)
})

test('a session is written down from its first contact to its summary, each event with its moment', () => {
  const bench = begun()
  bench.plant.pins.wallOffsetSeconds = 1.8e9
  const told: string[] = []
  let contactSeconds = NaN
  let developed = NaN
  for (let i = 0; i < 6000 && bench.base.session.state !== 'finished'; i++) {
    step(bench)
    const { session } = bench.base
    for (const { kind, bathIndex, atSeconds } of session.events.slice(0, session.eventCount)) {
      if (kind === 'bathBegun' && bathIndex === 0) contactSeconds = atSeconds
      if (kind === 'bathEnded' && bathIndex === 1) developed = bench.base.clock.view.progress
      told.push(`${kind} ${bathIndex} ${(atSeconds - contactSeconds).toFixed(1)}`)
    }
  }
  const written = events(bench).map(
    ({ kind, bathIndex, sessionSeconds }) => `${kind} ${bathIndex} ${sessionSeconds.toFixed(1)}`,
  )
  expect(written).toEqual(told)
  expect(written.length).toBe(16)
  expect(new Set(events(bench).map(({ session }) => session))).toEqual(new Set([1]))
  const { base, options } = bench
  expect(ofKind(bench, KIND.sessionBegun).map(readSessionBegun)).toEqual([
    {
      session: 1,
      recipe: 'brief',
      films: 1,
      filmsPerLitre: base.session.filmsPerLitre,
      millilitres: options.millilitres.map(Math.round),
      wallSeconds: expect.any(Number),
    },
  ])
  const [summary, ...more] = ofKind(bench, KIND.summary).map(bytes => readSummary(bytes)!)
  expect(more).toEqual([])
  const developer = events(bench).filter(({ bathIndex }) => bathIndex === 1)
  const ended = developer.find(({ kind }) => kind === 'bathEnded')!
  expect(summary).toMatchObject({
    session: 1,
    recipe: 'brief',
    finished: true,
    films: 1,
    baths: 3,
    alarms: 0,
    darkTimes: 0,
    endCharge: Math.fround(base.energy.view.charge),
  })
  expect(summary!.startCharge).toBeGreaterThan(summary!.endCharge)
  expect(summary!.sessionSeconds).toBeCloseTo(events(bench).at(-1)!.sessionSeconds, 3)
  // One developed bath: the least and the most that was counted are the same.
  expect(summary!.leastProgress).toBe(summary!.mostProgress)
  expect(summary!.leastProgress).toBeCloseTo(developed, 6)
  expect(summary!.worstBoundPercent).toBeGreaterThan(0.5)
  expect(ended.seconds).toBeGreaterThan(1)
  // What a board that starts now finds: nothing under way, and what was learned of the hands.
  expect(checkpoints(bench).at(-1)!.state).toBe('finished')
  const learned = readLearned(ofKind(bench, KIND.learned).at(-1)!)!
  expect(learned.habits.map(({ weight }) => weight)).toEqual([
    base.clock.reaction.weight,
    base.clock.fill.weight,
    base.clock.drain.weight,
  ])
  expect(learned.lnLag).toBe(base.bathSense.observer.lnLag)
  expect(
    records(bench)
      .map(({ kind }) => kind)
      .slice(-3),
  ).toEqual([KIND.summary, KIND.checkpoint, KIND.learned])
})

test('a checkpoint says where the session stands at the moment of writing', () => {
  const bench = begun()
  until(bench, 'turning', 1)
  let written = checkpoints(bench).length
  let seen = 0
  for (let i = 0; i < 250; i++) {
    step(bench)
    const { base } = bench
    const now = checkpoints(bench)
    if (now.length === written) continue
    written = now.length
    seen++
    const c = now.at(-1)!
    const { estimates, session } = base
    expect(c).toMatchObject({ session: 1, state: session.state, bathIndex: 1, cueGiven: session.cueGiven })
    expect(c.bathSeconds).toBeCloseTo(estimates.nowSeconds - session.contactSeconds, 3)
    expect(c.contentsSeconds).toBeCloseTo(estimates.nowSeconds - session.underway.sinceSeconds, 3)
    expect(c.sessionSeconds).toBeCloseTo(estimates.nowSeconds - keeperOf(bench).begunAtSeconds, 3)
    expect(Math.abs(c.progress - base.clock.view.progress)).toBeLessThan(0.02)
    expect(c.progressSigma).toBeGreaterThan(0)
    expect(c.progressPerKelvin).toBeCloseTo(base.bathSense.observer.progressPerKelvin, 5)
    expect(c.bathCelsius).toBeCloseTo(estimates.bathCelsius, 4)
    expect(c.bathSigmaCelsius).toBeCloseTo(estimates.bathSigmaCelsius, 5)
    expect(c.bodyCelsius).toBeCloseTo(estimates.bodyCelsius, 4)
    expect(c.charge).toBeCloseTo(base.energy.view.charge, 5)
  }
  expect(seen).toBeGreaterThanOrEqual(4)
})

test('while the bath counts, a checkpoint between two seconds of the observer has what it gained since', () => {
  const bench = begun()
  until(bench, 'turning', 1)
  for (let i = 0; i < 33; i++) step(bench)
  const { base } = bench
  const { observer, modelSeconds } = base.bathSense
  keeperOf(bench).dueSeconds = 0
  for (let i = 0; i < 20 && keeperOf(bench).dueSeconds === 0; i++) step(bench)
  const c = checkpoints(bench).at(-1)!
  const exact =
    observer.progress + (base.estimates.nowSeconds - base.bathSense.modelSeconds) * observer.progressPerSecond
  expect(modelSeconds).not.toBeNaN()
  expect(c.progress).toBeCloseTo(exact, 3)
})

test('checkpoints are five seconds apart at most while a session is under way, and there are none before and after', () => {
  const bench = begun()
  for (let i = 0; i < 90; i++) step(bench)
  expect(checkpoints(bench)).toEqual([])
  until(bench, 'finished', 2)
  const at = checkpoints(bench).map(({ sessionSeconds }) => sessionSeconds)
  for (let i = 1; i < at.length; i++) expect(at[i]! - at[i - 1]!).toBeLessThanOrEqual(5.11)
  const count = at.length
  for (let i = 0; i < 300; i++) step(bench)
  expect(checkpoints(bench)).toHaveLength(count)
})

test('what is abandoned is summed up as not finished, and no developed bath as none', () => {
  const bench = begun()
  until(bench, 'turning', 0)
  bench.base.session.afar = 'abandon'
  step(bench)
  step(bench)
  const summary = readSummary(ofKind(bench, KIND.summary)[0]!)
  expect(summary).toMatchObject({
    finished: false,
    baths: 0,
    leastProgress: NaN,
    mostProgress: NaN,
    worstBoundPercent: NaN,
  })
  expect(keeperOf(bench).begun).toBeUndefined()
})

test('the next session has the next number, also after a restart', () => {
  const bench = begun()
  until(bench, 'finished', 2)
  restartBase(bench, 'power')
  expect(keeperOf(bench).session).toBe(1)
  for (let i = 0; i < 20; i++) step(bench)
  fire(bench.base.session, 'advance', bench.base.estimates.nowSeconds)
  noteEvents(keeperOf(bench), bench.base)
  expect(readSessionBegun(ofKind(bench, KIND.sessionBegun).at(-1)!)?.session).toBe(2)
})

test('a start finds what was under way, and how often the board has started since', () => {
  const bench = begun()
  until(bench, 'turning', 1)
  const { board } = bench.base
  const first = openKeeper(board)!
  expect(first.found.begun?.recipe).toBe('brief')
  expect(first.found.checkpoint).toMatchObject({ session: 1, state: 'turning', bathIndex: 1 })
  expect(first.found.startsSince).toBe(0)
  expect(openKeeper(board)!.found.startsSince).toBe(1)
  expect(openKeeper(board)!.found.startsSince).toBe(2)
  expect(openKeeper(board)!.keeper).toMatchObject({ session: 1, begun: undefined, dueSeconds: Infinity, tending: true })
})

test('an alarm is counted into the summary', () => {
  const bench = begun()
  until(bench, 'turning', 0)
  bench.base.session.alarms = createAlarms()
  const { summary } = keeperOf(bench)
  const before = summary.alarms
  bench.base.board.probe.read = () => NaN
  for (let i = 0; i < 60; i++) step(bench)
  expect(summary.alarms).toBe(before + 1)
  expect(events(bench).at(-1)).toMatchObject({ kind: 'alarmRaised', alarm: 10 })
})

test('a store without room for two areas keeps no journal', () => {
  const { board } = begun().base
  const store = (bytes: number, blockBytes: number): typeof board => ({
    ...board,
    store: { ...board.store, bytes, blockBytes },
  })
  expect(openKeeper(store(4096, 4096))).toBeUndefined()
  expect(openKeeper(store(0, 0))).toBeUndefined()
  expect(openKeeper(store(8191, 4096))).toBeUndefined()
})

test('what was pulled is noted once, and never less than before', () => {
  const bench = begun()
  until(bench, 'turning', 0)
  const keeper = keeperOf(bench)
  keeper.tending = false
  notePulled(keeper, 7)
  notePulled(keeper, 7)
  notePulled(keeper, 3)
  expect(ofKind(bench, KIND.pulled).map(payload => word(payload, 0))).toEqual([7])
  expect(keeper.tending).toBe(true)
  expect(openKeeper(bench.base.board)!.keeper.journal.pulled).toBe(7)
})

test('a record that found no place is told once', () => {
  const bench = begun()
  const keeper = keeperOf(bench)
  expect(hasLost(keeper)).toBe(false)
  keeper.journal.lost = 2
  expect(hasLost(keeper)).toBe(true)
  expect(hasLost(keeper)).toBe(false)
  keeper.journal.lost = 3
  expect(hasLost(keeper)).toBe(true)
})

test('when the other area has been taken, what is true now is written anew', () => {
  const bench = begun()
  until(bench, 'turning', 1)
  const keeper = keeperOf(bench)
  notePulled(keeper, 5)
  keeper.areasTaken = -1
  const count = records(bench).length
  tendKeeper(keeper, bench.base)
  const kinds = records(bench)
    .slice(count)
    .map(({ kind }) => kind)
  expect(kinds).toEqual([KIND.pulled, KIND.sessionBegun, KIND.soFar, KIND.checkpoint, KIND.learned])
  expect(keeper.areasTaken).toBe(keeper.journal.areasTaken)
  expect(keeper.tending).toBe(false)
  expect(readSessionBegun(ofKind(bench, KIND.sessionBegun).at(-1)!)).toEqual(
    readSessionBegun(ofKind(bench, KIND.sessionBegun)[0]!),
  )
  // Without a session and with nothing pulled, only what was learned.
  const idle = begun()
  keeperOf(idle).areasTaken = -1
  const idleCount = records(idle).length
  tendKeeper(keeperOf(idle), idle.base)
  expect(
    records(idle)
      .slice(idleCount)
      .map(({ kind }) => kind),
  ).toEqual([KIND.learned])
})

test('the older area is erased in the rests of a turning tank, and never while its motor is driven', () => {
  const bench = begun()
  until(bench, 'turning', 1)
  const { base } = bench
  const keeper = keeperOf(bench)
  keeper.journal.store.erase = () => {}
  const erases = (duty: number, atRest: boolean, want: 'turn' | 'off'): boolean => {
    const { journal } = keeper
    journal.carryAddress = NaN
    journal.eraseAddress = (1 - journal.area) * journal.areaBytes
    journal.needAddress = 0
    const before = journal.erased
    base.agitation.view.duty = duty
    base.agitation.view.atRest = atRest
    base.session.want = want
    tendKeeper(keeper, base)
    return journal.erased > before
  }
  expect(erases(0.4, false, 'turn')).toBe(false)
  expect(erases(0, false, 'turn')).toBe(false)
  expect(erases(0, true, 'turn')).toBe(true)
  expect(erases(0, false, 'off')).toBe(true)
  expect(erases(0.4, true, 'off')).toBe(false)
})
