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
/** Part of a new reading that is taken: settles within two readings, of which there are five a second. */
const TAKEN = 0.75
/** Half a second of bad readings in ticks of 0.1 s, and a second of good ones before the pack is trusted again: what is doubted is read in every tick. */
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
  if (readings.supplyRead) takeReading(sense, readings, estimates)
}

/** In one piece and without a global function: either costs a board's engine more than the arithmetic. */
function takeReading(sense: PackSense, readings: Readings, estimates: Estimates): void {
  let volts = readings.packVolts
  if (volts > sense.leastVolts && volts < sense.mostVolts) {
    const before = sense.volts
    if (before > 0) volts = before + TAKEN * (volts - before)
    sense.volts = volts
    estimates.packVolts = volts
    if (sense.currentSense) {
      let amps = readings.motorAmps
      const ampsBefore = sense.amps
      if (!(amps < MOST_MOTOR_AMPS && amps > -MOST_MOTOR_AMPS)) amps = NaN
      else if (ampsBefore > -MOST_MOTOR_AMPS) amps = ampsBefore + TAKEN * (amps - ampsBefore)
      sense.amps = amps
      estimates.motorAmps = amps
    }
    if (readings.supplyDoubted) goodReading(sense, readings, estimates)
  } else badReading(sense, readings, estimates)
}

/** The very first good reading is believed at once, for nothing contradicts it; after a failure it takes a second of them. */
function goodReading(sense: PackSense, readings: Readings, estimates: Estimates): void {
  sense.badTicks = 0
  sense.goodTicks++
  if (sense.goodTicks >= sense.neededTicks) sense.known = true
  readings.supplyDoubted = !sense.known
  estimates.packKnown = sense.known
}

function badReading(sense: PackSense, readings: Readings, estimates: Estimates): void {
  readings.supplyDoubted = true
  sense.goodTicks = 0
  sense.badTicks++
  if (sense.badTicks < BAD_TICKS) return
  sense.badTicks = BAD_TICKS
  if (sense.known) sense.neededTicks = GOOD_TICKS
  sense.known = false
  sense.volts = NaN
  sense.amps = NaN
  estimates.packVolts = NaN
  estimates.motorAmps = NaN
  estimates.packKnown = false
}
