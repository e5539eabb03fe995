/**
 * How the tank turns: from the magnets on the tank, from the slotted disc at the motor's shaft, or from time alone.
 *
 * One speed is carried along: a model of the drive (volts at the motor, first order) foretells it, and edges correct it.
 * The way follows from the disc's edges where there are any, else from that speed; the magnets, which always pass at
 * the same angles of the tank, then put the angle right. No sensor tells the direction: it is that of the duty last
 * written, kept while the tank coasts, and agitation never drives across a reversal without a rest.
 *
 * A sensor that falls silent is judged in `turningTrouble.ts`; while it is not trusted the next source takes over, in
 * the end time. Then `tankTurns` is only believed, and `rotationSource` says so. Even when the tank is known not to
 * follow, `tankTurns` goes on with the rollers, so that legs still end and a tank that grips again is turned evenly.
 * No reading leads to NaN in rotation, whatever the supply says.
 *
 * A board's engine pays for every statement, also for those that it skips. So the usual tick is one function and what is
 * rare is called; and while the tank turns evenly the disc is asked, and the drive reckoned with, only now and then.
 */
import type { Readings } from '../readings.ts'
import type { Estimates } from './estimates.ts'
import type { RotationSense } from './rotationState.ts'
import { judgeMagnets, judgeShaft, judgeStraying, judgeWithoutShaft, noteMagnet } from './turningTrouble.ts'
import type { Underway } from './underway.ts'

export { createRotationSense, type RotationSense } from './rotationState.ts'

/** Share of the way to the heading speed in a second, at most all of it: time constant of drive and load, assumed. */
const DRIVE_SECONDS = 0.05
/** A coasting tank loses at least this: the slowest of the assumed drives. */
const COAST_RPM_PER_SECOND = 80
/** Longest tick that is believed; the motor's dead man has stopped it by then. */
const LONGEST_TICK_SECONDS = 0.5
/** How much of a measured speed is taken over at once; less on ramps, where the mean since the last edge is behind the times. */
const EDGE_WEIGHT = 0.7
const RAMP_EDGE_WEIGHT = 0.2
/** The drive's gain is learned over some seconds of even turning. */
const GAIN_WEIGHT = 0.1
const AMPS_WEIGHT = 0.3
/** More is no current of such a motor but a wrong reading. Assumed. */
const MOST_AMPS = 50
/** More edges in a tick than twice what half a second of the fastest sensor gives: a count that jumped, not rotation. */
const MOST_EDGES = 60
/** No tank is turned faster: a moment that cannot be right. */
const MOST_RPM = 1000
/** A heading that changes by less in a tick is even; and a duty that is less off the one reckoned with. */
const EVEN_SHARE = 0.04
const EVEN_DUTY_SHARE = 0.03
/** After so many even ticks the smoothed current has forgotten the ramp. */
const SETTLED_TICKS = 6
const USUAL_WEIGHT = 0.1
const SILENT_WEIGHT = 0.3

/** Every tick, first of all: brings the rotation's estimates up to this tick's readings. */
export function senseRotation(s: RotationSense, readings: Readings, underway: Underway, estimates: Estimates): void {
  if (readings.shaftRead || !(readings.tickSeconds < LONGEST_TICK_SECONDS)) follow(s, readings, underway, estimates)
  else {
    const turned = (estimates.tankRpm * readings.tickSeconds) / 60
    estimates.tankTurns += turned
    s.aheadTurns = turned
    s.aheadSeconds = readings.tickSeconds
  }
}

