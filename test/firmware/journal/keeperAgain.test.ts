/** What a base keeps over a restart, of several developed baths, and while its journal has work of its own. */
import { expect, test } from 'vitest'
import { tick } from '../../../firmware/base.ts'
import { appendRecord, forEachRecord, tendJournal } from '../../../firmware/journal/journal.ts'
import { type Keeper, keepCheckpoint, noteDark, openKeeper, tendKeeper } from '../../../firmware/journal/keeper.ts'
import {
  type Checkpoint,
  type JournalEvent,
  readCheckpoint,
  readEvent,
  readSummary,
} from '../../../firmware/journal/payloads.ts'
import { KIND } from '../../../firmware/journal/record.ts'
import type { Recipe } from '../../../firmware/recipe/recipe.ts'
import { evenAgitation } from '../../../firmware/recipe/shipped/agitations.ts'
import type { SessionState } from '../../../firmware/session/table.ts'
import { runByPlan } from '../../../sim/bench/defaults.ts'
import { type Bench, openBench, restartBase } from '../../../sim/bench/run.ts'
import { stepPlant } from '../../../sim/plant/plant.ts'
import { ASKED } from '../../../sim/rehearsal/asked.ts'

const developer = (name: string, seconds: number) =>
  ({
    name,
    kind: 'developed',
    rows: [
      [18, seconds],
      [40, seconds / 2],
    ],
    agitation: 'even',
  }) as Recipe['baths'][number]

const RECIPE: Recipe = {
  name: 'twice',
  title: 'Twice',
  pour: { fillSeconds: 4, drainSeconds: 4 },
  baths: [
    developer('first', 70),
    { name: 'stop', kind: 'timed', seconds: 15, agitation: 'even' },
    developer('second', 60),
    developer('third', 65),
  ],
  agitations: { even: evenAgitation() },
}

const begun = (): Bench => openBench(runByPlan({ seed: 4, recipe: RECIPE, filmsInTank: 2 }))
const keeperOf = (bench: Bench): Keeper => bench.base.keeper as Keeper

function step(bench: Bench): void {
  tick(bench.base)
  const { state } = bench.base.session
  stepPlant(bench.plant, bench.plant.steps < 100 ? 'wait' : ASKED[state])
}

function until(bench: Bench, state: SessionState, bathIndex: number): void {
  for (let i = 0; i < 6000; i++) {
    if (bench.base.session.state === state && bench.base.session.bathIndex === bathIndex) return
    step(bench)
  }
  expect([bench.base.session.state, bench.base.session.bathIndex]).toEqual([state, bathIndex])
}

function read<T>(bench: Bench, wanted: number, reader: (payload: Uint8Array) => T | undefined): T[] {
  const all: T[] = []
  forEachRecord(keeperOf(bench).journal, ({ kind, payload }) => {
    if (kind === wanted) all.push(reader(payload.slice()) as T)
  })
  return all
}
const checkpoints = (bench: Bench): Checkpoint[] => read(bench, KIND.checkpoint, readCheckpoint)
const events = (bench: Bench): JournalEvent[] => read(bench, KIND.event, readEvent)

test('of several developed baths the summary has the widest bound, the least and the most', () => {
  const bench = begun()
  const bounds: number[] = []
  const counted: number[] = []
  for (let i = 0; i < 6000 && bench.base.session.state !== 'finished'; i++) {
    step(bench)
    const { session, clock } = bench.base
    for (const { kind, bathIndex } of session.events.slice(0, session.eventCount)) {
      if (kind !== 'bathEnded' || bathIndex === 1) continue
      bounds.push(Math.fround(clock.view.boundPercent))
      counted.push(Math.fround(clock.view.progress))
    }
  }
  expect(counted).toHaveLength(3)
  expect(new Set(counted).size).toBe(3)
  const [summary] = read(bench, KIND.summary, readSummary)
  expect(summary).toMatchObject({
    baths: 4,
    films: 2,
    worstBoundPercent: Math.max(...bounds),
    leastProgress: Math.min(...counted),
    mostProgress: Math.max(...counted),
  })
})

