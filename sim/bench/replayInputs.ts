/**
 * What a recorded session had to work on: the temperatures of its baths, its tank and its room, the operator's presses,
 * and the times in which the base was dark. All of it from the record alone, so that another firmware can be given the
 * same.
 *
 * What the sensors of the drive, the pack and the buttons saw is not in the record.
 */
import { learnHabit } from '../../firmware/clock/operator.ts'
import type { Learned } from '../../firmware/journal/learnedPayload.ts'
import type { Checkpoint, JournalEvent } from '../../firmware/journal/payloads.ts'
import type { ResetCause } from '../../hal/board.ts'
import type { RecordedSession } from '../field/recorded.ts'
import { bathTrace, bodyTrace, type PourSetting, roomTrace } from './replayBaths.ts'
import { pressesOf, type RecordedPress } from './replayPresses.ts'
import type { Trace } from './trace.ts'

export interface RecordedDark {
  fromSeconds: number
  toSeconds: number
  /** Of each start of the board; the last one went on. */
  causes: ResetCause[]
  /** A person said how long it was. */
  answered: boolean
  /** No person, no clock and no short restart told how long it was, only how far the bath had cooled. */
  byCooling: boolean
  /** The wall clock before and after; NaN without one. */
  wallBeforeSeconds: number
  wallAfterSeconds: number
}

/** A stretch in which the probe told nothing. */
export interface ProbeGone {
  fromSeconds: number
  toSeconds: number
}

export interface ReplayInputs {
  /** The first bath of which everything is there, and its first contact on the session's clock. */
  firstBath: number
  zeroSeconds: number
  /** Up to here the record goes. */
  endSeconds: number
  bath: Trace
  /** The tank between two baths. */
  body: Trace
  /** `undefined` where the base has no second thermistor. */
  room: Trace | undefined
  presses: RecordedPress[]
  darks: RecordedDark[]
  probeGone: ProbeGone[]
  /** `undefined` where nothing is known of it. */
  learned: Learned | undefined
  /** What was learned before these baths is not in the record. */
  learnedUnknown: boolean
  /** How slowly the probe followed, as the base found; NaN where it did not say. */
  lagSeconds: number
  /** The wall clock at the first contact; NaN where nobody had set it. */
  wallSeconds: number
}

/** A probe that has come back makes the bath known better at once: sigma falls by so much. */
const PROBE_BACK_FACTOR = 0.8
/** From the first reading that cannot be used to alarm 10: three readings make a bridge, and it must last two seconds. */
const PROBE_ALARM_SECONDS = 5
const PROBE_FAILED_ALARM = 10
/** What teaches reaction, fill and drain, in the order of `Learned.habits`. */
const LEARNED_FROM: JournalEvent['kind'][] = ['drainBegun', 'turningBegun', 'bathEnded']

/** From which bath on everything is recorded; −1 when there is none. */
export function firstWholeBath(recorded: RecordedSession): number {
  const gapsEnd = recorded.gaps.reduce((end, gap) => Math.max(end, gap.toSeconds), -Infinity)
  const begun = recorded.events.find(event => event.kind === 'bathBegun' && !(event.sessionSeconds < gapsEnd - 0.01))
  return begun === undefined ? -1 : begun.bathIndex
}

/** The inputs of the baths from `firstWholeBath` on. `baths`: as many as the recipe has. */
export function inputsOf(
  recorded: RecordedSession,
  firstBath: number,
  baths: number,
  setting: PourSetting,
): ReplayInputs {
  const zeroSeconds = contactOf(recorded, firstBath)
  const checkpoints = recorded.checkpoints.filter(c => c.sessionSeconds >= zeroSeconds)
  const endSeconds = endOf(recorded, checkpoints, baths)
  const known = learnedFor(recorded, zeroSeconds)
  return {
    firstBath,
    zeroSeconds,
    endSeconds,
    bath: bathTrace(checkpoints, zeroSeconds, setting),
    body: bodyTrace(checkpoints),
    room: roomTrace(checkpoints),
    presses: pressesOf(recorded, zeroSeconds, endSeconds),
    darks: darksOf(recorded, zeroSeconds),
    probeGone: probeGone(recorded, checkpoints, zeroSeconds),
    learned: known.learned,
    learnedUnknown: known.unknown,
    lagSeconds: Math.exp((recorded.learnedAfter ?? recorded.learnedBefore)?.lnLag ?? NaN),
    wallSeconds: firstBath === 0 ? recorded.wallSeconds : recorded.wallSeconds + zeroSeconds,
  }
}

