/**
 * Tries a power cut at every place of a session: at every tick, and inside every operation on the flash. A session runs
 * once; at each place everything that is outside the firmware (tank, hands, flash) is remembered, the power goes there,
 * the board starts anew, and afterwards all is put back and the session goes on as if nothing had been.
 */
import { tick } from '../../firmware/base.ts'
import { appendRecord, openJournal } from '../../firmware/journal/journal.ts'
import { KIND } from '../../firmware/journal/record.ts'
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { SESSION_LOST } from '../../firmware/session/alarmTable.ts'
import { stateAfterDark } from '../../firmware/session/resumeSession.ts'
import type { SessionState } from '../../firmware/session/table.ts'
import type { ResetCause } from '../../hal/board.ts'
import { type Bench, restartBase } from '../../sim/bench/run.ts'
import { crc32 } from '../../sim/crc32.ts'
import { drivenDuty, pressButton, releaseButton } from '../../sim/plant/pins.ts'
import { handle, stepPlant } from '../../sim/plant/plant.ts'
import { ASKED } from '../../sim/rehearsal/asked.ts'
import type { CutStore, Operation } from './cutStore.ts'
import { goDark, isOver, open } from './powerCut.ts'

/** A bench with the flash that its places are taken from, and what was seen of its truth. */
export interface CutBench extends Bench {
  store: CutStore
  told: Told
  hands: Hands
}

/**
 * What the base could know of the bath in the tank. A press whose record was torn was never made: the bath then begins for
 * the base with the press that is made again, and what the film had got by then nobody has told it.
 */
export interface Told {
  untoldProgress: number
  /** The tank was being filled when the press that says so was lost; the next one tells. */
  awaited: boolean
  /** The tank is being emptied, or is, and the press that said so was lost: nobody can know that this bath acts no more. */
  gone: boolean
}

/** A person who does as asked, sees what is in the tank, and presses at the moment of the act. */
export interface Hands {
  pressedSeconds: number
  /** When what is being poured in or out will be. */
  pouredSeconds: number
  /** Asked how long it was dark, this person steps on to the shortest answer, which is right here; else takes the base's own. */
  answers: boolean
}

/** Where the power goes. */
export interface Place {
  label: string
  /** What the flash holds then. */
  cells: Uint8Array
  /** What the firmware may have had down as its state. */
  states: SessionState[]
  /** The checkpoint that is found must be of this second of the session, or a later one; NaN before the first. */
  leastSeconds: number
}

/** Which places of an operation are tried. */
export type Tears = (places: number) => number[]
export const everyByte: Tears = places => Array.from({ length: places }, (_, place) => place)
export const beginningMiddleEnd: Tears = places => [0, places >> 1, places - 1]

/**
 * A session that hands of no scatter carry out, on a flash whose first area older records have filled but for so many
 * bytes: then the session takes the other one into use, and erases the first.
 */
export function openCutBench(recipe: Recipe, store: CutStore, freeBytes: number, seed = 1): CutBench {
  const journal = openJournal(store, crc32)
  const summary = new Uint8Array(56)
  for (summary[0] = 1; summary[0] <= 3; summary[0]++) appendRecord(journal, KIND.summary, summary)
  while (journal.areaBytes - journal.freeAddress > freeBytes) {
    appendRecord(journal, KIND.started, new Uint8Array(100))
  }
  const bench = open(seed, recipe, store)
  store.pins = bench.plant.pins
  // Nobody asks how evenly the film was wetted.
  bench.plant.evenness = undefined
  return {
    ...bench,
    store,
    told: { untoldProgress: 0, awaited: false, gone: false },
    hands: { pressedSeconds: -Infinity, pouredSeconds: NaN, answers: false },
  }
}

function isMutable(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !ArrayBuffer.isView(value)
}