/** A tick in which the disc was asked. */
function follow(s: RotationSense, readings: Readings, underway: Underway, estimates: Estimates): void {
  const duty = underway.motorDuty
  const change = duty - s.headDuty
  if (readings.slow || change > s.evenDuty || -change > s.evenDuty) {
    if (!foretell(s, readings, duty, estimates)) return
  } else s.evenTicks += 2
  const before = s.rollerTurns
  const direction = s.direction
  const edges = readings.shaftEdges - s.discEdges
  if (edges > 0 && edges < MOST_EDGES && s.discTrusted && s.discEdgeDirection === direction) {
    const edgeSeconds = readings.shaftEdgeSeconds
    const way = edges * s.discTurns
    const measuredRpm = (way * 60) / (edgeSeconds - s.discEdgeSeconds)
    let rpm = s.rollerRpm
    // The mean since the last edge is behind the times: a coasting tank is never faster than foretold.
    if (measuredRpm > 0 && measuredRpm < MOST_RPM && (duty !== 0 || measuredRpm < rpm)) {
      rpm += (measuredRpm - rpm) * (s.evenTicks > 0 ? EDGE_WEIGHT : RAMP_EDGE_WEIGHT)
      s.rollerRpm = rpm
    }
    if (readings.slow) learnDrive(s, measuredRpm)
    s.discEdges = readings.shaftEdges
    s.discEdgeSeconds = edgeSeconds
    const at = s.discEdgeTurns + direction * way
    s.discEdgeTurns = at
    const beyond = (rpm * (readings.nowSeconds - edgeSeconds)) / 60
    s.rollerTurns = at + direction * (beyond > 0 ? (beyond < s.discTurns ? beyond : s.discTurns) : 0)
    if (s.discSilentSeconds > 0) heard(s)
    readings.calm = s.evenDuty > 0
  } else unusual(s, readings, duty, estimates)
  const way = (s.rollerTurns - before) * direction
  const follows = (1 - s.slip) * direction
  estimates.tankTurns += way * follows - s.aheadTurns
  estimates.tankTravelTurns += way * (1 - s.slip)
  s.aheadTurns = 0
  s.aheadSeconds = 0
  s.runTurns += way
  if (readings.tankEdges > s.magnetEdges || s.runTurns > s.overdueTurns) followMagnets(s, readings, way, estimates)
  estimates.tankRpm = s.rollerRpm * follows
}

/** The disc does not say how far the tank got, or speaks after a silence or a reversal. */
function unusual(s: RotationSense, readings: Readings, duty: number, estimates: Estimates): void {
  readings.calm = false
  s.evenDuty = -1
  const tickSeconds = believedSeconds(s, readings)
  const foretold = (s.direction * s.rollerRpm * tickSeconds) / 60
  followDisc(s, readings, tickSeconds, foretold)
  if (duty !== 0) {
    if (!s.discTrusted) judgeWithoutShaft(s, estimates, duty, tickSeconds)
    else if (s.discSilentSeconds > 0) judgeShaft(s, estimates, duty)
  }
  nameSource(s, estimates)
}

/** Since the last tick in which the disc was asked. */
function believedSeconds(s: RotationSense, readings: Readings): number {
  const seconds = readings.tickSeconds + s.aheadSeconds
  return seconds > 0 ? (seconds < LONGEST_TICK_SECONDS ? seconds : LONGEST_TICK_SECONDS) : 0
}

function nameSource(s: RotationSense, estimates: Estimates): void {
  estimates.rotationSource = s.magnetTrusted ? 'tank' : s.discTrusted ? 'shaft' : 'time'
}