test('gone on with after the dark, the session keeps its number and its time, and says that and how long it was dark', () => {
  const bench = begun()
  until(bench, 'turning', 2)
  for (let i = 0; i < 80; i++) step(bench)
  const before = checkpoints(bench).at(-1)!
  restartBase(bench, 'watchdog')
  const { base } = bench
  const dark = events(bench).at(-1)!
  expect(dark).toMatchObject({ session: 1, kind: 'alarmRaised', alarm: 50, bathIndex: 2 })
  expect(dark.seconds).toBeGreaterThan(2)
  expect(dark.seconds).toBeLessThan(20)
  expect(dark.sessionSeconds).toBeCloseTo(before.sessionSeconds + dark.seconds, 2)
  expect(keeperOf(bench)).toMatchObject({ session: 1, begun: { session: 1, recipe: 'twice', films: 2 } })
  expect(keeperOf(bench).summary).toMatchObject({
    session: 1,
    recipe: 'twice',
    films: 2,
    baths: 2,
    darkTimes: 1,
    alarms: 1,
  })
  const count = checkpoints(bench).length
  for (let i = 0; i < 20; i++) step(bench)
  const after = checkpoints(bench).slice(count)
  expect(after.length).toBeGreaterThan(0)
  expect(after[0]).toMatchObject({ session: 1, state: 'held', bathIndex: 2 })
  expect(after[0]!.sessionSeconds).toBeGreaterThan(before.sessionSeconds + dark.seconds)
  noteDark(keeperOf(bench), base, 42)
  expect(events(bench).at(-1)).toMatchObject({ kind: 'darkAnswered', seconds: 42, bathIndex: 2, session: 1, alarm: 0 })
  expect(checkpoints(bench).length).toBeGreaterThan(count + after.length)
})

test('a start takes nothing else for what was pulled, and finds what was learned', () => {
  const bench = begun()
  until(bench, 'finished', 3)
  const { found, keeper } = openKeeper(bench.base.board)!
  expect(keeper.journal.pulled).toBe(0)
  expect(found.learned?.habits[0]?.weight).toBe(bench.base.clock.reaction.weight)
  expect(keeper.summary).toEqual({
    session: 0,
    recipe: '',
    finished: false,
    films: 0,
    baths: 0,
    sessionSeconds: 0,
    worstBoundPercent: NaN,
    leastProgress: NaN,
    mostProgress: NaN,
    startCharge: NaN,
    endCharge: NaN,
    alarms: 0,
    darkTimes: 0,
    wallSeconds: NaN,
  })
})

test('of records that a later firmware wrote differently, the newest that can be read stands', () => {
  const bench = begun()
  until(bench, 'turning', 1)
  const { journal } = keeperOf(bench)
  const { board } = bench.base
  const known = openKeeper(board)!.found
  for (const kind of [KIND.checkpoint, KIND.sessionBegun, KIND.learned]) appendRecord(journal, kind, new Uint8Array(4))
  const found = openKeeper(board)!.found
  expect(found.checkpoint).toEqual(known.checkpoint)
  expect(found.begun).toEqual(known.begun)
  expect(found.learned).toEqual(known.learned)
})

test('it tends its journal while that carries, erases, lost a record or took an area, and not otherwise', () => {
  const bench = begun()
  until(bench, 'turning', 0)
  const keeper = keeperOf(bench)
  const { journal } = keeper
  const tending = (): boolean => {
    keepCheckpoint(keeper, bench.base)
    return keeper.tending
  }
  expect(tending()).toBe(false)
  journal.lost = keeper.lost + 1
  expect(tending()).toBe(true)
  journal.lost = keeper.lost
  journal.eraseAddress = journal.areaBytes
  journal.pulled = journal.olderSequence
  expect(tending()).toBe(true)
  journal.eraseAddress = NaN
  journal.carryAddress = journal.areaBytes
  expect(tending()).toBe(true)
  journal.carryAddress = NaN
  keeper.areasTaken = -1
  expect(tending()).toBe(true)
  keeper.areasTaken = journal.areasTaken
  expect(tending()).toBe(false)
})

test('what is true now counts as written anew only when all of it found a place', () => {
  const bench = begun()
  until(bench, 'turning', 0)
  const keeper = keeperOf(bench)
  const write = keeper.journal.store.write.bind(keeper.journal.store)
  keeper.areasTaken = -1
  keeper.journal.store.write = () => {
    throw new Error('refused')
  }
  tendKeeper(keeper, bench.base)
  expect(keeper.areasTaken).toBe(-1)
  keeper.journal.store.write = write
  tendKeeper(keeper, bench.base)
  expect(keeper.areasTaken).toBe(keeper.journal.areasTaken)
})