/** Everything outside the firmware that changes; what is fixed for a bench is left out. */
function mutableParts({ plant, told, hands }: CutBench): Record<string, unknown>[] {
  const fixed: unknown[] = [plant.recipe, plant.tank, plant.base, plant.rates, plant.evening]
  const parts = [told, hands] as unknown as Record<string, unknown>[]
  const add = (part: unknown): void => {
    if (!isMutable(part) || fixed.includes(part) || parts.includes(part)) return
    parts.push(part)
    for (const value of Object.values(part)) add(value)
  }
  add(plant)
  return parts
}

/** Remembers everything outside the firmware, the flash too; what this gives puts it back. */
export function remember(bench: CutBench): () => void {
  const { store, base } = bench
  const parts = mutableParts(bench)
  const before = parts.map(part => (Array.isArray(part) ? part.slice() : { ...part }))
  const cells = store.cells.slice()
  const { operations } = store
  return () => {
    for (let i = 0; i < parts.length; i++) {
      const part = parts[i]!
      if (Array.isArray(part)) part.length = 0
      Object.assign(part, before[i])
    }
    store.cells.set(cells)
    store.operations = operations
    bench.base = base
  }
}

/** No more than this may be missing of what was known when the power went. A tick later than it is due counts as then. */
const HISTORY_SECONDS = 5.05

function leastSeconds(bench: CutBench): number {
  const { keeper } = bench.base
  if (keeper?.begun === undefined) return NaN
  return bench.plant.pins.seconds - keeper.begunAtSeconds - HISTORY_SECONDS
}

function isCheckpoint({ data }: Operation): boolean {
  return data !== undefined && data[2] === KIND.checkpoint
}

/**
 * Carries the session on to its end, or for `steps`, and visits every place on the way. A walk that begins after a restart begins with what the start has
 * done to the flash, and the checkpoint found then is the one to find until another is written.
 */
export function walk(
  bench: CutBench,
  steps: number,
  tears: Tears,
  visit: (place: Place) => void,
  started?: { cells: Uint8Array },
): void {
  const { store } = bench
  const last = bench.plant.steps + steps
  const foundAtStart = foundSeconds(store.operations)
  let written = started === undefined
  let secondsBefore = NaN
  // Whoever has said in this tick how long it was dark has moved the beginning of the session.
  const seconds = (): number => (written ? Math.min(secondsBefore, leastSeconds(bench)) : foundAtStart)
  /** Every place in what was just done to the flash, which led from `before` to what it holds now. */
  const visitOperations = (before: Uint8Array, label: string, states: SessionState[]): void => {
    const { operations } = store
    for (let k = 0; k < operations.length; k++) {
      const operation = operations[k]!
      for (const place of tears(store.placesIn(operation))) {
        const cells = before.slice()
        store.tear(cells, operation, place)
        visit({ label: `${label}, operation ${k} torn at ${place}`, cells, states, leastSeconds: seconds() })
      }
      store.apply(before, operation)
      written ||= isCheckpoint(operation)
    }
  }
  if (started !== undefined) visitOperations(started.cells.slice(), 'start', [bench.base.session.state])
  do {
    const label = `tick ${bench.plant.steps}`
    const stateBefore = bench.base.session.state
    const before = store.cells.slice()
    secondsBefore = leastSeconds(bench)
    visit({ label, cells: before, states: [stateBefore], leastSeconds: seconds() })
    store.operations = []
    tick(bench.base)
    note(bench)
    if (store.operations.length > 0) visitOperations(before.slice(), label, [stateBefore, bench.base.session.state])
    act(bench)
  } while (!isOver(bench) && bench.plant.steps < last)
}

/** What the base was told in this tick of what the tank holds. */
function note({ base, plant, told }: CutBench): void {
  const { session } = base
  for (let i = 0; i < session.eventCount; i++) {
    const { kind } = session.events[i]!
    if (kind === 'bathBegun') {
      told.untoldProgress = told.awaited ? plant.bath.trueProgress : 0
      told.awaited = false
      told.gone = false
    }
  }
}

/** Before the first pour the base looks at its pack, its probe and its room. */
const LOOK_ROUND_STEPS = 20
/** Between two acts a person takes this long; a press lasts a step. */
const HAND_SECONDS = 0.7

