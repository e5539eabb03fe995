/**
 * Keeps the journal of a base: what it writes at the end of a tick, and what it finds when the board starts.
 *
 * A checkpoint goes down every 5 s of a session and at every transition, the transition itself before it. When the other
 * area has been taken into use, what is true now (session, its figures so far, learned) is written anew, so that the older area may go.
 * Flash is erased only while the motor is off and, where the session turns the tank, in the rests between two legs.
 * Nothing here throws into the tick: a record that finds no place is counted, and an alarm says so.
 */
import type { Board } from '../../hal/board.ts'
import type { Base } from '../base.ts'
import { exportLearned } from '../energy/learned.ts'
import { ALARMS, POWER_WAS_GONE } from '../session/alarmTable.ts'
import type { SessionEvent, SessionEventKind } from '../session/events.ts'
import { isUnderWay } from '../session/resumeSession.ts'
import { CHECKPOINT_SECONDS } from './darkTime.ts'
import { appendRecord, forEachRecord, type Journal, openJournal, tendJournal, wantsRest } from './journal.ts'
import { type Learned, learnedBytes, readLearned } from './learnedPayload.ts'
import {
  type Checkpoint,
  checkpointBytes,
  createCheckpoint,
  eventBytes,
  readCheckpoint,
  readEvent,
  readSessionBegun,
  readSummary,
  type SessionBegun,
  type Summary,
  sessionBegunBytes,
  startedBytes,
  summaryBytes,
} from './payloads.ts'
import { KIND, putWord, word } from './record.ts'

export interface Keeper {
  journal: Journal
  /** Number of the session under way, or of the last one; 0 before the first. */
  session: number
  begun: SessionBegun | undefined
  /** First contact of the session, on the monotonic clock. */
  begunAtSeconds: number
  dueSeconds: number
  /** As the journal's, when what is true now was last written. */
  areasTaken: number
  checkpoint: Checkpoint
  summary: Summary
  /** The journal has work of its own, or a record to complain of. */
  tending: boolean
  /** Records lost when the alarm was last looked at. */
  lost: number
}

/** What the journal holds of the time before: each `undefined` when there is none. */
export interface Found {
  checkpoint: Checkpoint | undefined
  begun: SessionBegun | undefined
  learned: Learned | undefined
  /** Starts of the board since that checkpoint, this one not counted. */
  startsSince: number
  /** Of the session that was begun last, as far as its records go. */
  summary: Summary
}

/** The build's; there is none where this runs unbundled. */
declare const EVENBATH_KIND: string
/** A rehearsal has no flash of its own: its bundle leaves the journal out. */
export const KEEPS = typeof EVENBATH_KIND === 'undefined' ? true : EVENBATH_KIND !== 'rehearsal'

/** `undefined` where the store has no room for two areas. */
export function openKeeper(board: Board): { keeper: Keeper; found: Found } | undefined {
  if (!KEEPS || !(board.store.blockBytes > 0 && board.store.bytes >= 2 * board.store.blockBytes)) return undefined
  const journal = openJournal(board.store, board.crc32)
  const found: Found = {
    checkpoint: undefined,
    begun: undefined,
    learned: undefined,
    startsSince: 0,
    summary: blankSummary(),
  }
  // Nothing but a summary may be left of the last one.
  let session = journal.newestSession
  let learnedAddress = NaN
  forEachRecord(journal, record => {
    // Old flash may be long to read, and the board's watchdog may already run.
    board.watchdog.write(true)
    recallSummary(found, record.kind, record.payload)
    if (record.kind === KIND.checkpoint) {
      found.checkpoint = readCheckpoint(record.payload) || found.checkpoint
      found.startsSince = 0
    } else if (record.kind === KIND.started) found.startsSince++
    else if (record.kind === KIND.sessionBegun) found.begun = readSessionBegun(record.payload) || found.begun
    else if (record.kind === KIND.learned) {
      found.learned = readLearned(record.payload) || found.learned
      learnedAddress = record.address
    } else if (record.kind === KIND.pulled) journal.pulled = word(record.payload, 0)
    if (found.begun !== undefined && found.begun.session > session) session = found.begun.session
  })
  // What took an area and ended before writing anew has left what is true now in the older one alone. What was learned is
  // the last that is written anew.
  const isAnew = journal.olderSequence === 0 || Math.floor(learnedAddress / journal.areaBytes) === journal.area
  // Nothing turns yet: room for what the start itself has to say.
  for (let i = 0; isAnew && i < journal.areaBytes && wantsRest(journal); i += journal.store.blockBytes) {
    board.watchdog.write(true)
    tendJournal(journal, true)
  }
  const isGoneOnWith = found.checkpoint !== undefined && isUnderWay(found.checkpoint.state)
  const keeper = {
    journal: journal,
    session: session,
    begun: undefined,
    begunAtSeconds: NaN,
    dueSeconds: Infinity,
    areasTaken: isAnew ? journal.areasTaken : -1,
    checkpoint: createCheckpoint(),
    summary: isGoneOnWith ? found.summary : blankSummary(),
    // The first look tells.
    tending: true,
    lost: 0,
  }
  const wall = board.wallClock.read()
  appendRecord(journal, KIND.started, startedBytes(board.resetCause, wall === undefined ? NaN : wall))
  return { keeper: keeper, found: found }
}

