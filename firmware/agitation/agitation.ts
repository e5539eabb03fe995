/**
 * Turns the tank forth and back: opening spell, legs, ramps, rests, and what to do when the motor stalls.
 *
 * The target speed is a trapezium whose end is fixed by the angle and not by time: near the reversal point it falls so
 * that the tank comes to rest there. Then the motor is off until the tank is known, or without a sensor believed, to
 * stand, and for as long as the recipe and the base say; only then comes the other direction. Works alike whether the
 * tank's angle is measured or only believed.
 *
 * When the motor stalls it is stopped and tried again, gently, in the other direction; after `RETRIES_AT_MOST` failures
 * `stalledForGood` is set and it is tried only rarely. Nothing here stops the clock.
 *
 * A board's engine pays for every statement, and most ticks find the tank turning evenly on or at rest: then there is
 * little to compare, and nothing to compute before something new was measured.
 *
 * When load is shed, rests become longer (`SHED_REST_SECONDS` in all), because the motor takes most of the power and
 * nothing while the tank stands: two-turn legs at 45 rpm then take a third less. Last, the speed falls to `leastRpm`.
 */
import type { Agitation } from '../recipe/recipe.ts'
import type { Estimates } from '../sense/estimates.ts'
import { beginLeg } from './plan.ts'
import { brakingDuty, evenDuty, risingDuty } from './speedLoop.ts'
import type { AgitationState } from './state.ts'

export { type AgitationState, createAgitation } from './state.ts'

/** What the session wants: turn by the programme; stop gently and keep the place in it; or motor off at once. */
export type Want = 'turn' | 'rest' | 'off'

/** Below this the tank counts as standing; the last tick of braking goes no slower than `STOP_RPM`. Assumed. */
const STANDING_RPM = 1
const STOP_RPM = 5
/** A duty acts half a tick later on average and the motor follows within its time constant. */
const LEAD_SECONDS = 0.12
/** Rests while load is shed: long enough to save a third, short against the time a film needs fresh liquid. Assumed. */
export const SHED_REST_SECONDS = 2.5
/** After a stall: wait, then with half the ramp; so many times, then rarely. Assumed. */
const STALL_WAIT_SECONDS = 1
export const RETRIES_AT_MOST = 4
const RARELY_SECONDS = 20
const PROVEN_TURNS = 0.5

/** A bath's turning begins with `agitation` (checked), at `nowSeconds`. A turning tank first comes to rest. */
export function beginProgramme(state: AgitationState, agitation: Agitation, nowSeconds: number): void {
  state.agitation = agitation
  state.restSeconds = agitation.restSeconds > state.baseRestSeconds ? agitation.restSeconds : state.baseRestSeconds
  state.rampRpmPerSecond = agitation.rpm / agitation.rampSeconds
  state.netTurnsAtMost = agitation.netTurnsAtMost === undefined ? NaN : agitation.netTurnsAtMost
  state.opening = agitation.opening === undefined ? 'over' : 'due'
  state.legIndex = 0
  // No leg to go on with, either.
  state.direction = 0
  state.waitUntilSeconds = nowSeconds
  state.nextSeconds = nowSeconds
  state.retries = 0
  state.view.legs = 0
  state.view.reversals = 0
  state.view.stalledForGood = false
  state.view.retrying = false
  if (state.turning) standStill(state)
}

/** Every tick: decides `view.duty`. `shedding` as in EnergyView. */
export function tickAgitation(state: AgitationState, estimates: Estimates, want: Want, shedding: 0 | 1 | 2 | 3): void {
  if (state.cruising && want === 'turn' && estimates.tankTurns * state.direction < state.brakeAtTurns) {
    // Nothing new was measured: nothing to put right. Shedding and the rest of it are looked at with the next measurement.
    if (estimates.tankRpm !== state.seenRpm || estimates.slow) cruise(state, estimates, shedding)
  } else if (state.turning) {
    if (want === 'off') {
      state.interrupted = true
      standStill(state)
      stand(state, estimates, want, shedding)
    } else turn(state, estimates, want, shedding)
  } else if (!(state.view.atRest && (want !== 'turn' || estimates.nowSeconds < state.nextSeconds))) {
    stand(state, estimates, want, shedding)
  }
}

