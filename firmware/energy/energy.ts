/**
 * What is known of the pack, tick by tick: what turning draws, the charge left, the resistance, and when to shed load, to
 * call the operator, to stop.
 *
 * Assumes that the motor's current, where it is sensed, is what the pack gives for it, and that electronics and screen
 * draw what the base file says. Works at 10 Hz in sums; the charge at the slow ticks, the judgement every 5 s. While the pack
 * is not known nothing is counted and the last view stands: whoever drives looks at `packKnown` first.
 */
import type { AgitationView } from '../agitation/view.ts'
import type { Estimates } from '../sense/estimates.ts'
import { chargeAtEnd } from './budget.ts'
import { anchorEmpty, countCoulombs, fitToCelsius, takeRest } from './charge.ts'
import { chargeAtVolts } from './curve.ts'
import { learnLeg } from './load.ts'
import { judge } from './shed.ts'
import type { EnergyState } from './state.ts'

export { createEnergy, type EnergyState } from './state.ts'

/** A tick longer than this is a gap, not a measurement: its current is not known. */
const LONGEST_TICK_SECONDS = 2
/** A motor at rest for longer than this has no reversal going: its rests are taken once a second. */
const LONG_REST_TICKS = 12
/** Part of a new reading in the mean of steady turning. */
const CRUISE_TAKEN = 0.2
/** A step of current smaller than this says nothing about a resistance. */
const LEAST_STEP_AMPS = 0.05
/** How much the resistance follows the last reversals: the sum of squared steps that is remembered. */
const MOST_STEP_SQUARE = 2
/** Seconds in a row below the end before the pack counts as empty; and above it, by so much a cell, before no more. */
const EMPTY_SECONDS = 3
const CHARGED_SECONDS = 10
const CHARGED_CELL_VOLTS = 0.3
/** Time over which the draw is averaged. */
const WATTS_SECONDS = 30
/** The room when no second thermistor tells. */
const USUAL_ROOM_CELSIUS = 20
export const JUDGE_SECONDS = 5

/** One tick and, where it is a slow one, its second: for a caller that has no need to spread it over its ticks. */
export function tickEnergy(
  state: EnergyState,
  estimates: Estimates,
  agitation: AgitationView,
  screenOn: boolean,
): void {
  sumEnergy(state, estimates, agitation)
  if (estimates.slow && energySecond(state, estimates, screenOn)) judge(state)
}

/** One tick, in sums. `agitation` is what it did in the tick before, which is what these readings show. */
export function sumEnergy(state: EnergyState, estimates: Estimates, agitation: AgitationView): void {
  const seconds = estimates.tickSeconds
  if (estimates.packKnown && seconds > 0 && seconds < LONGEST_TICK_SECONDS) {
    const volts = estimates.packVolts
    let amps = estimates.motorAmps
    // No sense, or none that answers.
    if (!(amps < Infinity)) amps = modelledAmps(state, agitation.targetRpm, volts)
    const coulombs = amps * seconds
    state.seconds += seconds
    state.voltSeconds += volts * seconds
    state.coulombs += coulombs
    state.joules += volts * coulombs
    if (agitation.direction !== 0) turning(state, volts, amps, agitation.targetRpm)
    else if (++state.restTicks === state.restTicksNeeded) rested(state, volts, amps)
  }
  if (agitation.legs !== state.legs) newLeg(state, agitation.legs, estimates.tankTravelTurns)
}

function modelledAmps(state: EnergyState, targetRpm: number, volts: number): number {
  return (state.load.fileJoulesPerTurn * (targetRpm < 0 ? -targetRpm : targetRpm)) / (60 * volts)
}

/** Steady or rising speed: what the motor draws before the ramp down. */
function turning(state: EnergyState, volts: number, amps: number, targetRpm: number): void {
  const rpm = targetRpm < 0 ? -targetRpm : targetRpm
  state.restTicks = 0
  if (rpm >= state.lastRpm) {
    if (rpm > state.legRpm) state.legRpm = rpm
    const before = state.cruiseVolts
    if (!isNaN(before)) {
      state.cruiseVolts = before + CRUISE_TAKEN * (volts - before)
      state.cruiseAmps += CRUISE_TAKEN * (amps - state.cruiseAmps)
    } else {
      state.cruiseVolts = volts
      state.cruiseAmps = amps
    }
  }
  state.lastRpm = rpm
}

