/**
 * What happened to a session in one tick, for everybody who has to do something about it: a short list of objects made
 * once. Events are written by the session alone, in the order in which they happened, and are gone with the next tick.
 */
import type { Session } from './session.ts'

export type SessionEventKind =
  /** First contact. `seconds` is NaN. */
  | 'bathBegun'
  /** Full and closed. `seconds` is how long filling took. */
  | 'turningBegun'
  | 'cueGiven'
  | 'held'
  /** `seconds` is how long it was held. */
  | 'holdEnded'
  /** Driving was no longer safe; safe again and acknowledged. */
  | 'stopped'
  | 'restarted'
  /** `seconds` from the cue to the press; NaN when the press came before the cue. */
  | 'drainBegun'
  /** The tank is empty. `seconds` is how long draining took; NaN when the session was abandoned with the bath in the tank. */
  | 'bathEnded'
  | 'sessionFinished'
  | 'sessionAbandoned'
  /** A press that did nothing, with its reason. */
  | 'refused'
  /** A person acknowledged the alarms that called, or went on to the next answer to what is asked. */
  | 'acknowledged'
  | 'alarmRaised'
  /** An alarm whose cause outlived its acknowledgement calls again. */
  | 'alarmRepeated'
  /** A person said how long it was dark: `seconds`. */
  | 'darkAnswered'

export interface SessionEvent {
  kind: SessionEventKind
  /** On the monotonic clock: the moment of the press where there was one. */
  atSeconds: number
  bathIndex: number
  seconds: number
  /** Of the alarm; 0 for other events. */
  number: number
  /** Of a refusal; empty for other events. */
  reason: string
}

/** Two presses, a cue and a stop give fewer; alarms wait for the next second when the list is nearly full. */
export const EVENTS_AT_MOST = 12
/** Places that alarms leave free for what hands do. */
export const EVENTS_FOR_ALARMS = 8

export function createEvents(): SessionEvent[] {
  const events: SessionEvent[] = []
  for (let i = 0; i < EVENTS_AT_MOST; i++) {
    events.push({ kind: 'refused', atSeconds: NaN, bathIndex: -1, seconds: NaN, number: 0, reason: '' })
  }
  return events
}

/** Adds an event to this tick's; beyond the last place it is dropped, which the walk of the table shows not to happen. */
export function emit(
  session: Session,
  kind: SessionEventKind,
  atSeconds: number,
  seconds: number,
  number: number,
  reason: string,
): void {
  if (session.eventCount >= EVENTS_AT_MOST) return
  const event = session.events[session.eventCount]
  session.eventCount++
  event.kind = kind
  event.atSeconds = atSeconds
  event.bathIndex = session.bathIndex
  event.seconds = seconds
  event.number = number
  event.reason = reason
}
