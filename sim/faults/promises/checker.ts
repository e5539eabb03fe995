/**
 * All promises together, looked at after every tick, from outside: reads the base, the plant and what was shown, and
 * writes nothing but what was broken.
 */
import type { Base } from '../../../firmware/base.ts'
import type { Play } from '../play.ts'
import type { Rig } from '../rig.ts'
import { createAlarmCheck } from './alarms.ts'
import { createBathCheck } from './bath.ts'
import { createCallsCheck } from './calls.ts'
import { createHandsCheck } from './hands.ts'
import { createMotorCheck } from './motor.ts'
import { createNumbersCheck } from './numbers.ts'
import { PROMISE_NAMES, type PromiseName } from './promise.ts'
import { createResetCheck } from './reset.ts'
import type { Check, Watch } from './watch.ts'

export interface Checker {
  watch: Watch
  checks: Check[]
  starts: number
  presses: number
  /** The pack was nearly empty and has not been well since. */
  wasEmpty: boolean
}

/** Judged by every tick of every session. */
const ALWAYS: PromiseName[] = ['offInSafeState', 'noAlarmWithoutCause', 'figuresStayNumbers', 'nothingThrown']

export function createChecker(rig: Rig, play: Play, log: (words: string) => void): Checker {
  const nowSeconds = rig.plant.pins.seconds
  return {
    watch: {
      rig,
      play,
      startSeconds: nowSeconds,
      nowSeconds,
      tickSeconds: 0,
      pressSeconds: -Infinity,
      packTroubleSeconds: -Infinity,
      broken: [],
      judged: Object.fromEntries(PROMISE_NAMES.map(name => [name, ALWAYS.includes(name)])) as Watch['judged'],
      bounds: { baths: 0, beyond: 0, uncertainBaths: 0, uncertainBeyond: 0 },
      log,
    },
    checks: [
      createMotorCheck(),
      createBathCheck(),
      createAlarmCheck(),
      createHandsCheck(),
      createCallsCheck(),
      createNumbersCheck(),
      createResetCheck(),
    ],
    starts: rig.starts,
    presses: 0,
    wasEmpty: false,
  }
}

/** Beyond these, per cell, a pack is nearly empty; well again; wrong. */
const NEARLY_EMPTY_VOLTS = 0.1
const WELL_VOLTS = 0.35
const MOST_VOLTS = 4.45

/** Whether the pack reads what a sound one gives. One that was nearly empty has to come well above that. */
function isPackSound(checker: Checker, base: Base): boolean {
  const { cells, emptyCellVolts } = base.file.pack
  const cellVolts = checker.watch.rig.plant.pins.packVolts / cells
  if (cellVolts > emptyCellVolts + WELL_VOLTS) checker.wasEmpty = false
  else if (!(cellVolts > emptyCellVolts + NEARLY_EMPTY_VOLTS)) checker.wasEmpty = true
  return !checker.wasEmpty && cellVolts < MOST_VOLTS
}

/** After each tick of the base. */
export function checkTick(checker: Checker, base: Base): void {
  const { watch } = checker
  const { rig } = watch
  const { pins } = rig.plant
  watch.tickSeconds = pins.seconds - watch.nowSeconds
  watch.nowSeconds = pins.seconds
  if (rig.starts !== checker.starts) {
    checker.starts = rig.starts
    checker.presses = 0
    watch.tickSeconds = 0
    for (const fault of watch.play.running) fault.tellableSeconds = 0
    for (const check of checker.checks) check.restarted?.(watch)
  }
  const presses = pins.advance.presses + pins.hold.presses
  if (presses !== checker.presses) {
    checker.presses = presses
    watch.pressSeconds = pins.seconds
  }
  if (pins.advance.down || pins.hold.down) watch.pressSeconds = pins.seconds
  if (!isPackSound(checker, base)) watch.packTroubleSeconds = pins.seconds
  for (let i = 0; i < checker.checks.length; i++) (checker.checks[i] as Check).tick(watch, base)
}