/** Puts the summary of a session together again from what was written of it. */
function recallSummary(found: Found, kind: number, payload: Uint8Array): void {
  const summary = found.summary
  if (kind === KIND.sessionBegun) {
    // It is written anew, too.
    if (word(payload, 0) !== summary.session) {
      found.summary = blankSummary()
      found.summary.session = word(payload, 0)
    }
  } else if (kind === KIND.soFar) found.summary = readSummary(payload) || summary
  else if (kind === KIND.event) {
    const event = readEvent(payload)
    if (event !== undefined && event.session === summary.session) countAlarm(summary, event.kind, event.alarm)
  } else if (kind === KIND.checkpoint && isNaN(summary.startCharge)) {
    const checkpoint = readCheckpoint(payload)
    if (checkpoint !== undefined && checkpoint.session === summary.session) summary.startCharge = checkpoint.charge
  }
}

function countAlarm(summary: Summary, kind: SessionEventKind, alarm: number): void {
  if (kind !== 'alarmRaised') return
  summary.alarms++
  if (alarm === ALARMS[POWER_WAS_GONE].number) summary.darkTimes++
}

function blankSummary(): Summary {
  return {
    session: 0,
    recipe: '',
    finished: false,
    films: 0,
    baths: 0,
    sessionSeconds: 0,
    worstBoundPercent: NaN,
    leastProgress: NaN,
    mostProgress: NaN,
    startCharge: NaN,
    endCharge: NaN,
    alarms: 0,
    darkTimes: 0,
    wallSeconds: NaN,
  }
}

/** Notes what happened in this tick, and at once where that has led: a press that was answered is not lost. */
export function noteEvents(keeper: Keeper, base: Base): void {
  if (!KEEPS) return
  const session = base.session
  for (let i = 0; i < session.eventCount; i++) noteEvent(keeper, base, session.events[i])
  if (isUnderWay(session.state)) writeCheckpoint(keeper, base)
  keeper.tending = isTending(keeper)
}

/** Where the session stands now; due from `dueSeconds` on. */
export function keepCheckpoint(keeper: Keeper, base: Base): void {
  if (!KEEPS || keeper.begun === undefined) return
  writeCheckpoint(keeper, base)
  // It was looked for a tick ago: after five of the looks that come once a second, not after four.
  keeper.dueSeconds += 0.2
  keeper.tending = isTending(keeper)
}

/** The journal's own work, a little in every tick as long as `tending`. */
export function tendKeeper(keeper: Keeper, base: Base): void {
  if (!KEEPS) return
  const journal = keeper.journal
  const view = base.agitation.view
  const areasTaken = journal.areasTaken
  if (areasTaken !== keeper.areasTaken) {
    // Until that stands nothing of the older area may go.
    if (writeAnew(keeper, base)) keeper.areasTaken = areasTaken
    // A long bath leaves no other time than the rests between its legs.
  } else tendJournal(journal, view.duty === 0 && (base.session.want !== 'turn' || view.atRest))
  keeper.tending = isTending(keeper)
}