function contactOf(recorded: RecordedSession, bathIndex: number): number {
  const begun = recorded.events.find(event => event.kind === 'bathBegun' && event.bathIndex === bathIndex)
  return begun?.sessionSeconds ?? NaN
}

/** An abandoned session ends there; one of a longer recipe where today's has no bath any more. */
function endOf(recorded: RecordedSession, checkpoints: Checkpoint[], baths: number): number {
  const abandoned = recorded.events.find(event => event.kind === 'sessionAbandoned')
  if (abandoned !== undefined) return abandoned.sessionSeconds
  const beyond = contactOf(recorded, baths)
  if (!isNaN(beyond)) return beyond
  const lost = recorded.starts.find(start => isNaN(start.darkSeconds))
  const last = checkpoints[checkpoints.length - 1]?.sessionSeconds ?? NaN
  return lost === undefined ? last : Math.min(last, lost.afterSeconds)
}

/** The newest that was written before these baths began, and what was learned of the hands from then on. */
function learnedFor(
  recorded: RecordedSession,
  zeroSeconds: number,
): { learned: Learned | undefined; unknown: boolean } {
  const within = recorded.learnedWithin.filter(entry => entry.afterSeconds <= zeroSeconds).pop()
  const learned = within?.learned ?? recorded.learnedBefore
  if (learned === undefined) {
    const knowsNothing = recorded.isFirst && zeroSeconds === 0
    return { learned: knowsNothing ? undefined : recorded.learnedAfter, unknown: !knowsNothing }
  }
  const habits = learned.habits.map(habit => ({ ...habit }))
  for (const { kind, sessionSeconds, seconds } of recorded.events) {
    if (!(sessionSeconds > (within?.afterSeconds ?? -Infinity) && sessionSeconds < zeroSeconds)) continue
    const habit = habits[LEARNED_FROM.indexOf(kind)]
    if (habit !== undefined) learnHabit(habit, seconds)
  }
  return { learned: { ...learned, habits }, unknown: false }
}

function darksOf(recorded: RecordedSession, zeroSeconds: number): RecordedDark[] {
  const darks: RecordedDark[] = []
  for (const start of recorded.starts) {
    if (start.afterSeconds < zeroSeconds || isNaN(start.darkSeconds)) continue
    const { afterSeconds: fromSeconds, cause, answered } = start
    const before = darks[darks.length - 1]
    // Starts without a checkpoint between them are one dark time.
    const isMore = before !== undefined && before.fromSeconds === fromSeconds
    if (isMore) darks.pop()
    const causes = isMore ? [...before.causes, cause] : [cause]
    const isRestart = !isMore && (cause === 'watchdog' || cause === 'software')
    const byCooling = !answered && !isRestart && (isNaN(start.wallSeconds) || isNaN(start.wallBeforeSeconds))
    darks.push({
      fromSeconds,
      toSeconds: fromSeconds + start.darkSeconds,
      causes,
      answered,
      byCooling,
      wallBeforeSeconds: start.wallBeforeSeconds,
      wallAfterSeconds: start.wallSeconds,
    })
  }
  return darks
}

/** The probe is taken as torn off from before its alarm until the bath is known better again, or is poured out. */
function probeGone(recorded: RecordedSession, checkpoints: Checkpoint[], zeroSeconds: number): ProbeGone[] {
  const gone: ProbeGone[] = []
  for (const event of recorded.events) {
    const fromSeconds = event.sessionSeconds - PROBE_ALARM_SECONDS
    if (event.kind !== 'alarmRaised' || event.alarm !== PROBE_FAILED_ALARM || fromSeconds < zeroSeconds) continue
    if (gone.some(stretch => fromSeconds < stretch.toSeconds)) continue
    const later = checkpoints.filter(c => c.sessionSeconds > event.sessionSeconds)
    const back = later.findIndex((c, i) => {
      const before = later[i - 1]
      return before !== undefined && c.bathSigmaCelsius < PROBE_BACK_FACTOR * before.bathSigmaCelsius
    })
    const until = back > 0 ? later[back - 1] : later[later.length - 1]
    gone.push({ fromSeconds, toSeconds: until?.sessionSeconds ?? event.sessionSeconds })
  }
  return gone
}