/** What the motor makes of its duty: foretells the speed from the volts at the motor. False where neither motor nor tank turns. */
function foretell(s: RotationSense, readings: Readings, duty: number, estimates: Estimates): boolean {
  if (duty === 0) return foretellOff(s, readings, estimates)
  let tickSeconds = readings.tickSeconds
  if (!(tickSeconds > 0 && tickSeconds < LONGEST_TICK_SECONDS && s.aheadSeconds === 0)) {
    tickSeconds = believedSeconds(s, readings)
  }
  if (duty > 0 !== s.direction > 0) turnRound(s, duty > 0 ? 1 : -1, estimates)
  if (s.rollerRpm === 0) start(s, readings.nowSeconds - tickSeconds)
  const size = duty * s.direction
  let packVolts = readings.packVolts
  if (!(packVolts > s.leastPackVolts && packVolts < s.mostPackVolts)) {
    packVolts = s.nominalVolts
    concludeNothing(s)
  }
  const volts = size * packVolts
  const heading = volts > s.frictionVolts ? (volts - s.frictionVolts) * s.rpmPerVolt : 0
  const change = heading - s.headingRpm
  const isEven = change < EVEN_SHARE * heading && -change < EVEN_SHARE * heading
  s.evenTicks = isEven ? s.evenTicks + 1 : 0
  s.headingRpm = heading
  s.headDuty = duty
  s.evenDuty = isEven && s.evenTicks > 1 && s.discTrusted ? EVEN_DUTY_SHARE * size : -1
  s.rollerRpm += ((heading * s.driveGain - s.rollerRpm) * tickSeconds) / (DRIVE_SECONDS + tickSeconds)
  // The current is looked at once a second, more often only when a stall is suspected or nothing else could tell it.
  if (readings.slow || s.discSilentSeconds > 0 || !s.discTrusted) {
    followAmps(s, readings.motorAmps, size)
    nameSource(s, estimates)
  }
  return true
}

/** From rest, or on again before it was reached: no edge from before tells of this speed. */
function start(s: RotationSense, atSeconds: number): void {
  s.startedSeconds = atSeconds
  if (s.discEdgeSeconds < atSeconds) s.discEdgeSeconds = atSeconds
}

/** Motor off: does the tank still turn? */
function foretellOff(s: RotationSense, readings: Readings, estimates: Estimates): boolean {
  if (s.rollerRpm === 0) {
    rest(s, readings, estimates)
    return false
  }
  coast(s, believedSeconds(s, readings))
  return true
}

/** Motor off and the tank at rest: edges that come now are a hand's, and are not counted. */
function rest(s: RotationSense, readings: Readings, estimates: Estimates): void {
  readings.calm = true
  s.aheadTurns = 0
  s.aheadSeconds = 0
  estimates.tankRpm = 0
  s.discEdges = readings.shaftEdges
  s.magnetEdges = readings.tankEdges
  if (estimates.turningTrouble === 'stalled') estimates.turningTrouble = s.tankTrouble
}

/** A new direction, from rest: what the magnets tell begins anew, unless they have stayed away for too long already. */
function turnRound(s: RotationSense, direction: 1 | -1, estimates: Estimates): void {
  s.direction = direction
  s.rollerRpm = 0
  s.silentBeforeTurns += s.runTurns
  s.runTurns = 0
  s.runFromMagnet = false
  if (s.magnetTurns > 0) judgeStraying(s, estimates)
}

/** How fast a tank with the motor off still turns at most. */
function coast(s: RotationSense, tickSeconds: number): void {
  const slower = s.rollerRpm - COAST_RPM_PER_SECOND * tickSeconds
  s.rollerRpm = slower > 0 ? slower : 0
  s.headingRpm = 0
  s.evenTicks = 0
  s.evenDuty = -1
  s.discSilentSeconds = 0
  s.discSilentTurns = 0
  s.overSeconds = 0
}

/** The pack cannot be read: whether the motor gets anything is not known, and neither silence nor slip says anything. */
function concludeNothing(s: RotationSense): void {
  s.discSilentSeconds = 0
  s.discSilentTurns = 0
  s.runTurns = 0
  s.silentBeforeTurns = 0
  s.runFromMagnet = false
  s.overSeconds = 0
}

/** The winding's current is the pack's over the duty; over a very small duty that would be all noise. */
function followAmps(s: RotationSense, packAmps: number, size: number): void {
  if (size < s.leastDuty / 2) return
  const amps = packAmps < MOST_AMPS ? packAmps / size : NaN
  s.windingAmps = s.windingAmps >= 0 ? s.windingAmps + (amps - s.windingAmps) * AMPS_WEIGHT : amps
  if (s.evenTicks > SETTLED_TICKS && s.magnetTurns > 0 && amps >= 0) learnAmps(s, amps)
}

