/** A flash that takes nothing for minutes and then works again: what it holds stays, and what comes then is stored. */
import { expect, test } from 'vitest'
import { tick } from '../../../firmware/base.ts'
import {
  appendRecord,
  forEachRecord,
  type Journal,
  openJournal,
  tendJournal,
} from '../../../firmware/journal/journal.ts'
import type { Keeper } from '../../../firmware/journal/keeper.ts'
import { KIND } from '../../../firmware/journal/record.ts'
import type { Recipe } from '../../../firmware/recipe/recipe.ts'
import { evenAgitation } from '../../../firmware/recipe/shipped/agitations.ts'
import { standingAlarms } from '../../../firmware/session/alarms.ts'
import { SESSION_LOST } from '../../../firmware/session/alarmTable.ts'
import { runByPlan } from '../../../sim/bench/defaults.ts'
import { type Bench, openBench, restartBase } from '../../../sim/bench/run.ts'
import { crc32 } from '../../../sim/crc32.ts'
import { stepPlant } from '../../../sim/plant/plant.ts'
import { ASKED } from '../../../sim/rehearsal/asked.ts'
import { CutStore } from '../cutStore.ts'

const payloadOf = (number: number): Uint8Array => Uint8Array.of(number & 0xff, number >> 8, 0, 0)

function numbersOf(journal: Journal, kind: number): number[] {
  const numbers: number[] = []
  forEachRecord(journal, found => {
    if (found.kind === kind) numbers.push(found.payload[0]! | (found.payload[1]! << 8))
  })
  return numbers
}

test('a thousand records that were refused do not use up the room for those that come after', () => {
  const store = new CutStore(4096, 512)
  const journal = openJournal(store, crc32)
  appendRecord(journal, KIND.checkpoint, payloadOf(1))
  store.refuses = true
  for (let i = 0; i < 1000; i++) {
    expect(appendRecord(journal, KIND.checkpoint, payloadOf(2))).toBe(false)
    tendJournal(journal, true)
  }
  expect(journal.lost).toBe(1000)
  store.refuses = false
  expect(appendRecord(journal, KIND.checkpoint, payloadOf(3))).toBe(true)
  expect(numbersOf(openJournal(store, crc32), KIND.checkpoint)).toEqual([1, 3])
})

test('a summary that is refused while it is carried over is carried later', () => {
  const store = new CutStore(2048, 512)
  const journal = openJournal(store, crc32)
  appendRecord(journal, KIND.summary, payloadOf(7))
  let number = 0
  while (journal.areasTaken === 0) appendRecord(journal, KIND.checkpoint, payloadOf(++number))
  store.refuses = true
  for (let i = 0; i < 200; i++) tendJournal(journal, true)
  store.refuses = false
  for (let i = 0; i < 200; i++) tendJournal(journal, true)
  while (journal.freeAddress < 2000) appendRecord(journal, KIND.checkpoint, payloadOf(++number))
  for (let i = 0; i < 10; i++) tendJournal(journal, true)
  expect(journal.erased).toBeGreaterThan(0)
  expect(numbersOf(openJournal(store, crc32), KIND.summary)).toContain(7)
})

const recipe: Recipe = {
  name: 'short',
  title: 'Stand',
  pour: { fillSeconds: 5, drainSeconds: 6 },
  baths: [{ name: 'wash', kind: 'atLeast', seconds: 6000, agitation: 'even' }],
  agitations: { even: evenAgitation() },
}

function openAt(steps: number): { bench: Bench; store: CutStore; run: (steps: number) => void } {
  const store = new CutStore(16_384, 4096)
  const bench = openBench(runByPlan({ seed: 1, recipe }), store)
  store.pins = bench.plant.pins
  const run = (count: number): void => {
    for (let i = 0; i < count; i++) {
      tick(bench.base)
      stepPlant(bench.plant, bench.plant.steps < 100 ? 'wait' : ASKED[bench.base.session.state])
    }
  }
  run(steps)
  return { bench, store, run }
}

const keeperOf = (bench: Bench): Keeper => bench.base.keeper as Keeper

test('a flash that works again after ten minutes holds the session again within five seconds', () => {
  const { bench, store, run } = openAt(2000)
  store.refuses = true
  run(6000)
  expect(standingAlarms(bench.base.session.alarms)).toContain(52)
  store.refuses = false
  run(60)
  const knownSeconds = bench.plant.pins.seconds - keeperOf(bench).begunAtSeconds
  restartBase(bench, 'watchdog')
  expect(bench.base.session.state).toBe('held')
  // The restart itself is reckoned with as some seconds.
  const found = bench.plant.pins.seconds - keeperOf(bench).begunAtSeconds - bench.base.dark!.seconds
  expect(knownSeconds - found).toBeLessThan(5.05)
  expect(bench.base.session.alarms.level[SESSION_LOST]).toBe(0)
})

test('refused just while the other area is taken into use, the session is written anew before the older one goes', () => {
  const { bench, store, run } = openAt(2000)
  const { journal } = keeperOf(bench)
  const write = store.write.bind(store)
  store.write = (address, data) => {
    write(address, data)
    if (data[2] === KIND.areaBegun) store.refuses = true
  }
  while (!store.refuses) run(1)
  run(300)
  store.refuses = false
  // Until the older area has been erased.
  for (let i = 0; i < 400 && journal.erased < 2; i++) run(50)
  expect(journal.erased).toBeGreaterThanOrEqual(2)
  expect(journal.areasTaken).toBe(1)
  restartBase(bench, 'watchdog')
  expect(bench.base.session.alarms.level[SESSION_LOST]).toBe(0)
  expect(bench.base.session.state).toBe('held')
})

test('cut between taking the other area and its first whole record, the start finds room for what it has to say', () => {
  const store = new CutStore(16_384, 4096)
  const bench = openBench(runByPlan({ seed: 1, recipe }), store)
  store.pins = bench.plant.pins
  while (bench.base.session.state !== 'turning') {
    tick(bench.base)
    stepPlant(bench.plant, bench.plant.steps < 100 ? 'wait' : ASKED[bench.base.session.state])
  }
  const { journal } = keeperOf(bench)
  while (8192 - journal.freeAddress >= 24) appendRecord(journal, KIND.event, new Uint8Array(0))
  // The first byte of the next area is half written.
  store.cells[8192] = 0xef
  bench.plant.pins.motorGoodUntilSeconds = 0
  restartBase(bench, 'power')
  expect(keeperOf(bench).journal.lost).toBe(0)
  for (let i = 0; i < 30; i++) {
    tick(bench.base)
    stepPlant(bench.plant, 'nothing')
  }
  expect(standingAlarms(bench.base.session.alarms)).toEqual([50])
  expect(bench.base.session.state).toBe('held')
})
