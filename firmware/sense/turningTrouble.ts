/**
 * What is wrong between motor and tank, and which rotation sensor can still be trusted.
 *
 * - The motor is driven and the disc is silent: stalled when the current is as high as a held motor's, or when nothing
 *   but the disc could tell; else (the tank's magnets pass, or the current is that of a motor that turns) the disc has failed.
 * - No disc: stalled by current alone. Without current sense either, a stall cannot be told.
 * - The rollers turn and magnets come late: slipping. They stay away: by the current, jammed (higher: rollers skid under the
 *   tank), walked off (lower: nothing to turn), or only the sensor failed (as usual). Without current sense it is called
 *   walked off, with a slip of NaN: the operator has to look in any case.
 * - Legs too short for an even stretch are judged later, without the current.
 * - Legs shorter than from magnet to magnet may never pass one: then nothing is concluded from its silence.
 *
 * The current is taken as what the driver draws from the pack; the winding's is that over the duty.
 */
import type { Estimates } from './estimates.ts'
import type { RotationSense } from './rotationState.ts'

/** Driven without an edge for longer, and further by the model than so many edges: silent. Assumed; longer than any start takes. */
const SILENT_SECONDS = 0.6
const SILENT_EDGES = 3
/** Without current sense a magnet gets so long to show that it is the disc that failed. Assumed. */
const MAGNET_PATIENCE_SECONDS = 2.5
/** Below this duty the current of a held motor and of a turning one are too much alike: the limit falls no further. Assumed. */
const LEAST_LIMIT_DUTY = 0.25
/** Silent for so many spacings, of any direction, and overdue: the tank does not follow, or its sensor failed. */
const SILENT_SPACINGS = 3.5
/** After so many short legs never have an even stretch: then it is judged without. Assumed. */
const LONG_SPACINGS = 10
/** Slip that is no longer the creep of wet rollers (1–3 %); and below which it is over. Assumed. */
const SLIPPING = 0.15
const NOT_SLIPPING = 0.1
/** What an angle is reckoned with at most: beyond, the way of the rollers says nothing of the tank. */
const MOST_SLIP = 0.6
const SLIP_WEIGHT = 0.3
const GAIN_WEIGHT = 0.3
const LEAST_GAIN = 0.6
const MOST_GAIN = 1.5
/** Current over the usual, from which the tank counts as jammed, and below which it has left its rollers. Assumed. */
const JAMMED_RATIO = 1.3
const WALKED_OFF_RATIO = 0.92
/** Looks at the current, each on an even stretch, before it is judged by. Assumed. */
const LEAST_SAMPLES = 3

/**
 * A motor that is held draws volts over ohms, so in proportion to the duty; the limit of the base file is meant for
 * full duty.
 */
function drawsLikeStalled(s: RotationSense, duty: number): boolean {
  const size = duty < 0 ? -duty : duty
  return s.windingAmps > s.stallAmps * (size > LEAST_LIMIT_DUTY ? size : LEAST_LIMIT_DUTY)
}

/** Driven, and the disc has been silent for some ticks: is it stalled, or is the disc no longer to be trusted? */
export function judgeShaft(s: RotationSense, estimates: Estimates, duty: number): void {
  const canCompare = s.windingAmps >= 0
  const patience = !canCompare && s.magnetTrusted ? MAGNET_PATIENCE_SECONDS : SILENT_SECONDS
  if (s.discSilentSeconds < patience || s.discSilentTurns < SILENT_EDGES * s.discTurns) return
  if (canCompare && !drawsLikeStalled(s, duty)) {
    s.discTrusted = false
    return
  }
  nameStall(s, estimates)
}

/** Driven without a disc: only the current can tell a stall. */
export function judgeWithoutShaft(s: RotationSense, estimates: Estimates, duty: number, tickSeconds: number): void {
  if (!drawsLikeStalled(s, duty)) {
    s.overSeconds = 0
    return
  }
  s.overSeconds += tickSeconds
  if (s.overSeconds < SILENT_SECONDS) return
  nameStall(s, estimates)
}

/** The next try is judged by what it does itself. */
function nameStall(s: RotationSense, estimates: Estimates): void {
  s.rollerRpm = 0
  s.discSilentSeconds = 0
  s.discSilentTurns = 0
  s.overSeconds = 0
  s.windingAmps = NaN
  estimates.turningTrouble = 'stalled'
}

