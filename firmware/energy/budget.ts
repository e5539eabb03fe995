/**
 * What the rest of a session needs and what the pack still gives: enough or not.
 *
 * Needed: turns of each programme times what a turn was learned to cost, plus electronics for the time, times what
 * sessions were learned to take against their budget. Left: charge down to the end of discharge over what a coulomb
 * is of it, times the resting voltage on the way, less what the resistance takes. Both with one sigma. Assumes a checked
 * recipe; a number that is not one counts as "the whole bath".
 */
import type { Agitation, Recipe } from '../recipe/recipe.ts'
import type { Tank } from '../tank/tank.ts'
import { fitToCelsius } from './charge.ts'
import { areaToCharge, chargeAtVolts, voltsAtCharge } from './curve.ts'
import { expectedSeconds } from './duration.ts'
import { joulesPerTurn, turnSpread } from './load.ts'
import type { EnergyState } from './state.ts'

/** Not being able to finish is called out when its chance is above one in twenty. */
export const ONE_SIDED_95 = 1.645
/** Taking a bottle, pouring out, the next bottle: between two baths, with the motor at rest (assumed). */
export const HANDLING_SECONDS = 20
/** Longer rests and fewer legs at the second level of shedding save about this part of the turning (assumed). */
const REST_SHEDDING = 0.85
/** One sigma of a budget's time, as a fraction: before and after sessions were learned from (assumed). */
const FIRST_SPREAD = 0.1
const LEARNED_SPREAD = 0.03
/** Tank turns in so many seconds of an agitation programme: legs of a trapezium each, with its rest. */
export function turnsIn(agitation: Agitation, seconds: number, restSecondsAtLeast: number): number {
  const opening = agitation.opening
  const openingSeconds = opening === undefined ? 0 : Math.min(opening.seconds, seconds)
  const openingTurns = opening === undefined ? 0 : (openingSeconds * opening.rpm) / 60
  const rest = agitation.restSeconds > restSecondsAtLeast ? agitation.restSeconds : restSecondsAtLeast
  const legSeconds = (agitation.legTurns * 60) / agitation.rpm + agitation.rampSeconds + rest
  return openingTurns + ((seconds - openingSeconds) / legSeconds) * agitation.legTurns
}

function rememberRecipe(state: EnergyState, recipe: Recipe): void {
  if (state.recipe === recipe) return
  state.recipe = recipe
  state.bathSeconds = []
  for (let i = 0; i < recipe.baths.length; i++) {
    state.bathSeconds.push(expectedSeconds(recipe.baths[i], NaN, 0, recipe.pour.fillSeconds))
  }
}

/** Writes `state.needed` for the baths from `fromBathIndex` on, and the spread of it. */
function reckonNeed(state: EnergyState, recipe: Recipe, fromBathIndex: number, secondsLeftInBath: number): void {
  rememberRecipe(state, recipe)
  let allSeconds = 0
  let turning = 0
  let slowed = 0
  let spread = 0
  for (let i = fromBathIndex > 0 ? fromBathIndex : 0; i < recipe.baths.length; i++) {
    const whole = !(i === fromBathIndex && secondsLeftInBath >= 0)
    const seconds = whole ? state.bathSeconds[i] : secondsLeftInBath
    const agitation = recipe.agitations[recipe.baths[i].agitation]
    const still = recipe.pour.drainSeconds + (whole ? recipe.pour.fillSeconds : 0)
    const joules =
      turnsIn(agitation, seconds > still ? seconds - still : 0, state.restSecondsAtLeast) *
      joulesPerTurn(state.load, agitation.rpm)
    allSeconds += seconds + HANDLING_SECONDS
    turning += joules
    slowed += joules * (agitation.leastRpm === undefined ? 1 : agitation.leastRpm / agitation.rpm)
    spread += joules * turnSpread(state.load, agitation.rpm)
  }
  const factor = state.sessionFactor
  const electronics = state.electronicsWatts * allSeconds
  state.needed[0] = factor * (turning + electronics + state.screenWatts * allSeconds)
  state.needed[1] = factor * (turning + electronics)
  state.needed[2] = factor * (turning * REST_SHEDDING + electronics)
  state.needed[3] = factor * (slowed * REST_SHEDDING + electronics)
  const known = state.sessions > 0 ? LEARNED_SPREAD : FIRST_SPREAD
  const turns = state.needed[0] > 0 ? spread / state.needed[0] : 0
  state.neededSpread = Math.sqrt(known * known + turns * turns)
}

/**
 * Reckons what the session needs from `fromBathIndex` on and judges it against what is left; the view then holds. Before
 * the first pour call it with 0 and NaN; later at every bath, or oftener, with the seconds that the running bath still
 * has. `tank` is not needed yet: what its load costs is learned by turning it.
 */
