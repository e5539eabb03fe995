/**
 * What an event does to a session: looks it up in the table, goes to the next state and carries out the action.
 *
 * This is the only place that changes `state`, `want` and `underway`, so that the motor is asked for exactly what the
 * state says. Times handed in are moments of presses where there was one: what the tank holds is dated by them.
 */

import { resolveAlarm } from './alarms.ts'
import {
  DRAIN_FORGOTTEN,
  FILL_FORGOTTEN,
  FILM_WAITS,
  FILM_WAITS_DEVELOPED,
  HOLD_FORGOTTEN,
  POUR_OUT_OVERDUE,
} from './alarmTable.ts'
import { emit } from './events.ts'
import { expectedPourCelsius, expectedPourSigmaCelsius } from './pour.ts'
import type { Session } from './session.ts'
import { type SessionAction, type SessionHappening, TRANSITIONS, WANTS } from './table.ts'

/** How long a refusal stays on the screen (assumed: twice the time to read two short lines). */
export const REFUSAL_SHOWN_SECONDS = 4

/** What of the tank in the base's hands ends an alarm that a person's press has answered. */
const ANSWERED_BY_PRESS = [HOLD_FORGOTTEN, FILL_FORGOTTEN, DRAIN_FORGOTTEN, FILM_WAITS, FILM_WAITS_DEVELOPED]

/** Carries out an event. Gives false when the table refuses it, which then was said to the operator if it was a press. */
export function fire(session: Session, happening: SessionHappening, atSeconds: number): boolean {
  const step = TRANSITIONS[session.state][happening]
  if (step.next === 'same') {
    if (!isOfTheBase(happening)) {
      refusePress(session, step.refusal, atSeconds)
      if (step.asks) {
        session.asked = happening === 'holdLong' ? 'abandon' : 'advance'
        session.askedSeconds = atSeconds
      }
    }
    return false
  }
  const last = session.bathIndex >= session.recipe.baths.length - 1
  const startsOnInsistence = session.state === 'planned' && happening === 'insist'
  if (startsOnInsistence) session.insistedOnCharge = true
  const nextState = last && step.nextAfterLast !== 'same' ? step.nextAfterLast : step.next
  act(session, step.action, atSeconds)
  session.state = nextState
  // Only a hold that came with the dark asks for it, and whatever ends that hold ends the question.
  session.darkAt = -1
  session.want = WANTS[nextState]
  session.stateSeconds = atSeconds
  if (nextState === 'finished') emit(session, 'sessionFinished', atSeconds, NaN, 0, '')
  if (!isOfTheBase(happening)) answered(session)
  return true
}

/** A press that does nothing: an event, and words on the screen. */
export function refusePress(session: Session, reason: string, atSeconds: number): void {
  session.refusal = reason
  session.refusalUntilSeconds = atSeconds + REFUSAL_SHOWN_SECONDS
  emit(session, 'refused', atSeconds, NaN, 0, reason)
}

function isOfTheBase(happening: SessionHappening): boolean {
  return happening === 'cue' || happening === 'driveUnsafe' || happening === 'driveSafe'
}

function answered(session: Session): void {
  session.refusal = ''
  session.asked = 'none'
  if (session.alarms.active === 0) return
  for (let i = 0; i < ANSWERED_BY_PRESS.length; i++) resolveAlarm(session.alarms, ANSWERED_BY_PRESS[i])
  // A hold that begins or ends while the cue stands pours nothing out.
  if (session.state !== 'due' && session.state !== 'heldDue') resolveAlarm(session.alarms, POUR_OUT_OVERDUE)
}

function act(session: Session, action: SessionAction, atSeconds: number): void {
  switch (action) {
    case 'none':
      break
    case 'beginFill':
      beginFill(session, atSeconds)
      break
    case 'beginTurning':
      session.fillSeconds = atSeconds - session.underway.sinceSeconds
      contain(session, 'full', atSeconds)
      emit(session, 'turningBegun', atSeconds, session.fillSeconds, 0, '')
      break
    case 'giveCue':
      session.cueGiven = true
      session.cueSeconds = atSeconds
      emit(session, 'cueGiven', atSeconds, NaN, 0, '')
      break
    case 'hold':
      session.restingSinceSeconds = atSeconds
      emit(session, 'held', atSeconds, NaN, 0, '')
      break
    case 'endHold':
      emit(session, 'holdEnded', atSeconds, atSeconds - session.restingSinceSeconds, 0, '')
      session.restingSinceSeconds = NaN
      break
    case 'stop':
      session.restingSinceSeconds = atSeconds
      session.stopAcknowledged = false
      emit(session, 'stopped', atSeconds, NaN, 0, '')
      break
    case 'restart':
      emit(session, 'restarted', atSeconds, atSeconds - session.restingSinceSeconds, 0, '')
      session.restingSinceSeconds = NaN
      break
    case 'beginDrain':
      // A press that was made before the cue says nothing of how fast the operator answers one.
      session.reactionSeconds = atSeconds >= session.cueSeconds ? atSeconds - session.cueSeconds : NaN
      session.cueGiven = true
      session.restingSinceSeconds = NaN
      contain(session, 'draining', atSeconds)
      emit(session, 'drainBegun', atSeconds, session.reactionSeconds, 0, '')
      break
    case 'endBath':
      session.drainSeconds = atSeconds - session.underway.sinceSeconds
      endBath(session, atSeconds, session.drainSeconds)
      break
    case 'abandon':
      if (session.underway.contents !== 'empty') endBath(session, atSeconds, NaN)
      session.restingSinceSeconds = NaN
      emit(session, 'sessionAbandoned', atSeconds, NaN, 0, '')
      break
    default:
      unreachable(action)
  }
}

function beginFill(session: Session, atSeconds: number): void {
  const underway = session.underway
  const bathIndex = session.bathIndex
  const millilitres = session.millilitres
  underway.bathIndex = bathIndex
  underway.millilitres = millilitres[bathIndex < millilitres.length ? bathIndex : millilitres.length - 1]
  underway.pourCelsius = expectedPourCelsius(session.recipe, bathIndex)
  underway.pourSigmaCelsius = expectedPourSigmaCelsius(session.recipe, bathIndex)
  underway.rate = session.rates[bathIndex]
  underway.startsWhen = session.recipe.baths[bathIndex].startsWhen === 'full' ? 'full' : 'contact'
  contain(session, 'filling', atSeconds)
  session.contactSeconds = atSeconds
  session.cueSeconds = NaN
  session.cueGiven = false
  session.fillSeconds = NaN
  session.reactionSeconds = NaN
  session.drainSeconds = NaN
  emit(session, 'bathBegun', atSeconds, NaN, 0, '')
}

function endBath(session: Session, atSeconds: number, drainSeconds: number): void {
  contain(session, 'empty', atSeconds)
  session.underway.rate = undefined
  session.cueGiven = true
  session.contactSeconds = NaN
  emit(session, 'bathEnded', atSeconds, drainSeconds, 0, '')
  session.cueSeconds = NaN
  if (!isNaN(drainSeconds) && session.bathIndex < session.recipe.baths.length - 1) session.bathIndex++
}

function contain(session: Session, contents: Session['underway']['contents'], sinceSeconds: number): void {
  session.underway.contents = contents
  session.underway.sinceSeconds = sinceSeconds
}

/** The compiler shows that no action is left out; should one ever be, nothing happens. */
function unreachable(_action: never): void {}
