/**
 * While a session runs: how far to shed load so that the charge lasts, and when to call the operator to turn by hand.
 *
 * Shedding goes one step at a time and is given back with hysteresis; the call comes in time to be of use. Assumes that
 * the budget was reckoned when the bath began.
 */
import { marginOver, neededAt, ONE_SIDED_95, writeLeft, writeNeed } from './budget.ts'
import type { EnergyState } from './state.ts'

/** The promise: the operator is called at least this long before the pack is empty. */
export const CALL_LEAD_SECONDS = 120
/** Called earlier by this, for the end of discharge is only known so well (assumed). */
const CALL_RESERVE_SECONDS = 60
/** Judgements, 5 s apart, before one more step is shed, and before one is given back; and by how much it must fit. */
const SHED_WAITS = 2
const RESTORE_WAITS = 12
const RESTORE_FACTOR = 1.1

/** Every 5 s: what is left against what is needed; while a session runs, the shedding and the call. */
export function judge(state: EnergyState): void {
  writeLeft(state)
  if (!state.budgeted) return
  if (state.underway) {
    shed(state)
    callWhenShort(state)
  }
  writeNeed(state)
}

/** One step at a time, after waiting: each step has to show what it saves before the next one is taken. */
function shed(state: EnergyState): void {
  const view = state.view
  const level = view.shedding
  const needed = neededAt(state, level)
  if (view.leftJoules < needed + marginOver(state, needed)) {
    state.levelWaits = state.levelWaits > 0 ? state.levelWaits + 1 : 1
    if (state.levelWaits >= SHED_WAITS && level < 3) moveTo(state, (level + 1) as 1 | 2 | 3)
    return
  }
  const before = level > 0 ? neededAt(state, level - 1) * RESTORE_FACTOR : Infinity
  if (view.leftJoules < before + marginOver(state, before)) {
    state.levelWaits = 0
    return
  }
  state.levelWaits = state.levelWaits < 0 ? state.levelWaits - 1 : -1
  if (state.levelWaits <= -RESTORE_WAITS) moveTo(state, (level - 1) as 0 | 1 | 2)
}

/** Another level: what was spent so far is taken off all levels in proportion, so that counting starts afresh. */
function moveTo(state: EnergyState, level: 0 | 1 | 2 | 3): void {
  for (let i = 0; i < state.needed.length; i++) {
    if (i !== state.view.shedding) state.needed[i] = neededAt(state, i)
  }
  state.needed[state.view.shedding] = neededAt(state, state.view.shedding)
  state.neededAtSpentJoules = state.spentJoules
  state.view.shedding = level
  state.levelWaits = 0
}

/** Turning by hand has to be called for when the rest cannot be finished and the cautious time left is down to the lead. */
function callWhenShort(state: EnergyState): void {
  const view = state.view
  const cautious = view.leftJoules - ONE_SIDED_95 * view.leftSigmaJoules
  const seconds = cautious / state.watts
  if (!view.callByHand) {
    view.callByHand =
      view.empty || (seconds < CALL_LEAD_SECONDS + CALL_RESERVE_SECONDS && cautious < neededAt(state, 3))
  } else if (!view.empty && seconds > 2 * (CALL_LEAD_SECONDS + CALL_RESERVE_SECONDS)) view.callByHand = false
}
