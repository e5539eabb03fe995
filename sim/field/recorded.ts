/**
 * The sessions that a journal tells of, put together from its records: what was planned, what happened when, where it
 * stood every five seconds, what was kept of it at the end.
 *
 * A base has room for the details of its newest sessions only: of older ones there is a summary, of one between the
 * beginning may be gone. What is missing is said in `missing`; a record of a kind that is not known here, or too short,
 * is left out, and so, with a word, is one of another version or with a moment that cannot be. Nothing throws.
 */

import { type Learned, readLearned } from '../../firmware/journal/learnedPayload.ts'
import {
  type Checkpoint,
  type JournalEvent,
  readCheckpoint,
  readEvent,
  readSessionBegun,
  readStarted,
  readSummary,
  type SessionBegun,
  type Summary,
} from '../../firmware/journal/payloads.ts'
import { KIND, RECORD_VERSION } from '../../firmware/journal/record.ts'
import { ALARMS, POWER_WAS_GONE } from '../../firmware/session/alarmTable.ts'
import { isUnderWay } from '../../firmware/session/resumeSession.ts'
import type { ResetCause } from '../../hal/board.ts'
import type { SavedRecord } from './journalFile.ts'
import { isOver, judge } from './recordedMissing.ts'
import { soundBegun, soundCheckpoint, soundEvent, soundSeconds, soundSummary, soundWall } from './recordedSound.ts'

/** The board started again in the middle of a session. */
export interface RecordedStart {
  cause: ResetCause
  /** Of the last checkpoint before it, on the session's clock: the base went dark then, or up to five seconds later. */
  afterSeconds: number
  /** How long the base took itself to have been dark, since that checkpoint; NaN where it did not get to say so. */
  darkSeconds: number
  /** A person said so later; what was written in between is set to that. */
  answered: boolean
  /** By the wall clock, then and at that checkpoint; NaN without one. */
  wallSeconds: number
  wallBeforeSeconds: number
}

/** A stretch of which nothing is left, on the session's clock. */
export interface Gap {
  fromSeconds: number
  toSeconds: number
}

export interface LeftOut {
  /** Of another version than is known here: what they say may mean something else. */
  otherVersion: number
  /** With a moment that cannot be. */
  impossible: number
}

export interface RecordedSession {
  number: number
  /** `undefined` when only a summary is left, or nothing but the end. */
  begun: SessionBegun | undefined
  events: JournalEvent[]
  checkpoints: Checkpoint[]
  summary: Summary | undefined
  starts: RecordedStart[]
  /** When it began, in seconds since 1970; NaN where nobody had set the base's clock. */
  wallSeconds: number
  /** Every record from the first contact to the end is there. */
  whole: boolean
  /** What is not there, in words for a person; empty when it is whole. */
  missing: string
  gaps: Gap[]
  /** Records within it that were left out. */
  leftOut: LeftOut
  /** What the base had learned of pack, probe and hands before the session, and by its end. */
  learnedBefore: Learned | undefined
  learnedAfter: Learned | undefined
  /** What was written of it in between, with the session's clock at the checkpoint before. */
  learnedWithin: { afterSeconds: number; learned: Learned }[]
  /** Nothing had been learned when it began: the journal tells of the base from its very first record. */
  isFirst: boolean
}

/** The sessions in `records` (in the order of their sequence), oldest first. */
export function sessionsOf(records: SavedRecord[]): RecordedSession[] {
  const sessions = new Map<number, RecordedSession>()
  const reader: Reader = {
    sessions,
    learned: undefined,
    current: undefined,
    fromStart: records[0]?.sequence === 1,
    leftOut: { otherVersion: 0, impossible: 0 },
  }
  for (const record of records) {
    if (record.version === RECORD_VERSION) read(reader, record)
    else leftOutOf(reader).otherVersion++
  }
  const all = [...sessions.values()].sort((a, b) => a.number - b.number)
  for (const session of all) judge(session)
  return all
}

/** Checkpoints and events are there, so that the session can be carried out again. */
export function hasDetails(session: RecordedSession): boolean {
  return session.begun !== undefined && session.checkpoints.length > 0 && session.events.length > 0
}

interface Reader {
  sessions: Map<number, RecordedSession>
  learned: Learned | undefined
  /** The session whose details were read last. */
  current: RecordedSession | undefined
  fromStart: boolean
  /** Since the last session was over: of the next one. */
  leftOut: LeftOut
}

/** Where a record that cannot be read belongs, by those around it. */
function leftOutOf(reader: Reader): LeftOut {
  const { current } = reader
  return current === undefined || (current.summary !== undefined && isOver(current)) ? reader.leftOut : current.leftOut
}