function isTending(keeper: Keeper): boolean {
  const journal = keeper.journal
  if (journal.lost > keeper.lost) return true
  return journal.carryAddress >= 0 || wantsRest(journal) || journal.areasTaken !== keeper.areasTaken
}

/** Everything up to `sequence` is on a disk elsewhere: the older area may go when all of it is. Written down, so that a restart knows it. */
export function notePulled(keeper: Keeper, sequence: number): void {
  if (sequence <= keeper.journal.pulled) return
  keeper.journal.pulled = sequence
  writePulled(keeper.journal)
  keeper.tending = true
}

function writePulled(journal: Journal): void {
  const bytes = new Uint8Array(4)
  putWord(bytes, 0, journal.pulled)
  appendRecord(journal, KIND.pulled, bytes)
}

/** A record found no place since this was last asked. */
export function hasLost(keeper: Keeper): boolean {
  const more = keeper.journal.lost > keeper.lost
  keeper.lost = keeper.journal.lost
  return more
}

function noteEvent(keeper: Keeper, base: Base, event: SessionEvent): void {
  if (event.kind === 'bathBegun' && event.bathIndex === 0) beginSession(keeper, base, event.atSeconds)
  const summary = keeper.summary
  if (event.kind === 'bathEnded' && noteBath(summary, base, event)) writeSoFar(keeper)
  countAlarm(summary, event.kind, event.number)
  writeEvent(keeper, event.kind, event.bathIndex, event.number, event.atSeconds, event.seconds)
  if (event.kind === 'sessionFinished' || event.kind === 'sessionAbandoned') endSession(keeper, base, event)
}

/** A person has said so over the line: written down at once, with what follows from it. */
export function noteDark(keeper: Keeper, base: Base, seconds: number): void {
  if (!KEEPS) return
  const session = base.session
  writeEvent(keeper, 'darkAnswered', session.bathIndex, 0, base.estimates.nowSeconds, seconds)
  writeCheckpoint(keeper, base)
  keeper.tending = isTending(keeper)
}

function beginSession(keeper: Keeper, base: Base, atSeconds: number): void {
  const session = base.session
  keeper.session++
  keeper.begunAtSeconds = atSeconds
  keeper.begun = {
    session: keeper.session,
    recipe: session.recipe.name,
    films: session.films,
    filmsPerLitre: session.filmsPerLitre,
    millilitres: session.millilitres,
    wallSeconds: wallSeconds(base),
  }
  keeper.dueSeconds = atSeconds + CHECKPOINT_SECONDS
  keeper.summary = blankSummary()
  keeper.summary.session = keeper.session
  keeper.summary.recipe = session.recipe.name
  keeper.summary.films = session.films
  keeper.summary.startCharge = base.energy.view.charge
  keeper.summary.wallSeconds = keeper.begun.wallSeconds
  appendRecord(keeper.journal, KIND.sessionBegun, sessionBegunBytes(keeper.begun))
}

/** A session that was under way when the power went is gone on with. */
export function goOnKeeping(
  keeper: Keeper,
  base: Base,
  begun: SessionBegun,
  before: Checkpoint,
  darkSeconds: number,
): void {
  const nowSeconds = base.estimates.nowSeconds
  keeper.session = begun.session
  keeper.begun = begun
  keeper.begunAtSeconds = nowSeconds - before.sessionSeconds - darkSeconds
  keeper.dueSeconds = nowSeconds
  keeper.summary.session = begun.session
  keeper.summary.recipe = begun.recipe
  keeper.summary.films = begun.films
  keeper.summary.baths = before.bathIndex
  countAlarm(keeper.summary, 'alarmRaised', ALARMS[POWER_WAS_GONE].number)
  keeper.summary.wallSeconds = begun.wallSeconds
  // The first tick's events come after this; it is written here, with the dark seconds.
  writeEvent(keeper, 'alarmRaised', before.bathIndex, ALARMS[POWER_WAS_GONE].number, nowSeconds, darkSeconds)
}

function writeEvent(
  keeper: Keeper,
  kind: SessionEventKind,
  bathIndex: number,
  alarm: number,
  atSeconds: number,
  seconds: number,
): void {
  const bytes = eventBytes({
    session: keeper.session,
    kind: kind,
    bathIndex: bathIndex,
    alarm: alarm,
    sessionSeconds: atSeconds - keeper.begunAtSeconds,
    seconds: seconds,
  })
  if (bytes !== undefined) appendRecord(keeper.journal, KIND.event, bytes)
}