/** `magnets` passed, the last one `beyondTurns` of the rollers ago. */
export function noteMagnet(s: RotationSense, magnets: number, beyondTurns: number, estimates: Estimates): void {
  // A magnet that passes while the disc is silent shows that the motor turns: the disc failed.
  if (s.discTrusted && s.discSilentSeconds > 0 && s.discSilentTurns > SILENT_EDGES * s.discTurns) s.discTrusted = false
  const run = s.runTurns - beyondTurns
  // A run that began between magnets still shows slip when it was longer than from one to the next. In one in which the
  // tank was given up it stood for a while: that it follows again is all that its magnet says.
  if (s.magnetTrusted && ((s.runFromMagnet && run > 0) || run > s.overdueTurns)) {
    measureSlip(s, (magnets * s.magnetTurns) / run)
  }
  s.runFromMagnet = true
  s.runTurns = beyondTurns
  s.silentBeforeTurns = 0
  s.silentSamples = 0
  s.silentAmps = NaN
  s.magnetTrusted = true
  s.tankTrouble = 'none'
  const passedAt = estimates.tankTurns - s.direction * beyondTurns * (1 - s.slip)
  if (!s.magnetSeen) {
    s.magnetSeen = true
    s.magnetAtTurns = passedAt
  } else {
    const spacings = (passedAt - s.magnetAtTurns) / s.magnetTurns
    const off = (spacings - Math.floor(spacings + 0.5)) * s.magnetTurns
    estimates.tankTurns -= off
    // Way that was not known of is way all the same; way that was wrongly believed is taken back.
    estimates.tankTravelTurns -= off * s.direction
  }
  s.passTurns = estimates.tankTurns
  nameSlip(s, estimates)
}

/** From magnet to magnet in one direction: how much of the rollers' way the tank followed. */
function measureSlip(s: RotationSense, followed: number): void {
  if (!s.discTrusted) {
    // Without a disc the rollers' way is only foretold: it is the drive that is learned.
    if (!(followed > 0.5 && followed < 2)) return
    const gain = s.driveGain * (1 + (followed - 1) * GAIN_WEIGHT)
    // No sound drive is further off; what a tank does that turns by itself is not to be learned for ever.
    s.driveGain = gain < LEAST_GAIN ? LEAST_GAIN : gain > MOST_GAIN ? MOST_GAIN : gain
    return
  }
  let slip = 1 - followed
  if (slip < 0) slip = 0
  s.slip += (slip - s.slip) * (s.slipKnown ? SLIP_WEIGHT : 1)
  if (s.slip > MOST_SLIP) s.slip = MOST_SLIP
  s.slipKnown = true
}

function nameSlip(s: RotationSense, estimates: Estimates): void {
  estimates.slipFraction = s.slipKnown ? s.slip : NaN
  if (estimates.turningTrouble === 'stalled') return
  if (s.slipKnown && s.slip > SLIPPING) estimates.turningTrouble = 'slipping'
  else if (estimates.turningTrouble !== 'slipping' || s.slip < NOT_SLIPPING) estimates.turningTrouble = 'none'
}

/** Short legs can wander far without one of them being long: called where one ends. */
export function judgeStraying(s: RotationSense, estimates: Estimates): void {
  const strayed = estimates.tankTurns - s.passTurns
  if (strayed > s.overdueTurns || -strayed > s.overdueTurns) judgeMagnets(s, estimates)
}

/** The rollers turned by more than a spacing without passing where they were, and no magnet came. */
export function judgeMagnets(s: RotationSense, estimates: Estimates): void {
  if (!s.magnetTrusted || estimates.turningTrouble === 'stalled') return
  if (s.silentBeforeTurns + s.runTurns < SILENT_SPACINGS * s.magnetTurns) return
  // Judged once, when there is an even stretch to compare with, and kept until a magnet comes again.
  const silentTurns = s.silentBeforeTurns + s.runTurns
  if (s.usualAmps >= 0 && s.silentSamples < LEAST_SAMPLES && silentTurns < LONG_SPACINGS * s.magnetTurns) return
  s.magnetTrusted = false
  const ratio = s.silentAmps / s.usualAmps
  if (ratio > JAMMED_RATIO) s.tankTrouble = 'jammed'
  else if (ratio < WALKED_OFF_RATIO) s.tankTrouble = 'walkedOff'
  else s.tankTrouble = ratio >= 0 ? 'none' : 'walkedOff'
  estimates.turningTrouble = s.tankTrouble
  estimates.slipFraction = ratio > JAMMED_RATIO || ratio < WALKED_OFF_RATIO ? 1 : NaN
}