function sessionNumbered(reader: Reader, number: number): RecordedSession {
  const known = reader.sessions.get(number)
  if (known !== undefined) return known
  const made: RecordedSession = {
    number,
    begun: undefined,
    events: [],
    checkpoints: [],
    summary: undefined,
    starts: [],
    wallSeconds: NaN,
    whole: false,
    missing: '',
    gaps: [],
    leftOut: reader.leftOut,
    learnedBefore: reader.learned,
    learnedAfter: undefined,
    learnedWithin: [],
    isFirst: reader.learned === undefined && reader.fromStart,
  }
  reader.leftOut = { otherVersion: 0, impossible: 0 }
  reader.sessions.set(number, made)
  return made
}

function read(reader: Reader, { kind, payload }: SavedRecord): void {
  switch (kind) {
    case KIND.sessionBegun: {
      const begun = readSessionBegun(payload)
      if (begun === undefined) return
      const session = sessionNumbered(reader, begun.session)
      reader.current = session
      // Written anew with every area: the first one is as good as the last.
      session.begun ??= soundBegun(begun)
      if (isNaN(session.wallSeconds)) session.wallSeconds = soundWall(begun.wallSeconds)
      break
    }
    case KIND.event: {
      const event = readEvent(payload)
      if (event !== undefined) takeEvent(reader, event)
      break
    }
    case KIND.checkpoint: {
      const written = readCheckpoint(payload)
      if (written === undefined) return
      const checkpoint = soundCheckpoint(written)
      if (checkpoint === undefined) {
        leftOutOf(reader).impossible++
        return
      }
      const session = sessionNumbered(reader, checkpoint.session)
      reader.current = session
      session.checkpoints.push(checkpoint)
      break
    }
    case KIND.summary: {
      const written = readSummary(payload)
      if (written === undefined) return
      const summary = soundSummary(written)
      const session = sessionNumbered(reader, summary.session)
      session.summary = summary
      if (isNaN(session.wallSeconds)) session.wallSeconds = summary.wallSeconds
      break
    }
    case KIND.started:
      takeStart(reader, payload)
      break
    case KIND.learned:
      takeLearned(reader, readLearned(payload))
      break
    default:
  }
}

function takeLearned(reader: Reader, learned: Learned | undefined): void {
  if (learned === undefined) return
  reader.learned = learned
  const session = reader.current
  if (session === undefined) return
  session.learnedAfter = learned
  const newest = session.checkpoints[session.checkpoints.length - 1]
  if (newest !== undefined) session.learnedWithin.push({ afterSeconds: newest.sessionSeconds, learned })
}

function takeEvent(reader: Reader, written: JournalEvent): void {
  const event = soundEvent(written)
  if (event === undefined) {
    // Alarms of a base at rest have no moment in a session.
    if (reader.current?.number === written.session) leftOutOf(reader).impossible++
    return
  }
  const session = sessionNumbered(reader, event.session)
  // Alarms of a base at rest bear the number of the session before: they are none of its events.
  const newest = session.checkpoints[session.checkpoints.length - 1]
  if (newest !== undefined && !isUnderWay(newest.state)) return
  reader.current = session
  if (event.kind === 'darkAnswered') takeAnswer(session, event.seconds)
  session.events.push(event)
  const start = session.starts[session.starts.length - 1]
  const isDarkTime = event.kind === 'alarmRaised' && event.alarm === ALARMS[POWER_WAS_GONE]?.number
  if (isDarkTime && start !== undefined && isNaN(start.darkSeconds)) start.darkSeconds = soundSeconds(event.seconds)
}

/** The session's clock was put right with the answer: what was written since the start is on the clock before that. */
function takeAnswer(session: RecordedSession, seconds: number): void {
  const start = session.starts[session.starts.length - 1]
  if (start === undefined || isNaN(start.darkSeconds) || isNaN(soundSeconds(seconds))) return
  const more = seconds - start.darkSeconds
  for (const written of [...session.events, ...session.checkpoints]) {
    if (written.sessionSeconds > start.afterSeconds) written.sessionSeconds += more
  }
  start.darkSeconds = seconds
  start.answered = true
}

function takeStart(reader: Reader, payload: Uint8Array): void {
  const started = readStarted(payload)
  const session = reader.current
  const newest = session?.checkpoints[session.checkpoints.length - 1]
  if (started === undefined || session === undefined || newest === undefined || !isUnderWay(newest.state)) return
  session.starts.push({
    cause: started.cause,
    afterSeconds: newest.sessionSeconds,
    darkSeconds: NaN,
    answered: false,
    wallSeconds: soundWall(started.wallSeconds),
    wallBeforeSeconds: newest.wallSeconds,
  })
}
