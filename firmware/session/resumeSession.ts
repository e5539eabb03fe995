/**
 * Puts a session back to where it stood when the power went. The motor rests until a person presses: what turned is
 * held, whatever had been asked of it; a cue that stood stands again.
 */

import type { Contents } from '../sense/underway.ts'
import { raiseAlarm } from './alarms.ts'
import { POWER_WAS_GONE } from './alarmTable.ts'
import { expectedPourCelsius, expectedPourSigmaCelsius } from './pour.ts'
import type { Session } from './session.ts'
import { type SessionState, WANTS } from './table.ts'

export interface SessionBefore {
  state: SessionState
  bathIndex: number
  cueGiven: boolean
  insistedOnCharge: boolean
  /** Of the bath's first contact and of what the tank holds, up to now; NaN where there is none. */
  bathSeconds: number
  contentsSeconds: number
}

/** What a state becomes over a power cut. */
export function stateAfterDark(state: SessionState): SessionState {
  switch (state) {
    case 'turning':
    case 'stopped':
      return 'held'
    case 'due':
    case 'stoppedDue':
      return 'heldDue'
    default:
      return state
  }
}

/** True of a state in which a session is under way. */
export function isUnderWay(state: SessionState): boolean {
  return state !== 'planned' && state !== 'finished' && state !== 'abandoned'
}

function contentsOf(state: SessionState): Contents {
  switch (state) {
    case 'filling':
    case 'fillingDue':
      return 'filling'
    case 'held':
    case 'heldDue':
      return 'full'
    case 'draining':
      return 'draining'
    default:
      return 'empty'
  }
}

/** `session` is planned with the same recipe. An alarm says that the power was gone; whoever goes on writes it down. */
export function resumeSession(session: Session, before: SessionBefore, nowSeconds: number): void {
  const underway = session.underway
  const bathIndex = before.bathIndex
  const state = stateAfterDark(before.state)
  session.state = state
  session.want = WANTS[state]
  session.stateSeconds = nowSeconds
  session.bathIndex = bathIndex
  session.insistedOnCharge = before.insistedOnCharge
  session.stopAcknowledged = false
  underway.contents = contentsOf(state)
  underway.sinceSeconds = nowSeconds - before.contentsSeconds
  underway.motorDuty = 0
  if (underway.contents === 'empty') session.cueGiven = true
  else {
    const millilitres = session.millilitres
    session.cueGiven = before.cueGiven
    session.contactSeconds = nowSeconds - before.bathSeconds
    session.cueSeconds = before.cueGiven ? nowSeconds : NaN
    underway.bathIndex = bathIndex
    underway.millilitres = millilitres[bathIndex < millilitres.length ? bathIndex : millilitres.length - 1]
    underway.pourCelsius = expectedPourCelsius(session.recipe, bathIndex)
    underway.pourSigmaCelsius = expectedPourSigmaCelsius(session.recipe, bathIndex)
    underway.rate = session.rates[bathIndex]
    underway.startsWhen = session.recipe.baths[bathIndex].startsWhen === 'full' ? 'full' : 'contact'
  }
  if (state === 'held' || state === 'heldDue') session.restingSinceSeconds = nowSeconds
  raiseAlarm(session.alarms, POWER_WAS_GONE, bathIndex, nowSeconds)
}
