/**
 * From a target speed to a duty: what the base file says the drive needs at these pack volts, put right by a
 * proportional and integral loop on the tank's speed.
 *
 * Assumes 10 Hz. While the rotation is only believed there is nothing to compare with: the loop keeps what it has
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

/** What the target does: the drive lags behind a ramp by design, so that only an even speed teaches the integral. */
export type Stretch = 'rising' | 'even' | 'braking'

/** The duty, 0 to 1, for `targetRpm` at `rpm` (both along the leg). While braking the least duty does not hold. `aheadRpm` is what the target will be when the drive has followed. */
export function dutyFor(
  loop: SpeedLoop,
  targetRpm: number,
  rpm: number,
  stretch: Stretch,
  aheadRpm: number,
  estimates: Estimates,
): number {
  const packVolts = estimates.packVolts > 1 && estimates.packVolts < 60 ? estimates.packVolts : loop.nominalVolts
  const errorVolts = estimates.rotationSource === 'time' ? 0 : (targetRpm - rpm) * loop.voltsPerRpm
  const volts = aheadRpm * loop.voltsPerRpm + loop.frictionVolts + loop.integralVolts + errorVolts * PROPORTIONAL
  if (stretch === 'even') learn(loop, errorVolts, volts < packVolts, estimates.tickSeconds)
  const duty = volts / packVolts
  if (stretch === 'braking') return duty > 0 ? (duty < 1 ? duty : 1) : 0
  if (rpm > STUCK_RPM) return duty > loop.leastDuty ? (duty < 1 ? duty : 1) : loop.leastDuty
  // A motor that has not broken loose when it should turn at some speed needs more.
  if (stretch === 'rising' && targetRpm > 4 * STUCK_RPM)
    learn(loop, errorVolts, volts < packVolts, estimates.tickSeconds)
  const least = loop.leastDuty * START_FACTOR
  return duty > least ? (duty < 1 ? duty : 1) : least
}

/** Where the pack has no more volts to give there is nothing to be learned from being too slow. */
function learn(loop: SpeedLoop, errorVolts: number, hasMore: boolean, tickSeconds: number): void {
  if (!hasMore && errorVolts > 0) return
  const integral = loop.integralVolts + errorVolts * INTEGRAL_PER_SECOND * tickSeconds
  if (integral < INTEGRAL_VOLTS_AT_MOST && integral > -INTEGRAL_VOLTS_AT_MOST) loop.integralVolts = integral
}
