/**
 * Where the tank turns next: the opening, then leg after leg; or the rest of a leg that was interrupted.
 *
 * Reversal points are angles of the tank in the frame of `tankTurns`. Where no sensor sees the tank they drift with what
 * is believed; nothing here has to know.
 */
import type { Agitation } from '../recipe/recipe.ts'
import type { Estimates } from '../sense/estimates.ts'
import { legTurnsOf, SHORTEST_LEG_TURNS, withinNet } from './legs.ts'
import type { AgitationState } from './state.ts'

/** Further from the reversal point than a miss explains: the sequence goes on from where the tank is. Assumed. */
const PLAN_MISS_TURNS = 0.2

/** Chooses where the tank turns next, and starts. */
export function beginLeg(state: AgitationState, agitation: Agitation, estimates: Estimates): void {
  const at = estimates.tankTurns
  const before = state.direction
  const isOpeningOver = state.opening === 'running' && !(estimates.nowSeconds < state.openingEndsSeconds)
  const isSameLeg = state.interrupted && !isOpeningOver && (state.endTurns - at) * state.direction >= SHORTEST_LEG_TURNS
  if (!isSameLeg) {
    if (state.opening === 'due') planOpening(state, agitation, estimates)
    else planLeg(state, agitation, at)
    if (before !== 0 && before !== state.direction) state.view.reversals++
    state.view.legs++
  }
  state.interrupted = false
  state.topRpm = -1
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