test('without a session no checkpoint is written', () => {
  const bench = begun()
  for (let i = 0; i < 30; i++) step(bench)
  keepCheckpoint(keeperOf(bench), bench.base)
  expect(checkpoints(bench)).toEqual([])
})

test('what the bath gained since the observer looked is added for up to two seconds, and only while it counts', () => {
  const bench = begun()
  until(bench, 'turning', 0)
  for (let i = 0; i < 100; i++) step(bench)
  const { base } = bench
  const { bathSense, estimates } = base
  const { observer } = bathSense
  const gained = (behind: number, counting: boolean, perSecond: number): number => {
    bathSense.modelSeconds = estimates.nowSeconds - behind
    bathSense.counting = counting
    observer.progressPerSecond = perSecond
    keepCheckpoint(keeperOf(bench), base)
    return checkpoints(bench).at(-1)!.progress - observer.progress
  }
  expect(gained(0.5, true, 0.01)).toBeCloseTo(0.005, 5)
  expect(gained(1.9, true, 0.01)).toBeCloseTo(0.019, 5)
  for (const [behind, counting, perSecond] of [
    [2.5, true, 0.01],
    [-0.5, true, 0.01],
    [0.5, false, 0.01],
    [0.5, true, -0.01],
    [0.5, true, NaN],
  ] as const) {
    expect(gained(behind, counting, perSecond)).toBeCloseTo(0, 6)
  }
})

/** Records that say nothing, until the journal has taken the other area so often, and erased the one before. */
function turnOver(bench: Bench, times: number): void {
  const { journal } = keeperOf(bench)
  const until = journal.areasTaken + times
  for (let i = 0; i < 3000 && journal.areasTaken < until; i++) {
    appendRecord(journal, KIND.started, new Uint8Array(12))
    tendKeeper(keeperOf(bench), bench.base)
    tendJournal(journal, true)
  }
  expect(journal.areasTaken).toBe(until)
  for (let i = 0; i < 300; i++) {
    tendKeeper(keeperOf(bench), bench.base)
    tendJournal(journal, true)
  }
}

test('the summary knows what came before each cut, also where the details of that were overwritten', () => {
  for (const overwritten of [false, true]) {
    const bench = begun()
    until(bench, 'turning', 2)
    const { startCharge, mostProgress, worstBoundPercent } = keeperOf(bench).summary
    expect(mostProgress).toBeGreaterThan(0.9)
    for (let cut = 1; cut <= 2; cut++) {
      for (let i = 0; i < 60; i++) step(bench)
      restartBase(bench, 'watchdog')
      const { summary } = keeperOf(bench)
      expect(summary).toMatchObject({ session: 1, recipe: 'twice', films: 2, baths: 2, darkTimes: cut })
      expect(summary.alarms).toBeGreaterThanOrEqual(cut)
      expect(summary.startCharge).toBeCloseTo(startCharge, 3)
      expect(summary.leastProgress).toBeCloseTo(mostProgress, 6)
      expect(summary.mostProgress).toBeCloseTo(mostProgress, 6)
      expect(summary.worstBoundPercent).toBeCloseTo(worstBoundPercent, 4)
      // The motor is off: what is written meanwhile may take the place of what is older.
      for (let i = 0; i < 10; i++) {
        tick(bench.base)
        stepPlant(bench.plant, 'wait')
      }
      if (overwritten) turnOver(bench, 2)
    }
    const { alarms } = keeperOf(bench).summary
    for (let i = 0; i < 9000 && bench.base.session.state !== 'finished'; i++) step(bench)
    const summaries = read(bench, KIND.summary, readSummary)
    expect(summaries).toHaveLength(1)
    expect(summaries[0]).toMatchObject({ baths: 4, darkTimes: 2, finished: true })
    expect(summaries[0]!.alarms).toBeGreaterThanOrEqual(alarms)
    expect(summaries[0]!.mostProgress).toBeGreaterThanOrEqual(Math.fround(mostProgress))
  }
})

test('the next session has the next number also where nothing but the summary is left of the last', () => {
  const bench = begun()
  until(bench, 'finished', 3)
  turnOver(bench, 2)
  expect(read(bench, KIND.sessionBegun, payload => payload)).toEqual([])
  restartBase(bench, 'power')
  expect(keeperOf(bench).session).toBe(1)
})
