/**
 * All promises together, looked at after every tick, from outside: reads the base, the plant and what was shown, and
 * writes nothing but what was broken.
 */
import type { Base } from '../../../firmware/base.ts'
import type { Play } from '../play.ts'
import type { Rig } from '../rig.ts'
import { createAlarmCheck } from './alarms.ts'
import { createBathCheck } from './bath.ts'
import { createHandsCheck } from './hands.ts'
import { createMotorCheck } from './motor.ts'
import { createNumbersCheck } from './numbers.ts'
import { createResetCheck } from './reset.ts'
import type { Check, Watch } from './watch.ts'

export interface Checker {
  watch: Watch
  checks: Check[]
  starts: number
  presses: number
}

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
      log,
    },
    checks: [
      createMotorCheck(),
      createBathCheck(),
      createAlarmCheck(),
      createHandsCheck(),
      createNumbersCheck(),
      createResetCheck(),
    ],
    starts: rig.starts,
    presses: 0,
  }
}

/** Whether the pack reads what a sound one gives; below this its discharge is over or nearly so. */
function isPackSound(rig: Rig, base: Base): boolean {
  const { packVolts } = rig.plant.pins
  return (
    packVolts > (base.file.pack.emptyCellVolts + 0.1) * base.file.pack.cells && packVolts < 4.45 * base.file.pack.cells
  )
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
  if (!isPackSound(rig, base)) watch.packTroubleSeconds = pins.seconds
  for (let i = 0; i < checker.checks.length; i++) (checker.checks[i] as Check).tick(watch, base)
}
