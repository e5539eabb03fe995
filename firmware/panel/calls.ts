/**
 * Which tune is played when. What a person must answer comes back until it is answered, the pour-out most often; where
 * the pour-out and an urgent alarm both call, they take turns, so that neither is lost behind the other. A press that
 * was understood clicks, one that was refused buzzes.
 */
import type { ClockView } from '../clock/view.ts'
import type { SessionEvent } from '../session/events.ts'
import type { Session } from '../session/session.ts'
import type { TuneName } from './tunes.ts'

/** The warning that the pour-out is near. */
export const COMING_SOON_SECONDS = 10
/** How often each call comes back (assumed: often enough to be missed once). */
const POUR_OUT_EVERY_SECONDS = 4
const URGENT_EVERY_SECONDS = 5
const HELD_EVERY_SECONDS = 6
const MILD_EVERY_SECONDS = 20
const POUR_IN_EVERY_SECONDS = 20
const POUR_IN_AFTER_DEVELOPER_EVERY_SECONDS = 8
/** A tune that answers a press is given time to end. */
const ANSWER_SECONDS = 1.5

/** What calls again and again. */
export type Calling = 'nothing' | 'pourOut' | 'pourOutAndAlarm' | 'alarmUrgent' | 'held' | 'alarmMild' | 'pourIn'

export interface Calls {
  calling: Calling
  nextSeconds: number
  /** When it would be next if nobody pressed; NaN while nothing calls. */
  dueSeconds: number
  /** Of two that take turns the alarm's turn is next. */
  alarmNext: boolean
  /** First contact of the bath whose warning was given. */
  warnedContactSeconds: number
}

export function createCalls(): Calls {
  return { calling: 'nothing', nextSeconds: NaN, dueSeconds: NaN, alarmNext: false, warnedContactSeconds: NaN }
}

/** The tune to begin now, or `undefined` when whatever plays may go on. */
export function chooseTune(
  calls: Calls,
  session: Session,
  clockView: ClockView,
  nowSeconds: number,
): TuneName | undefined {
  const calling = whatCalls(session)
  let answer = answerTo(session)
  if (answer === 'silence' && isSoon(calls, session, clockView, nowSeconds)) answer = 'comingSoon'
  // However often a button is pressed: no call is put off by more than one answer.
  const latestSeconds = calls.dueSeconds + ANSWER_SECONDS
  if (answer !== 'silence' && (calling === 'nothing' || !(nowSeconds > latestSeconds))) {
    const afterSeconds = nowSeconds + (answer === 'pourIn' ? everySeconds(session, calling) : ANSWER_SECONDS)
    if (calling === 'nothing') calls.dueSeconds = NaN
    calls.calling = calling
    calls.alarmNext = false
    calls.nextSeconds = afterSeconds > latestSeconds ? latestSeconds : afterSeconds
    return answer
  }
  if (calling !== calls.calling) {
    calls.calling = calling
    calls.alarmNext = false
    calls.dueSeconds = NaN
    if (calling === 'nothing') return 'silence'
  } else if (calling === 'nothing' || nowSeconds < calls.nextSeconds) return undefined
  calls.nextSeconds = nowSeconds + everySeconds(session, calling)
  calls.dueSeconds = calls.nextSeconds
  if (calling !== 'pourOutAndAlarm') return calling
  calls.alarmNext = !calls.alarmNext
  return calls.alarmNext ? 'pourOut' : 'alarmUrgent'
}

function whatCalls(session: Session): Calling {
  const urgent = session.alarms.callingUrgent > 0
  switch (session.state) {
    case 'fillingDue':
    case 'due':
    case 'heldDue':
    case 'stoppedDue':
      return urgent ? 'pourOutAndAlarm' : 'pourOut'
    case 'held':
    case 'stopped':
      return urgent ? 'alarmUrgent' : 'held'
    case 'ready':
      return urgent ? 'alarmUrgent' : 'pourIn'
    default:
      if (urgent) return 'alarmUrgent'
      return session.alarms.calling > 0 ? 'alarmMild' : 'nothing'
  }
}

function everySeconds(session: Session, calling: Calling): number {
  switch (calling) {
    case 'pourOut':
    case 'pourOutAndAlarm':
      return POUR_OUT_EVERY_SECONDS
    case 'alarmUrgent':
      return URGENT_EVERY_SECONDS
    case 'held':
      return HELD_EVERY_SECONDS
    case 'pourIn':
      return isAfterDeveloper(session) ? POUR_IN_AFTER_DEVELOPER_EVERY_SECONDS : POUR_IN_EVERY_SECONDS
    default:
      return MILD_EVERY_SECONDS
  }
}

function isAfterDeveloper(session: Session): boolean {
  return session.bathIndex > 0 && session.recipe.baths[session.bathIndex - 1].kind === 'developed'
}

/** The sound that answers what happened in this tick; of several things the one that matters most. */
function answerTo(session: Session): TuneName {
  let answer: TuneName = 'silence'
  for (let i = 0; i < session.eventCount; i++) {
    const tune = tuneOf(session.events[i])
    if (tune !== 'silence' && (answer === 'silence' || answer === 'taken' || tune === 'done')) answer = tune
  }
  return answer
}

function tuneOf(event: SessionEvent): TuneName {
  switch (event.kind) {
    case 'bathBegun':
    case 'turningBegun':
    case 'drainBegun':
    case 'held':
    case 'holdEnded':
    case 'restarted':
    case 'acknowledged':
      return 'taken'
    case 'bathEnded':
      return 'pourIn'
    case 'refused':
      return 'refused'
    case 'sessionFinished':
      return 'done'
    case 'sessionAbandoned':
      return 'abandoned'
    default:
      return 'silence'
  }
}

function isSoon(calls: Calls, session: Session, clockView: ClockView, nowSeconds: number): boolean {
  if (session.state !== 'turning' || session.contactSeconds === calls.warnedContactSeconds) return false
  if (!(clockView.cueAtSeconds - nowSeconds <= COMING_SOON_SECONDS)) return false
  calls.warnedContactSeconds = session.contactSeconds
  return true
}
