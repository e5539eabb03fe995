/**
 * From the supply's readings to the pack's volts and the motor's amps: what no pack gives is thrown out, the rest is
 * smoothed a little.
 *
 * Volts and amps go through the same filter, so that a step in one still divides by the step in the other: that is how
 * the pack's resistance is learned. A few bad readings are bridged with the last good ones; after half a second the pack
 * counts as unknown, and a pack that is unknown is not safe to drive. Without a current sense `motorAmps` is NaN and
 * stays so.
 */
import type { BaseFile } from '../baseFile.ts'
import type { Readings } from '../readings.ts'
import type { Estimates } from './estimates.ts'

/** Below this a lithium-ion cell's protection has opened long ago; above it no charger ever brings one (makers: 4.2 V). */
export const LEAST_CELL_VOLTS = 1.5
export const MOST_CELL_VOLTS = 4.45
/** More than any driver of a small motor passes: a broken sense, not a current. */
const MOST_MOTOR_AMPS = 30
/** Part of a new reading that is taken: settles within three ticks. */
const TAKEN = 0.5
/** Half a second of bad readings in ticks of 0.1 s, and a second of good ones before the pack is trusted again. */
const BAD_TICKS = 5
const GOOD_TICKS = 10

export interface PackSense {
  leastVolts: number
  mostVolts: number
  currentSense: boolean
  volts: number
  amps: number
  badTicks: number
  goodTicks: number
  neededTicks: number
  known: boolean
}

export function createPackSense(base: BaseFile): PackSense {
  return {
    volts: NaN,
    amps: NaN,
    known: false,
    currentSense: base.pack.currentSense,
    leastVolts: LEAST_CELL_VOLTS * base.pack.cells,
    mostVolts: MOST_CELL_VOLTS * base.pack.cells,
    badTicks: 0,
    goodTicks: 0,
    neededTicks: 1,
  }
}

/** Writes `packVolts`, `motorAmps` and `packKnown`; every tick. */
export function sensePack(sense: PackSense, readings: Readings, estimates: Estimates): void {
  const volts = readings.packVolts
  if (volts > sense.leastVolts && volts < sense.mostVolts) {
    const old = sense.volts
    sense.volts = isNaN(old) ? volts : old + TAKEN * (volts - old)
    if (sense.currentSense) {
      const amps = readings.motorAmps
      const before = sense.amps
      if (!(amps < MOST_MOTOR_AMPS && amps > -MOST_MOTOR_AMPS)) sense.amps = NaN
      else sense.amps = isNaN(before) ? amps : before + TAKEN * (amps - before)
    }
    sense.badTicks = 0
    if (!sense.known) goodReading(sense)
  } else badReading(sense)
  estimates.packVolts = sense.volts
  estimates.motorAmps = sense.amps
  estimates.packKnown = sense.known
}

/** The very first good reading is believed at once, for nothing contradicts it; after a failure it takes a second of them. */
function goodReading(sense: PackSense): void {
  sense.goodTicks++
  if (sense.goodTicks >= sense.neededTicks) sense.known = true
}

function badReading(sense: PackSense): void {
  sense.goodTicks = 0
  sense.badTicks++
  if (sense.badTicks < BAD_TICKS) return
  sense.badTicks = BAD_TICKS
  if (sense.known) sense.neededTicks = GOOD_TICKS
  sense.known = false
  sense.volts = NaN
  sense.amps = NaN
}