/** What a person does between two ticks, and a tenth of a second. */
export function act(bench: CutBench): void {
  const { plant, hands } = bench
  const { pins } = plant
  releaseButton(pins, 'advance')
  releaseButton(pins, 'hold')
  if (plant.steps >= LOOK_ROUND_STEPS && pins.seconds - hands.pressedSeconds >= HAND_SECONDS) answer(bench)
  stepPlant(plant, 'nothing')
}

/** Behind the base's own. No dark time here is longer than what it stands for. */
const SHORTEST = 1

function press({ plant, hands }: CutBench, which: 'advance' | 'hold'): void {
  pressButton(plant.pins, which)
  hands.pressedSeconds = plant.pins.seconds
}

function answer(bench: CutBench): void {
  const { plant, base, hands } = bench
  const { session } = base
  const { pour } = session.recipe
  const { phase } = plant.bath
  const { seconds } = plant.pins
  switch (ASKED[session.state]) {
    case 'pourIn':
      if (phase === 'empty') {
        plant.bathIndex = session.bathIndex - 1
        plant.operator.takesSeconds = pour.fillSeconds
        hands.pouredSeconds = seconds + pour.fillSeconds
        handle(plant, 'beginPour')
      }
      press(bench, 'advance')
      break
    case 'close':
      if (seconds < hands.pouredSeconds) break
      if (phase === 'filling') handle(plant, 'close')
      press(bench, 'advance')
      break
    case 'pourOut':
    case 'drain':
      if (phase === 'filling' || phase === 'full') {
        plant.operator.takesSeconds = pour.drainSeconds
        handle(plant, 'beginDrain')
        if (session.state !== 'draining') press(bench, 'advance')
      } else if (phase === 'empty' || session.state !== 'draining') press(bench, 'advance')
      break
    default:
      if (session.state !== 'held') break
      if (session.darkAt >= 0 && session.darkAt !== SHORTEST && hands.answers) press(bench, 'advance')
      else press(bench, 'hold')
  }
}

/** How the power goes and comes back. */
export interface Cut {
  darkSeconds: number
  cause: ResetCause
  /** The wall clock afterwards: runs, or is unset. */
  wall: boolean
  /** Once more before the first tick. */
  twice: boolean
}

const WALL_SECONDS = 1_700_000_000

export function setWall(bench: CutBench, runs: boolean): void {
  bench.plant.pins.wallOffsetSeconds = runs ? WALL_SECONDS : NaN
}

/** Seconds stand in a record with four bytes. */
const ROUNDING_SECONDS = 0.01

/**
 * The power goes at `place` and comes back. Gives what is wrong at once, before any tick; empty when nothing is. The
 * operations of the start are left in the store.
 */
export function cutAt(bench: CutBench, place: Place, how: Cut): string {
  const { store, plant } = bench
  store.cells.set(place.cells)
  goDark(bench, how.darkSeconds)
  setWall(bench, how.wall)
  const { told } = bench
  // What was done before is still being walked through.
  store.operations = []
  if (how.twice) restartBase(bench, how.cause)
  store.operations = []
  restartBase(bench, how.cause)
  const { session, keeper } = bench.base
  const { contents } = session.underway
  if (contents === 'empty' && (plant.bath.phase === 'filling' || plant.bath.phase === 'full')) told.awaited = true
  if (contents === 'full' || contents === 'filling') {
    if (plant.bath.phase === 'draining' || plant.bath.phase === 'empty') told.gone = true
  }
  if (session.alarms.level[SESSION_LOST] !== 0) return 'the session is lost'
  if (!place.states.some(state => isStateAfter(state, session.state))) {
    return `${place.states.join(' or ')} became ${session.state}`
  }
  if (keeper?.begun === undefined || isNaN(place.leastSeconds)) return ''
  const found = foundSeconds(store.operations)
  // In an area as small as these are, the room kept for what is still to be carried may be all that is left.
  if (isNaN(found))
    return keeper.journal.lost > 0 && keeper.journal.carryAddress >= 0 ? '' : 'the resumption is not noted'
  const lostSeconds = place.leastSeconds - found
  return lostSeconds <= ROUNDING_SECONDS ? '' : `${lostSeconds.toFixed(2)} s too much of history are lost`
}