/** Evenly on, far from the leg's end: what most ticks of a bath are. */
function cruise(state: AgitationState, estimates: Estimates, shedding: number): void {
  const rpm = estimates.tankRpm * state.direction
  const nowSeconds = estimates.nowSeconds
  if (shedding === state.shedding && nowSeconds < state.cruiseUntilSeconds && estimates.turningTrouble === 'none') {
    const seconds = nowSeconds - state.seenSeconds
    state.seenRpm = estimates.tankRpm
    state.seenSeconds = nowSeconds
    state.view.duty = state.direction * evenDuty(state.loop, state.topRpm, rpm, seconds, estimates)
  } else turn(state, estimates, 'turn', shedding)
}

/** Motor off, from now. */
function standStill(state: AgitationState): void {
  const view = state.view
  state.turning = false
  state.cruising = false
  state.targetRpm = 0
  state.standingSinceSeconds = NaN
  view.duty = 0
  view.targetRpm = 0
  view.direction = 0
  view.atRest = false
}

function stand(state: AgitationState, estimates: Estimates, want: Want, shedding: number): void {
  const nowSeconds = estimates.nowSeconds
  const rpm = estimates.tankRpm
  state.nextSeconds = nowSeconds
  if (rpm > STANDING_RPM || rpm < -STANDING_RPM) {
    state.standingSinceSeconds = NaN
    state.view.atRest = false
    return
  }
  state.view.atRest = true
  if (!(state.standingSinceSeconds <= nowSeconds)) state.standingSinceSeconds = nowSeconds
  if (want !== 'turn') return
  if (nowSeconds < state.waitUntilSeconds) {
    state.nextSeconds = state.waitUntilSeconds
    return
  }
  let restSeconds = state.restSeconds
  if (shedding >= 2 && restSeconds < SHED_REST_SECONDS) restSeconds = SHED_REST_SECONDS
  // A hair early is in time: ticks never add up to whole rests exactly.
  const dueSeconds = state.standingSinceSeconds + restSeconds - 0.01
  if (nowSeconds < dueSeconds) {
    state.nextSeconds = dueSeconds
    return
  }
  if (state.agitation === undefined) return
  beginLeg(state, state.agitation, estimates)
  turn(state, estimates, want, shedding)
}

function turn(state: AgitationState, estimates: Estimates, want: Want, shedding: number): void {
  state.cruising = false
  if (estimates.turningTrouble === 'stalled') giveWay(state, estimates.nowSeconds)
  else changeSpeed(state, estimates, want, shedding)
}

/** Ramps, the end of a leg, and whatever else is not turning evenly on. */
function changeSpeed(state: AgitationState, estimates: Estimates, want: Want, shedding: number): void {
  const direction = state.direction
  const rpm = estimates.tankRpm * direction
  let left = (state.endTurns - estimates.tankTurns) * direction
  if (state.retries > 0 && estimates.tankTravelTurns - state.triedFromTurns > PROVEN_TURNS) proven(state)
  if (shedding !== state.shedding || state.topRpm < 0 || estimates.turningTrouble === 'slipping') {
    setTop(state, shedding, estimates)
  }
  if (estimates.nowSeconds >= state.cruiseUntilSeconds) left = endOpening(state, estimates.tankTurns, rpm, left)
  const top = state.topRpm
  const ramp = state.legRamp
  const before = state.targetRpm
  let target = before + ramp * estimates.tickSeconds
  if (target > top) target = top
  const room = left - (rpm * LEAD_SECONDS) / 60
  // v^2 = 2 a s, with rpm and turns: (v / 60)^2 = 2 (a / 60) s. A root is taken only where it is needed.
  if (target * target > 120 * ramp * room || want === 'rest') brake(state, estimates, rpm, room, want)
  else {
    state.targetRpm = target
    state.view.targetRpm = target * direction
    if (before >= top) {
      state.view.duty = direction * evenDuty(state.loop, top, rpm, estimates.tickSeconds, estimates)
      state.cruising = state.retries === 0
      state.seenRpm = estimates.tankRpm
      state.seenSeconds = estimates.nowSeconds
    } else {
      const ahead = target + ramp * LEAD_SECONDS
      state.view.duty = direction * risingDuty(state.loop, target, rpm, ahead < top ? ahead : top, estimates)
    }
  }
}

