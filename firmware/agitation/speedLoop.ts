/**
 * From a target speed to a duty: what the base file says the drive needs at these pack volts, put right by a
 * proportional and integral loop on the tank's speed.
 *
 * Assumes 5 to 10 Hz. One function for each thing the target does, because a board's engine pays for what it skips. While the rotation is only believed there is nothing to compare with: the loop keeps what it has
 * learned. Pack volts that cannot be read count as nominal. The duty is never negative: the motor is not reversed to brake.
 */
import type { BaseFile } from '../baseFile.ts'
import type { Estimates } from '../sense/estimates.ts'
import { frictionVolts, nominalVolts } from '../sense/rotationState.ts'

export interface SpeedLoop {
  voltsPerRpm: number
  frictionVolts: number
  nominalVolts: number
  leastDuty: number
  /** Learned: volts that the motor needs beyond what the base file lets expect. */
  integralVolts: number
}

/** Share of the error that is answered at once, and the integral's rate per second. Tuned on drives with 40–100 ms. */
const PROPORTIONAL = 0.25
const INTEGRAL_PER_SECOND = 1.5
/** The integral goes no further, in volts: more than any sound drive needs, and no runaway where a sensor is wrong. */
const INTEGRAL_VOLTS_AT_MOST = 2
/** From rest the dry friction is overcome with at least this many times the least duty. Assumed, with `SURE_START`. */
const START_FACTOR = 2
/** An error is not taken to have lasted longer. Assumed. */
const MOST_SECONDS = 0.3
/** Other volts are no pack's. */
const LEAST_PACK_VOLTS = 1
const MOST_PACK_VOLTS = 60
/** Slower than this the motor has not broken loose. */
const STUCK_RPM = 3

export function createSpeedLoop(base: BaseFile): SpeedLoop {
  return {
    voltsPerRpm: 1 / base.drive.rpmPerVolt,
    frictionVolts: frictionVolts(base),
    nominalVolts: nominalVolts(base),
    leastDuty: base.drive.leastDuty,
    integralVolts: 0,
  }
}

/** The duty, 0 to 1, that keeps `targetRpm` at `rpm` (both along the leg); learns from the error, `seconds` after the last time. */
export function evenDuty(
  loop: SpeedLoop,
  targetRpm: number,
  rpm: number,
  seconds: number,
  estimates: Estimates,
): number {
  let packVolts = estimates.packVolts
  if (!(packVolts > LEAST_PACK_VOLTS && packVolts < MOST_PACK_VOLTS)) packVolts = loop.nominalVolts
  const errorVolts = estimates.rotationSource === 'time' ? 0 : (targetRpm - rpm) * loop.voltsPerRpm
  const volts = targetRpm * loop.voltsPerRpm + loop.frictionVolts + loop.integralVolts + errorVolts * PROPORTIONAL
  // Where the pack has no more volts to give there is nothing to be learned from being too slow.
  if (volts < packVolts || errorVolts < 0) learn(loop, errorVolts, seconds)
  const duty = volts / packVolts
  const least = rpm > STUCK_RPM ? loop.leastDuty : loop.leastDuty * START_FACTOR
  return duty > least ? (duty < 1 ? duty : 1) : least
}

/**
 * The same on a ramp up; `aheadRpm` is what the target will be when the drive has followed. The drive lags behind a ramp
 * by design, so that only a motor that has not broken loose teaches the integral.
 */
export function risingDuty(
  loop: SpeedLoop,
  targetRpm: number,
  rpm: number,
  aheadRpm: number,
  estimates: Estimates,
): number {
  let packVolts = estimates.packVolts
  if (!(packVolts > LEAST_PACK_VOLTS && packVolts < MOST_PACK_VOLTS)) packVolts = loop.nominalVolts
  const errorVolts = estimates.rotationSource === 'time' ? 0 : (targetRpm - rpm) * loop.voltsPerRpm
  const volts = aheadRpm * loop.voltsPerRpm + loop.frictionVolts + loop.integralVolts + errorVolts * PROPORTIONAL
  const duty = volts / packVolts
  let least = loop.leastDuty
  if (!(rpm > STUCK_RPM)) {
    // A motor that has not broken loose when it should turn at some speed needs more.
    if (targetRpm > 4 * STUCK_RPM && volts < packVolts) learn(loop, errorVolts, estimates.tickSeconds)
    least *= START_FACTOR
  }
  return duty > least ? (duty < 1 ? duty : 1) : least
}

/** The same on a ramp down, where the least duty does not hold. */
export function brakingDuty(loop: SpeedLoop, targetRpm: number, rpm: number, estimates: Estimates): number {
  let packVolts = estimates.packVolts
  if (!(packVolts > LEAST_PACK_VOLTS && packVolts < MOST_PACK_VOLTS)) packVolts = loop.nominalVolts
  const errorVolts = estimates.rotationSource === 'time' ? 0 : (targetRpm - rpm) * loop.voltsPerRpm
  const duty =
    (targetRpm * loop.voltsPerRpm + loop.frictionVolts + loop.integralVolts + errorVolts * PROPORTIONAL) / packVolts
  return duty > 0 ? (duty < 1 ? duty : 1) : 0
}

function learn(loop: SpeedLoop, errorVolts: number, seconds: number): void {
  const integral =
    loop.integralVolts + errorVolts * INTEGRAL_PER_SECOND * (seconds < MOST_SECONDS ? seconds : MOST_SECONDS)
  if (integral < INTEGRAL_VOLTS_AT_MOST && integral > -INTEGRAL_VOLTS_AT_MOST) loop.integralVolts = integral
}
