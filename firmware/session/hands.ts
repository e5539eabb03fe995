/**
 * What a press means: which event of the table it is, given what was asked before and how near the cue is.
 *
 * Wet hands press twice, too early, or only to silence an alarm. So: any press acknowledges the alarms that could be
 * heard by then; advance always does its job where it has one, and where it would be refused a press that silenced an
 * alarm stays at that; before the first pour, where nothing is lost by waiting, it also stays at that. A question
 * (start on a short pack, pour out early) is answered by the same press again, not so fast that it may be a slip.
 * After the dark, where it is asked how long it was, advance goes on to the next answer and hold takes the one shown.
 */
import type { ClockView } from '../clock/view.ts'
import type { EnergyView } from '../energy/view.ts'
import type { Estimates } from '../sense/estimates.ts'
import { fire, refusePress } from './act.ts'
import { acknowledge, HEARD_SECONDS } from './alarms.ts'
import { emit } from './events.ts'
import type { Session } from './session.ts'
import { type SessionHappening, TRANSITIONS } from './table.ts'

/** The second press of an insistence comes at least and at most so long after the first (assumed). */
export const INSIST_AFTER_SECONDS = 0.4
export const INSIST_WITHIN_SECONDS = 3
/** The question whether to abandon stands for so long (assumed). */
export const ABANDON_WITHIN_SECONDS = 10
/** So shortly before the cue a press needs no second one: a hand that has heard the warning anticipates. */
export const NEAR_CUE_SECONDS = 3
/** A press so soon after the one that began filling or draining is a slip, unless the recipe's pours are as short (assumed). */
export const SLIP_SECONDS = 1
export const SLIP_FRACTION = 0.25
/** A hand that was on its way when the same was done from afar cannot know: its press so soon after that counts with it (assumed). */
export const AFAR_SLIP_SECONDS = 1.5
export const SLIP_REASON = 'Pressed twice? The first one counts'

/** Takes the presses of this tick, in the order in which they were made. */
export function takePresses(
  session: Session,
  estimates: Estimates,
  clockView: ClockView,
  energyView: EnergyView,
): void {
  const advanceSeconds = estimates.advancePressSeconds
  const holdSeconds = estimates.holdPressSeconds
  const holdFirst = holdSeconds < advanceSeconds
  if (holdFirst) takeHold(session, holdSeconds, estimates, clockView, energyView)
  if (!isNaN(advanceSeconds)) takeAdvance(session, advanceSeconds, estimates, clockView, energyView)
  if (!holdFirst && !isNaN(holdSeconds)) takeHold(session, holdSeconds, estimates, clockView, energyView)
  // While hold does the work of advance, a long press means no more than a short one.
  if (estimates.holdLongPress && !estimates.advanceStuck) takeLongHold(session, estimates.nowSeconds)
}

function takeAdvance(
  session: Session,
  pressSeconds: number,
  estimates: Estimates,
  clockView: ClockView,
  energyView: EnergyView,
): void {
  const acknowledged = takeAcknowledgement(session, pressSeconds)
  const insists =
    session.asked === 'advance' &&
    pressSeconds - session.askedSeconds >= INSIST_AFTER_SECONDS &&
    pressSeconds - session.askedSeconds <= INSIST_WITHIN_SECONDS
  session.asked = 'none'
  const state = session.state
  if (
    isSlip(session, pressSeconds) ||
    ((state === 'ready' || state === 'draining') && isWithAfar(session, pressSeconds))
  ) {
    refusePress(session, SLIP_REASON, pressSeconds)
    return
  }
  // As long as both buttons work, a question never takes the place of what only one of them could do.
  if (session.darkAt >= 0 && !estimates.advanceStuck && !estimates.holdStuck) {
    if (!acknowledged) nextAnswer(session, pressSeconds)
    return
  }
  let happening: SessionHappening = 'advance'
  if (insists) happening = 'insist'
  else if (session.state === 'planned' && !(energyView.enough && estimates.packKnown)) happening = 'advanceShort'
  else if (!session.cueGiven && clockView.cueAtSeconds - pressSeconds <= NEAR_CUE_SECONDS) {
    if (session.state !== 'filling') happening = 'insist'
  }
  if (acknowledged && (session.state === 'planned' || TRANSITIONS[session.state][happening].next === 'same')) return
  fire(session, happening, pressSeconds)
}

function takeHold(
  session: Session,
  pressSeconds: number,
  estimates: Estimates,
  clockView: ClockView,
  energyView: EnergyView,
): void {
  if (pressSeconds <= session.afarAbandonUntilSeconds) {
    // An alarm that calls hides the words: a press that answers it abandons nothing.
    if (takeAcknowledgement(session, pressSeconds)) return
    session.afarAbandonUntilSeconds = NaN
    fire(session, 'abandon', pressSeconds)
    return
  }
  // Film lies in a bath and must be got out of it: the button that works does the work of the one that does not.
  if (estimates.advanceStuck) {
    takeAdvance(session, pressSeconds, estimates, clockView, energyView)
    return
  }
  const acknowledged = takeAcknowledgement(session, pressSeconds)
  // While the question stands this is the beginning of its answer.
  if (session.asked === 'abandon' && pressSeconds - session.askedSeconds <= ABANDON_WITHIN_SECONDS) return
  session.asked = 'none'
  if (acknowledged && TRANSITIONS[session.state]['hold'].next === 'same') return
  if (session.want === 'rest' && isWithAfar(session, pressSeconds)) {
    refusePress(session, SLIP_REASON, pressSeconds)
    return
  }
  // The base's own estimate is taken as it is: whoever did not look for another has said nothing.
  if (session.darkAt > 0) emit(session, 'darkAnswered', pressSeconds, session.darkAnswers[session.darkAt], 0, '')
  fire(session, 'hold', pressSeconds)
}

function nextAnswer(session: Session, pressSeconds: number): void {
  session.darkAt = (session.darkAt + 1) % session.darkAnswers.length
  emit(session, 'acknowledged', pressSeconds, NaN, 0, '')
}

function takeLongHold(session: Session, nowSeconds: number): void {
  const answers = session.asked === 'abandon' && nowSeconds - session.askedSeconds <= ABANDON_WITHIN_SECONDS
  session.asked = 'none'
  fire(session, answers ? 'abandon' : 'holdLong', nowSeconds)
}

/** Acknowledges what calls. Gives true when something did. */
function takeAcknowledgement(session: Session, pressSeconds: number): boolean {
  if (session.state === 'stopped' || session.state === 'stoppedDue') {
    if (pressSeconds - session.stateSeconds >= HEARD_SECONDS) session.stopAcknowledged = true
  }
  if (acknowledge(session.alarms, pressSeconds) === 0) return false
  emit(session, 'acknowledged', pressSeconds, NaN, 0, '')
  return true
}

function isWithAfar(session: Session, pressSeconds: number): boolean {
  return pressSeconds - session.afarSeconds < AFAR_SLIP_SECONDS
}

function isSlip(session: Session, pressSeconds: number): boolean {
  const underway = session.underway
  let pourSeconds = 0
  if (underway.contents === 'filling') pourSeconds = session.recipe.pour.fillSeconds
  else if (underway.contents === 'draining') pourSeconds = session.recipe.pour.drainSeconds
  else return false
  return pressSeconds - underway.sinceSeconds < Math.min(SLIP_SECONDS, pourSeconds * SLIP_FRACTION)
}
