/** Sessions on the bench that leave a journal behind, as a base does: for the tests of what is read back from one. */
import { tick } from '../../../firmware/base.ts'
import { forEachRecord } from '../../../firmware/journal/journal.ts'
import { encodeRecord } from '../../../firmware/journal/record.ts'
import type { ResetCause } from '../../../hal/board.ts'
import { runByPlan } from '../../../sim/bench/defaults.ts'
import { type Bench, openBench, type RunOptions, restartBase } from '../../../sim/bench/run.ts'
import { crc32 } from '../../../sim/crc32.ts'
import { firstLine, type SavedRecord } from '../../../sim/field/journalFile.ts'
import { createPins, pressButton, releaseButton } from '../../../sim/plant/pins.ts'
import { stepPlant } from '../../../sim/plant/plant.ts'
import { ASKED, LOOK_ROUND_SECONDS } from '../../../sim/rehearsal/asked.ts'
import { SimulatedStore } from '../../../sim/store.ts'

export interface Recording {
  said: Partial<RunOptions>
  /** Flash of the base: enough for every detail of a session, unless it is said. */
  flash?: SimulatedStore
  wallSeconds?: number
  /** Looks and meddles after each tick; true ends the recording. */
  meddle?: (bench: Bench) => boolean
}

/** Room for all details of a long session. */
export function largeFlash(bytes = 262_144): SimulatedStore {
  return new SimulatedStore({ pins: createPins(), bytes, blockBytes: 4096 })
}

const LOOK_ROUND_STEPS = LOOK_ROUND_SECONDS * 10
/** No session of these tests is longer. */
const STEPS_AT_MOST = 100_000

/** Carries a session through, the operator doing what is asked, and gives the base as it stands then. */
export function record({ said, flash = largeFlash(), wallSeconds = NaN, meddle }: Recording): Bench {
  const bench = openBench(runByPlan(said), flash)
  const { plant } = bench
  plant.pins.wallOffsetSeconds = wallSeconds - plant.pins.seconds
  while (plant.steps < STEPS_AT_MOST && !isOver(bench)) {
    tick(bench.base)
    if (meddle?.(bench) === true) break
    stepPlant(plant, plant.steps < LOOK_ROUND_STEPS ? 'wait' : ASKED[bench.base.session.state])
    // Of advance the operator lets go.
    releaseButton(plant.pins, 'hold')
  }
  return bench
}

function isOver(bench: Bench): boolean {
  const { state } = bench.base.session
  return state === 'abandoned' || (state === 'finished' && bench.plant.bath.phase === 'empty')
}

/** The power goes, and comes back after so long. */
export function cutPower(bench: Bench, darkSeconds: number, cause: ResetCause = 'power'): void {
  const { pins } = bench.plant
  pins.motorDuty = 0
  pins.motorGoodUntilSeconds = 0
  for (let i = 0; i < darkSeconds * 10; i++) stepPlant(bench.plant, 'nothing')
  restartBase(bench, cause)
}

/** A press of one tenth of a second. */
export function pressHold(bench: Bench): void {
  pressButton(bench.plant.pins, 'hold')
}

export function pressAdvance(bench: Bench): void {
  pressButton(bench.plant.pins, 'advance')
  bench.plant.operator.releaseSeconds = bench.plant.pins.seconds + 0.1
}

/** What a pull would bring of it. */
export function recordsOf(bench: Bench): SavedRecord[] {
  const records: SavedRecord[] = []
  const keeper = bench.base.keeper
  if (keeper === undefined) return records
  forEachRecord(keeper.journal, ({ version, kind, sequence, payload }) => {
    records.push({ version, kind, sequence, payload: payload.slice() })
  })
  return records
}

/** A journal's file, byte for byte. */
export function journalBytes(records: SavedRecord[], serial = 'test-base'): Uint8Array {
  const parts = records.map(({ kind, sequence, payload }) => encodeRecord(kind, sequence, payload, crc32))
  return Buffer.concat([Buffer.from(firstLine(serial), 'latin1'), ...parts])
}
