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
 * When load is shed, rests become longer (`SHED_REST_SECONDS` in all), because the motor takes most of the power and
 * nothing while the tank stands: two-turn legs at 45 rpm then take a third less. Last, the speed falls to `leastRpm`.
 */
import type { BaseFile } from '../baseFile.ts'
import type { Agitation } from '../recipe/recipe.ts'
import type { Estimates } from '../sense/estimates.ts'
import { legTurnsOf, SHORTEST_LEG_TURNS, withinNet } from './legs.ts'
import { createSpeedLoop, dutyFor, type SpeedLoop } from './speedLoop.ts'
import type { AgitationView } from './view.ts'

/** What the session wants: turn by the programme; stop gently and keep the place in it; or motor off at once. */
export type Want = 'turn' | 'rest' | 'off'

export interface AgitationState {
  view: AgitationView
  loop: SpeedLoop
  mostRpm: number
  baseRestSeconds: number

  /** The programme, and what is worked out from it. `undefined` before the first. */
  agitation: Agitation | undefined
  restSeconds: number
  rampRpmPerSecond: number
  netTurnsAtMost: number

  turning: boolean
  /** The leg under way or interrupted: its direction, reversal point and speed. 0 before the first leg. */
  direction: -1 | 0 | 1
  endTurns: number
  legRpm: number
  /** The leg was interrupted on its way, and goes on after the rest. */
  interrupted: boolean
  legIndex: number
  /** The opening spell still to come or under way; when it is over (monotonic seconds). */
  opening: 'due' | 'running' | 'over'
  openingEndsSeconds: number
  /** Not signed: the target of the last tick. */
  targetRpm: number
  /** Since when the tank has stood; and not to be driven before. */
  standingSinceSeconds: number
  waitUntilSeconds: number
  /** Failed tries since the motor last turned the tank by `PROVEN_TURNS`; and where the try began. */
  retries: number
  triedFromTurns: number
}

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
/** Further from the reversal point than a miss explains: the sequence goes on from where the tank is. Assumed. */
const PLAN_MISS_TURNS = 0.2

export function createAgitation(base: BaseFile): AgitationState {
  return {
    view: {
      duty: 0,
      targetRpm: 0,
      direction: 0,
      legs: 0,
      reversals: 0,
      atRest: true,
      stalledForGood: false,
      retrying: false,
    },
    loop: createSpeedLoop(base),
    mostRpm: base.drive.mostRpm,
    baseRestSeconds: base.drive.restSecondsAtLeast,
    agitation: undefined,
    restSeconds: base.drive.restSecondsAtLeast,
    rampRpmPerSecond: 60,
    netTurnsAtMost: NaN,
    turning: false,
    direction: 0,
    endTurns: 0,
    legRpm: 0,
    interrupted: false,
    legIndex: 0,
    opening: 'over',
    openingEndsSeconds: 0,
    targetRpm: 0,
    standingSinceSeconds: NaN,
    waitUntilSeconds: 0,
    retries: 0,
    triedFromTurns: 0,
  }
}

/** A bath's turning begins with `agitation` (checked), at `nowSeconds`. A turning tank first comes to rest. */
export function beginProgramme(state: AgitationState, agitation: Agitation, nowSeconds: number): void {
  state.agitation = agitation
  state.restSeconds = agitation.restSeconds > state.baseRestSeconds ? agitation.restSeconds : state.baseRestSeconds
  state.rampRpmPerSecond = agitation.rpm / agitation.rampSeconds
  state.netTurnsAtMost = agitation.netTurnsAtMost === undefined ? NaN : agitation.netTurnsAtMost
  state.opening = agitation.opening === undefined ? 'over' : 'due'
  state.legIndex = 0
  state.interrupted = false
  state.direction = 0
  state.waitUntilSeconds = nowSeconds
  state.retries = 0
  state.view.legs = 0
  state.view.reversals = 0
  state.view.stalledForGood = false
  state.view.retrying = false
  if (state.turning) standStill(state)
}

/** Every tick: decides `view.duty`. `shedding` as in EnergyView. */
export function tickAgitation(state: AgitationState, estimates: Estimates, want: Want, shedding: 0 | 1 | 2 | 3): void {
  if (want === 'off' && state.turning) {
    state.interrupted = true
    standStill(state)
  }
  if (state.turning) turn(state, estimates, want, shedding)
  else stand(state, estimates, want, shedding)
}

/** Motor off, from now. */
function standStill(state: AgitationState): void {
  const view = state.view
  state.turning = false
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
  if (rpm > STANDING_RPM || rpm < -STANDING_RPM) {
    state.standingSinceSeconds = NaN
    state.view.atRest = false
    return
  }
  state.view.atRest = true
  if (!(state.standingSinceSeconds <= nowSeconds)) state.standingSinceSeconds = nowSeconds
  if (want !== 'turn' || nowSeconds < state.waitUntilSeconds) return
  let restSeconds = state.restSeconds
  if (shedding >= 2 && restSeconds < SHED_REST_SECONDS) restSeconds = SHED_REST_SECONDS
  // A hair early is in time: ticks never add up to whole rests exactly.
  if (nowSeconds - state.standingSinceSeconds < restSeconds - 0.01) return
  if (state.agitation === undefined) return
  beginLeg(state, state.agitation, estimates)
  turn(state, estimates, want, shedding)
}