export function budgetSession(
  state: EnergyState,
  recipe: Recipe,
  _tank: Tank | undefined,
  fromBathIndex: number,
  secondsLeftInBath: number,
): void {
  reckonNeed(state, recipe, fromBathIndex, secondsLeftInBath)
  state.neededAtSpentJoules = state.spentJoules
  state.budgeted = true
  writeLeft(state)
  writeNeed(state)
}

/** The first pour begins. Shedding and the call by hand work from here to `endSession`. */
export function beginSession(state: EnergyState): void {
  state.underway = true
  state.sessionBeganJoules = state.spentJoules
  state.levelWaits = 0
}

/** The session is over. Only one that was carried through teaches what a session of this recipe takes. */
export function endSession(state: EnergyState, finished: boolean): void {
  const recipe = state.recipe
  const spent = state.spentJoules - state.sessionBeganJoules
  if (finished && state.underway && state.view.shedding === 0 && recipe !== undefined && spent > 0) {
    reckonNeed(state, recipe, 0, NaN)
    const ratio = (spent / state.needed[0]) * state.sessionFactor
    if (ratio > 0.3 && ratio < 3) {
      state.sessions++
      state.sessionFactor += (ratio - state.sessionFactor) / Math.min(state.sessions, 4)
    }
  }
  state.underway = false
  state.budgeted = false
  state.view.shedding = 0
  state.view.callByHand = false
  state.view.neededJoules = 0
  state.view.neededSigmaJoules = 0
}

/** How many whole sessions of this recipe the pack still gives, with a fraction. Meant for between sessions. */
export function sessionsLeft(state: EnergyState, recipe: Recipe): number {
  reckonNeed(state, recipe, 0, NaN)
  state.neededAtSpentJoules = state.spentJoules
  writeLeft(state)
  return state.needed[0] > 0 ? state.view.leftJoules / state.needed[0] : 0
}

/** Charge at which the pack will be empty with the present resistance and draw. */
export function chargeAtEnd(state: EnergyState): number {
  const amps = state.watts / state.emptyPackVolts
  const rated = amps < state.ratingAmps ? amps : state.ratingAmps
  const lost = rated * state.view.resistanceOhms + state.charge.ebbVolts
  return chargeAtVolts(state.charge.curve, (state.emptyPackVolts + lost) / state.charge.cells)
}

/** What the pack gives down to the end of discharge, with one sigma from charge and capacity together. */
export function writeLeft(state: EnergyState): void {
  const view = state.view
  const f = state.charge
  const end = chargeAtEnd(state)
  const charge = view.charge > end ? view.charge : end
  const coulombs = (charge - end) / f.chargePerCoulomb
  const amps = state.watts / (voltsAtCharge(f.curve, charge) * f.cells)
  const resting = ((areaToCharge(f.curve, charge) - areaToCharge(f.curve, end)) * f.cells) / f.chargePerCoulomb
  const lost = coulombs * amps * view.resistanceOhms
  view.leftJoules = resting > lost ? resting - lost : 0
  const byCharge = (voltsAtCharge(f.curve, charge) * f.cells) / f.chargePerCoulomb
  const byCapacity = view.leftJoules / f.chargePerCoulomb
  const variance = f.known
    ? byCharge * byCharge * f.chargeVariance +
      byCapacity * byCapacity * f.perCoulombVariance -
      2 * byCharge * byCapacity * f.crossVariance
    : byCharge * byCharge * view.chargeSigma * view.chargeSigma
  view.leftSigmaJoules = variance > 0 ? Math.sqrt(variance) : 0
}

/** What is still needed at the present level, less what was spent since it was reckoned. */
export function writeNeed(state: EnergyState): void {
  const view = state.view
  const needed = neededAt(state, view.shedding)
  view.neededJoules = needed
  view.neededSigmaJoules = needed * state.neededSpread
  // Before the pack was read for the first time there is nothing to refuse on.
  view.enough = !state.read || view.leftJoules - marginOver(state, needed) >= needed
}

/** What the rest of the session needs at a level of shedding, in joules, less what was spent since it was reckoned. */
export function neededAt(state: EnergyState, level: number): number {
  const spent = state.spentJoules - state.neededAtSpentJoules
  const now = state.needed[state.view.shedding]
  const part = now > 0 ? 1 - spent / now : 0
  return part > 0 ? state.needed[level] * part : 0
}

/** By how much what is left has to be above this need, in joules, so that both spreads are covered. */
export function marginOver(state: EnergyState, needed: number): number {
  const sigma = needed * state.neededSpread
  const left = state.view.leftSigmaJoules
  return ONE_SIDED_95 * Math.sqrt(sigma * sigma + left * left)
}

/** Puts the charge where a plan assumes it (0 to 1), in a room of `roomCelsius`: for a base that is not there to be asked. */
export function assumeCharge(state: EnergyState, roomCelsius: number, charge: number): void {
  fitToCelsius(state.charge, roomCelsius)
  state.view.charge = charge
  state.view.chargeSigma = 0
  writeLeft(state)
}