/** Towards the reversal point, or to rest where it is wanted before. */
function brake(state: AgitationState, estimates: Estimates, rpm: number, room: number, want: Want): void {
  const ramp = state.legRamp
  let target = state.targetRpm - ramp * estimates.tickSeconds
  if (want === 'rest') {
    state.interrupted = true
    if (target * target > 120 * ramp * room) target = Math.sqrt(120 * ramp * room)
  } else target = Math.sqrt(120 * ramp * room)
  // Past the point there is no root, and the motor stops. A tank that friction stops short of the reversal point has ended its leg too: nothing would get it there.
  if (!(target > STOP_RPM) || rpm < STANDING_RPM) standStill(state)
  else {
    state.targetRpm = target
    state.view.targetRpm = target * state.direction
    state.view.duty = state.direction * brakingDuty(state.loop, target, rpm, estimates)
  }
}

/** The speed of this leg (the recipe's, less when load is shed, never above the base's), and how far from its end it stays even. */
function setTop(state: AgitationState, shedding: number, estimates: Estimates): void {
  let rpm = state.legRpm
  const agitation = state.agitation
  if (shedding >= 3 && agitation !== undefined && agitation.leastRpm !== undefined && agitation.leastRpm < rpm) {
    rpm = agitation.leastRpm
  }
  if (rpm > state.mostRpm) rpm = state.mostRpm
  // It is the rollers that must not run away: a tank that grips again at once has their speed.
  if (estimates.turningTrouble === 'slipping' && rpm > state.mostRpm * (1 - estimates.slipFraction)) {
    rpm = state.mostRpm * (1 - estimates.slipFraction)
  }
  state.shedding = shedding
  state.topRpm = rpm
  state.legRamp = state.retries > 0 ? state.rampRpmPerSecond / 2 : state.rampRpmPerSecond
  // A little early: then it is worked out exactly.
  const brakingTurns = (rpm * rpm) / (120 * state.rampRpmPerSecond) + (1.3 * rpm * LEAD_SECONDS) / 60
  state.brakeAtTurns = state.endTurns * state.direction - brakingTurns
  state.cruiseUntilSeconds =
    state.opening === 'running' ? state.openingEndsSeconds - rpm / state.rampRpmPerSecond : Infinity
}

/** The ramp has to begin for the opening to end in time: sets its reversal point. Returns the turns left. */
function endOpening(state: AgitationState, at: number, rpm: number, left: number): number {
  const ramp = state.rampRpmPerSecond
  const needed = rpm > 0 ? (rpm * rpm) / (120 * ramp) + (rpm * LEAD_SECONDS) / 60 : 0
  state.opening = 'over'
  state.cruiseUntilSeconds = Infinity
  state.brakeAtTurns = -Infinity
  if (!(needed < left)) return left
  state.endTurns = at + state.direction * needed
  return needed
}

/** The motor stalls: off, wait, and the other way round. */
function giveWay(state: AgitationState, nowSeconds: number): void {
  standStill(state)
  state.interrupted = false
  state.retries++
  state.view.retrying = true
  if (state.retries > RETRIES_AT_MOST) {
    state.view.stalledForGood = true
    state.retries = RETRIES_AT_MOST + 1
  }
  state.waitUntilSeconds = nowSeconds + (state.view.stalledForGood ? RARELY_SECONDS : STALL_WAIT_SECONDS)
}

/** The tank turns again. */
function proven(state: AgitationState): void {
  state.retries = 0
  state.topRpm = -1
  state.view.retrying = false
  state.view.stalledForGood = false
}