/** True when it was a developed one. */
function noteBath(summary: Summary, base: Base, event: SessionEvent): boolean {
  if (isNaN(event.seconds)) return false
  summary.baths++
  const view = base.clock.view
  if (base.session.recipe.baths[event.bathIndex].kind !== 'developed') return false
  if (!(view.boundPercent <= summary.worstBoundPercent)) summary.worstBoundPercent = view.boundPercent
  if (!(view.progress >= summary.leastProgress)) summary.leastProgress = view.progress
  if (!(view.progress <= summary.mostProgress)) summary.mostProgress = view.progress
  return true
}

/** Figures of the developed baths, and of what was overwritten, stand nowhere else. */
function writeSoFar(keeper: Keeper): void {
  appendRecord(keeper.journal, KIND.soFar, summaryBytes(keeper.summary))
}

function endSession(keeper: Keeper, base: Base, event: SessionEvent): void {
  const summary = keeper.summary
  summary.finished = event.kind === 'sessionFinished'
  summary.sessionSeconds = event.atSeconds - keeper.begunAtSeconds
  summary.endCharge = base.energy.view.charge
  appendRecord(keeper.journal, KIND.summary, summaryBytes(summary))
  // What a board that starts now finds last: nothing is under way.
  writeCheckpoint(keeper, base)
  writeLearned(keeper, base)
  keeper.begun = undefined
  keeper.dueSeconds = Infinity
}

/** False where any of it found no place. */
function writeAnew(keeper: Keeper, base: Base): boolean {
  const lost = keeper.journal.lost
  if (keeper.journal.pulled > 0) writePulled(keeper.journal)
  if (keeper.begun !== undefined) {
    appendRecord(keeper.journal, KIND.sessionBegun, sessionBegunBytes(keeper.begun))
    writeSoFar(keeper)
    writeCheckpoint(keeper, base)
  }
  writeLearned(keeper, base)
  return keeper.journal.lost === lost
}

function writeLearned(keeper: Keeper, base: Base): void {
  const clock = base.clock
  appendRecord(
    keeper.journal,
    KIND.learned,
    learnedBytes({
      energy: exportLearned(base.energy),
      lnLag: base.bathSense.observer.lnLag,
      habits: [clock.reaction, clock.fill, clock.drain],
    }),
  )
}

function writeCheckpoint(keeper: Keeper, base: Base): void {
  const c = keeper.checkpoint
  const session = base.session
  const estimates = base.estimates
  const nowSeconds = estimates.nowSeconds
  const observer = base.bathSense.observer
  c.session = keeper.session
  c.state = session.state
  c.bathIndex = session.bathIndex
  c.cueGiven = session.cueGiven
  c.insistedOnCharge = session.insistedOnCharge
  c.sessionSeconds = nowSeconds - keeper.begunAtSeconds
  c.bathSeconds = nowSeconds - session.contactSeconds
  c.contentsSeconds = nowSeconds - session.underway.sinceSeconds
  // The observer is up to a second behind: what is written is for the moment of writing.
  const behind = nowSeconds - base.bathSense.modelSeconds
  const perSecond = base.bathSense.counting && observer.progressPerSecond > 0 ? observer.progressPerSecond : 0
  c.progress = observer.progress + (behind > 0 && behind < 2 ? behind * perSecond : 0)
  c.progressSigma = Math.sqrt(Math.max(0, observer.covariance[5]))
  c.progressPerKelvin = observer.progressPerKelvin
  c.bathCelsius = estimates.bathCelsius
  c.bathSigmaCelsius = estimates.bathSigmaCelsius
  c.bodyCelsius = estimates.bodyCelsius
  c.roomCelsius = estimates.roomCelsius
  c.charge = base.energy.view.charge
  c.wallSeconds = wallSeconds(base)
  appendRecord(keeper.journal, KIND.checkpoint, checkpointBytes(c))
  keeper.dueSeconds = nowSeconds + CHECKPOINT_SECONDS
}

function wallSeconds(base: Base): number {
  const wall = base.board.wallClock.read()
  return wall === undefined ? NaN : wall
}