/** Chooses where the tank turns next, and starts. */
function beginLeg(state: AgitationState, agitation: Agitation, estimates: Estimates): void {
  const at = estimates.tankTurns
  const before = state.direction
  const isSameLeg = state.interrupted && (state.endTurns - at) * state.direction >= SHORTEST_LEG_TURNS
  if (!isSameLeg) {
    if (state.opening === 'due') planOpening(state, agitation, estimates)
    else planLeg(state, agitation, at)
    if (before !== 0 && before !== state.direction) state.view.reversals++
    state.view.legs++
  }
  state.interrupted = false
  state.turning = true
  state.triedFromTurns = estimates.tankTravelTurns
  state.view.atRest = false
  state.view.direction = state.direction
  state.view.retrying = state.retries > 0
}

/** One way, away from the turns that a cable may already have taken; ends by time, or where the net bound is. */
function planOpening(state: AgitationState, agitation: Agitation, estimates: Estimates): void {
  const opening = agitation.opening
  if (opening === undefined) return
  const at = estimates.tankTurns
  state.opening = 'running'
  state.openingEndsSeconds = estimates.nowSeconds + opening.seconds
  state.direction = at > 0 ? -1 : 1
  // Nearer than this the time ends it; further no opening of the longest recipe gets.
  state.endTurns = withinNet(at + state.direction * 1e6, state.netTurnsAtMost)
  state.legRpm = opening.rpm
}

function planLeg(state: AgitationState, agitation: Agitation, at: number): void {
  state.opening = 'over'
  // From where the sequence has come, so that misses do not add up; from the truth after a disturbance.
  const missed = state.endTurns - at
  const from = state.direction !== 0 && missed < PLAN_MISS_TURNS && missed > -PLAN_MISS_TURNS ? state.endTurns : at
  const turns = legTurnsOf(agitation, state.legIndex++)
  const before = state.direction
  state.direction = before === 0 ? (at > 0 ? -1 : 1) : before > 0 ? -1 : 1
  state.endTurns = withinNet(from + state.direction * turns, state.netTurnsAtMost)
  if ((state.endTurns - at) * state.direction < SHORTEST_LEG_TURNS) {
    state.direction = state.direction > 0 ? -1 : 1
    state.endTurns = withinNet(from + state.direction * turns, state.netTurnsAtMost)
  }
  state.legRpm = agitation.rpm
}

/** The speed of this leg: the recipe's, less when load is shed, never above the base's. */
function topRpm(state: AgitationState, shedding: number): number {
  let rpm = state.legRpm
  const agitation = state.agitation
  if (shedding >= 3 && agitation !== undefined && agitation.leastRpm !== undefined && agitation.leastRpm < rpm) {
    rpm = agitation.leastRpm
  }
  return rpm < state.mostRpm ? rpm : state.mostRpm
}

function turn(state: AgitationState, estimates: Estimates, want: Want, shedding: number): void {
  if (estimates.turningTrouble === 'stalled') {
    giveWay(state, estimates.nowSeconds)
    return
  }
  if (state.retries > 0 && estimates.tankTravelTurns - state.triedFromTurns > PROVEN_TURNS) proven(state)
  const ramp = state.retries > 0 ? state.rampRpmPerSecond / 2 : state.rampRpmPerSecond
  const rpm = estimates.tankRpm * state.direction
  let left = (state.endTurns - estimates.tankTurns) * state.direction
  if (want === 'rest' || (state.opening === 'running' && isOpeningOver(state, estimates.nowSeconds, ramp))) {
    left = endHere(state, estimates.tankTurns, rpm, ramp, left, want)
  }
  const room = left - (rpm * LEAD_SECONDS) / 60
  let target = state.targetRpm + ramp * estimates.tickSeconds
  const top = topRpm(state, shedding)
  if (target > top) target = top
  // v^2 = 2 a s, with rpm and turns: (v / 60)^2 = 2 (a / 60) s.
  const brakable = room > 0 ? 120 * ramp * room : 0
  const braking = target * target > brakable
  if (braking) {
    target = Math.sqrt(brakable)
    if (!(target > STOP_RPM)) {
      standStill(state)
      return
    }
  }
  const stretch = braking ? 'braking' : target > state.targetRpm ? 'rising' : 'even'
  state.targetRpm = target
  state.view.targetRpm = target * state.direction
  state.view.duty =
    state.direction *
    dutyFor(state.loop, target, rpm, stretch, stretch === 'rising' ? aheadOf(target, ramp, top) : target, estimates)
}

/** Where a rising target will be when the drive has followed. */
function aheadOf(target: number, ramp: number, top: number): number {
  const ahead = target + ramp * LEAD_SECONDS
  return ahead > top ? top : ahead
}

function isOpeningOver(state: AgitationState, nowSeconds: number, ramp: number): boolean {
  return nowSeconds >= state.openingEndsSeconds - state.targetRpm / ramp
}

/** Brings the leg to its end as soon as the ramp allows; an interrupted one keeps its reversal point. Returns the turns left. */
function endHere(state: AgitationState, at: number, rpm: number, ramp: number, left: number, want: Want): number {
  const needed = rpm > 0 ? (rpm * rpm) / (120 * ramp) + (rpm * LEAD_SECONDS) / 60 : 0
  if (want === 'rest') {
    state.interrupted = true
  } else {
    state.opening = 'over'
    if (needed < left) {
      state.endTurns = at + state.direction * needed
    }
  }
  return needed < left ? needed : left
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
  state.view.retrying = false
  state.view.stalledForGood = false
}
