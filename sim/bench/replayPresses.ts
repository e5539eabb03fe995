/**
 * The operator's presses out of the record of a session: each that came to something is an event. A press that was
 * refused was not written down, nor was the first of two where the second answered a question.
 */
import type { JournalEvent } from '../../firmware/journal/payloads.ts'
import type { RecordedSession } from '../field/recorded.ts'
import type { Act } from '../plant/operator.ts'

/** One press as it was recorded. */
export interface RecordedPress {
  /** On the session's clock. */
  atSeconds: number
  button: 'advance' | 'hold'
  /** What the hand did to the tank with it. */
  act: Act
  /** What came of it then. */
  event: JournalEvent['kind']
  bathIndex: number
  /** How long the pour or the drain that began with it took; NaN where the record does not say. */
  takesSeconds: number
  /** The press came before the pour-out cue; else so long after it, for a press to pour out. */
  beforeCue: boolean
  reactionSeconds: number
}

const ADVANCES: { [kind in JournalEvent['kind']]?: Act } = {
  bathBegun: 'beginPour',
  turningBegun: 'close',
  drainBegun: 'beginDrain',
  bathEnded: 'emptied',
}

/** Every press of these baths, in order. */
export function pressesOf(recorded: RecordedSession, zeroSeconds: number, endSeconds: number): RecordedPress[] {
  const presses: RecordedPress[] = []
  const { events } = recorded
  for (let i = 0; i < events.length; i++) {
    const event = events[i] as JournalEvent
    const { kind, bathIndex, sessionSeconds: atSeconds } = event
    if (atSeconds < zeroSeconds || atSeconds > endSeconds) continue
    const act = ADVANCES[kind]
    const made: RecordedPress = {
      atSeconds,
      button: 'advance',
      act: act ?? 'none',
      event: kind,
      bathIndex,
      takesSeconds: NaN,
      beforeCue: kind === 'drainBegun' && isNaN(event.seconds),
      reactionSeconds: kind === 'drainBegun' ? event.seconds : NaN,
    }
    if (act !== undefined) presses.push({ ...made, takesSeconds: takes(events, i) })
    else if (kind === 'held' || kind === 'holdEnded') presses.push({ ...made, button: 'hold' })
    else if (kind === 'acknowledged' && !isPartOfPress(events, event)) presses.push(made)
  }
  return presses.sort((a, b) => a.atSeconds - b.atSeconds)
}

/** How long filling or draining took tells the event that ended it. */
function takes(events: JournalEvent[], index: number): number {
  const begun = events[index] as JournalEvent
  const ended = begun.kind === 'bathBegun' ? 'turningBegun' : begun.kind === 'drainBegun' ? 'bathEnded' : undefined
  if (ended === undefined) return NaN
  const end = events.slice(index).find(event => event.kind === ended && event.bathIndex === begun.bathIndex)
  return end === undefined ? NaN : end.sessionSeconds - begun.sessionSeconds
}

/** A press that silenced an alarm and did its own work besides. */
function isPartOfPress(events: JournalEvent[], acknowledged: JournalEvent): boolean {
  return events.some(
    event =>
      (event.kind in ADVANCES || event.kind === 'held' || event.kind === 'holdEnded') &&
      event.sessionSeconds === acknowledged.sessionSeconds,
  )
}