/** The motor rests in a reversal: the step in volts over the step in amps is the resistance, the volts are the charge. */
function rested(state: EnergyState, volts: number, amps: number): void {
  const stepAmps = state.cruiseAmps - amps
  const stepVolts = volts - state.cruiseVolts
  if (stepAmps > LEAST_STEP_AMPS && isFinite(stepVolts)) {
    if (state.stepSquare > MOST_STEP_SQUARE) {
      const kept = MOST_STEP_SQUARE / state.stepSquare
      state.stepSquare *= kept
      state.stepProduct *= kept
    }
    state.stepSquare += stepAmps * stepAmps
    state.stepProduct += stepAmps * stepVolts
    const ohms = state.stepProduct / state.stepSquare
    const least = state.fileOhms * 0.2
    const most = state.fileOhms * 5
    state.view.resistanceOhms = ohms < least ? least : ohms > most ? most : ohms
  }
  state.cruiseVolts = NaN
  state.lastRpm = 0
  takeRest(state.charge, volts, amps + state.electronicsWatts / volts, state.view.resistanceOhms)
}

function newLeg(state: EnergyState, legs: number, travelTurns: number): void {
  const joules = state.motorJoules + state.joules
  learnLeg(state.load, state.legRpm, joules - state.legBeganJoules, travelTurns - state.legTurnsBefore)
  state.legs = legs
  state.legBeganJoules = joules
  state.legRpm = 0
  state.lastRpm = 0
  state.legTurnsBefore = travelTurns
}

/** Once a second: coulombs to charge, watts, the end of discharge. True every 5 s, when `judge` is to follow. */
export function energySecond(state: EnergyState, estimates: Estimates, screenOn: boolean): boolean {
  const seconds = state.seconds
  if (!(seconds > 0)) return false
  const view = state.view
  const charge = state.charge
  const volts = state.voltSeconds / seconds
  const otherWatts = state.electronicsWatts + (screenOn ? state.screenWatts : 0)
  const amps = state.coulombs / seconds + otherWatts / volts
  const joules = state.joules + otherWatts * seconds
  const knownBefore = charge.known
  state.motorJoules += state.joules
  state.seconds = 0
  state.voltSeconds = 0
  state.coulombs = 0
  state.joules = 0
  if (!charge.known) {
    fitToCelsius(charge, estimates.roomCelsius > -40 ? estimates.roomCelsius : USUAL_ROOM_CELSIUS)
  }
  countCoulombs(charge, amps, seconds, view.resistanceOhms)
  if (state.restTicks > LONG_REST_TICKS) takeRest(charge, volts, amps, view.resistanceOhms)
  state.spentJoules += joules
  const taken = seconds < WATTS_SECONDS ? seconds / WATTS_SECONDS : 1
  state.watts += taken * (joules / seconds - state.watts)
  if (charge.known) {
    view.charge = charge.charge
    view.chargeSigma = Math.sqrt(charge.chargeVariance)
  } else {
    view.charge = chargeAtVolts(charge.curve, (volts + amps * view.resistanceOhms) / charge.cells)
    view.chargeSigma = 0.2
  }
  watchEnd(state, volts, amps, seconds)
  state.judgeSeconds += seconds
  if (state.judgeSeconds >= JUDGE_SECONDS || !state.read || charge.known !== knownBefore) {
    state.read = true
    state.judgeSeconds = 0
    return true
  }
  return false
}

/**
 * The cell maker's end of discharge is stated under a load of 0.2 C. A motor that draws more dips lower by its excess over
 * the pack's resistance, which is added back; so a start from rest does not end a session.
 */
function watchEnd(state: EnergyState, volts: number, amps: number, seconds: number): void {
  const excess = amps > state.ratingAmps ? amps - state.ratingAmps : 0
  const rated = volts + excess * state.view.resistanceOhms
  if (!state.view.empty) {
    state.emptySeconds = rated < state.emptyPackVolts ? state.emptySeconds + seconds : 0
    if (state.emptySeconds >= EMPTY_SECONDS - 0.05) {
      state.view.empty = true
      state.chargedSeconds = 0
      anchorEmpty(state.charge, chargeAtEnd(state))
    }
    return
  }
  const charged = state.emptyPackVolts + CHARGED_CELL_VOLTS * state.charge.cells
  state.chargedSeconds = rated > charged ? state.chargedSeconds + seconds : 0
  if (state.chargedSeconds >= CHARGED_SECONDS - 0.05) {
    state.view.empty = false
    state.emptySeconds = 0
  }
}