function isStateAfter(before: SessionState, after: SessionState): boolean {
  const over: SessionState[] = ['planned', 'finished', 'abandoned']
  return over.includes(before) ? over.includes(after) : after === stateAfterDark(before)
}

/** Seconds of the session in the checkpoint that was found, as the record of the resumption says. */
function foundSeconds(operations: Operation[]): number {
  for (let k = operations.length - 1; k >= 0; k--) {
    const { data } = operations[k]!
    if (data === undefined || data[2] !== KIND.event) continue
    const payload = new DataView(data.buffer, data.byteOffset + 8)
    return payload.getFloat32(8, true) - payload.getFloat32(12, true)
  }
  return NaN
}

/** The board looks round after a restart, and nobody touches it. Gives what is wrong; empty when nothing is. */
export function lookRound(bench: CutBench, ticks: number): string {
  const { plant, base } = bench
  const { pins } = plant
  for (let i = 0; i < ticks; i++) {
    tick(base)
    if (drivenDuty(pins) !== 0) return 'the motor is driven'
    stepPlant(plant, 'nothing')
  }
  if (base.mishaps > 0) return 'a tick went wrong'
  return ''
}

/** Why what is believed is not what the film got since the base was told, within what the base says; empty when it is. */
export function beyondBound({ base, plant, told }: CutBench): string {
  const { progress, boundPercent } = base.clock.view
  const truth = plant.bath.trueProgress - told.untoldProgress
  // Both have not begun to act, or the bath has not been looked at yet.
  if (base.clock.view.boundPercent === 0 || progress === truth) return ''
  const off = Math.abs(truth / progress - 1) * 100
  if (off <= boundPercent) return ''
  return `true ${truth.toFixed(4)}, believed ${progress.toFixed(4)} within ${boundPercent.toFixed(2)} %`
}

export function isDeveloping({ base }: CutBench): boolean {
  const { session } = base
  return session.underway.rate !== undefined && session.underway.contents !== 'empty'
}

/** What a campaign of cuts has come to. */
export interface Tally {
  cuts: number
  /** Baths whose progress was held against the truth. */
  judged: number
  /** Not judged: the bath had been poured out, and the press that says so was lost with its record. */
  gone: number
  wrong: string[]
}

export function createTally(): Tally {
  return { cuts: 0, judged: 0, gone: 0, wrong: [] }
}

const CAUSES: ResetCause[] = ['power', 'watchdog', 'software', 'unknown']
/** So long the base looks round after a restart, a second and a bit: every piece of its work has been done by then. */
const LOOK_ROUND_TICKS = 12

/** How the cut number `n` is made: each cause, a longer dark or a shorter, now and then a second start before the first tick. */
export function howFor(n: number, wall: boolean): Cut {
  return { darkSeconds: 5 + (n % 3), cause: CAUSES[n % 4]!, wall, twice: n % 5 === 0 }
}

/** Cuts the power at `place`, looks round and judges; then everything is as before. */
export function tryCut(bench: CutBench, place: Place, how: Cut, tally: Tally, label: string): void {
  const putBack = remember(bench)
  let problem = cutAt(bench, place, how) || lookRound(bench, LOOK_ROUND_TICKS)
  tally.cuts++
  if (problem === '' && isDeveloping(bench)) {
    if (bench.told.gone) tally.gone++
    else {
      tally.judged++
      problem = beyondBound(bench)
    }
  }
  if (problem !== '') {
    const { cause, wall, twice } = how
    tally.wrong.push(`${label}${place.label} (${cause}${wall ? ', wall' : ''}${twice ? ', twice' : ''}): ${problem}`)
  }
  putBack()
}