/** Takes in what the disc says where it is not what it usually says. */
function followDisc(s: RotationSense, readings: Readings, tickSeconds: number, foretold: number): void {
  const edges = readings.shaftEdges - s.discEdges
  const nowSeconds = readings.nowSeconds
  if (!(edges > 0 && edges < MOST_EDGES)) {
    if (edges >= MOST_EDGES) s.discEdges = readings.shaftEdges
    withoutEdge(s, nowSeconds, tickSeconds, foretold)
    return
  }
  s.discEdges = readings.shaftEdges
  if (!s.discTrusted) trustDisc(s)
  // The first edge after a reversal is the one that was passed last.
  const onward = s.discEdgeDirection === s.direction
  s.discEdgeTurns += s.direction * (onward ? edges : edges - 1) * s.discTurns
  s.discEdgeDirection = s.direction
  s.discEdgeSeconds = readings.shaftEdgeSeconds
  if (s.discSilentSeconds > 0) heard(s)
  const beyond = (s.rollerRpm * (nowSeconds - s.discEdgeSeconds)) / 60
  s.rollerTurns = s.discEdgeTurns + s.direction * (beyond > 0 ? (beyond < s.discTurns ? beyond : s.discTurns) : 0)
}

function heard(s: RotationSense): void {
  s.discSilentSeconds = 0
  s.discSilentTurns = 0
}

/** No edge in this tick: so slow at most, and not beyond the next edge. */
function withoutEdge(s: RotationSense, nowSeconds: number, tickSeconds: number, foretold: number): void {
  if (!s.discTrusted) {
    s.rollerTurns += foretold
    return
  }
  const seconds = nowSeconds - s.discEdgeSeconds
  if (seconds > 0 && s.rollerRpm * seconds > s.discTurns * 60) s.rollerRpm = (s.discTurns * 60) / seconds
  if (s.headingRpm > s.surelyRpm) {
    s.discSilentSeconds += tickSeconds
    s.discSilentTurns += (s.headingRpm * tickSeconds) / 60
  }
  const turns = s.rollerTurns + foretold
  const beyond = (turns - s.discEdgeTurns) * s.direction
  s.rollerTurns = beyond > s.discTurns ? s.discEdgeTurns + s.direction * s.discTurns : turns
}

function trustDisc(s: RotationSense): void {
  s.discTrusted = true
  s.discEdgeTurns = s.rollerTurns
  s.discEdgeDirection = s.direction
  s.discEdgeSeconds = s.startedSeconds
}

/** Learns the drive's gain where the speed is even: what is measured over what the drive heads for. */
function learnDrive(s: RotationSense, measuredRpm: number): void {
  if (s.evenTicks === 0) return
  const ratio = measuredRpm / s.headingRpm
  if (ratio > 0.6 && ratio < 1.5) s.driveGain += (ratio - s.driveGain) * GAIN_WEIGHT
}

/** Learns what current is usual while magnets come, and what it is while they stay away. */
function learnAmps(s: RotationSense, amps: number): void {
  if (s.silentBeforeTurns + s.runTurns < s.magnetTurns) {
    s.usualAmps = s.usualAmps >= 0 ? s.usualAmps + (amps - s.usualAmps) * USUAL_WEIGHT : amps
  } else {
    s.silentAmps = s.silentAmps >= 0 ? s.silentAmps + (amps - s.silentAmps) * SILENT_WEIGHT : amps
    s.silentSamples++
  }
}

/** Takes in the tank's magnets: puts the angle right, measures slip, and notices when they stay away. `way` is that of this tick. */
function followMagnets(s: RotationSense, readings: Readings, way: number, estimates: Estimates): void {
  if (readings.tankEdges > s.magnetEdges) {
    const beyond = (s.rollerRpm * (readings.nowSeconds - readings.tankEdgeSeconds)) / 60
    noteMagnet(s, readings.tankEdges - s.magnetEdges, beyond > 0 && beyond < s.runTurns ? beyond : 0, estimates)
    s.magnetEdges = readings.tankEdges
  } else if (way > 0) judgeMagnets(s, estimates)
  nameSource(s, estimates)
}
