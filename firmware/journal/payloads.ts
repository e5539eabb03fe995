/**
 * What the journal's records say, as raw bytes and back. Little endian; times on the wall clock are 8-byte floats (NaN
 * where nobody has set it), everything else that is not whole is a 4-byte float: good to seven digits, and exact.
 *
 * Reading checks nothing but the length: the record's checksum has vouched for the bytes. A longer payload than is known
 * here is a newer version's and is read as far as it is known; a shorter one gives `undefined`.
 */
import type { ResetCause } from '../../hal/board.ts'
import type { SessionEventKind } from '../session/events.ts'
import type { SessionState } from '../session/table.ts'

/** Numbers of states in journals that exist: a state keeps its place for ever, new ones go to the end. */
export const STATES: SessionState[] = [
  'planned',
  'ready',
  'filling',
  'fillingDue',
  'turning',
  'due',
  'held',
  'heldDue',
  'stopped',
  'stoppedDue',
  'draining',
  'finished',
  'abandoned',
]

/** Likewise of events. A refused press is not written down. */
export const EVENTS: SessionEventKind[] = [
  'bathBegun',
  'turningBegun',
  'cueGiven',
  'held',
  'holdEnded',
  'stopped',
  'restarted',
  'drainBegun',
  'bathEnded',
  'sessionFinished',
  'sessionAbandoned',
  'acknowledged',
  'alarmRaised',
  'alarmRepeated',
  'darkAnswered',
]

/** Numbers of causes in journals that exist. */
const CAUSES: ResetCause[] = ['unknown', 'power', 'watchdog', 'software']
const STARTED_BYTES = 12

/** The board started. */
export function startedBytes(cause: ResetCause, wallSeconds: number): Uint8Array {
  const bytes = new Uint8Array(STARTED_BYTES)
  const view = new DataView(bytes.buffer)
  view.setUint8(0, CAUSES.indexOf(cause))
  view.setFloat64(4, wallSeconds, true)
  return bytes
}

export function readStarted(payload: Uint8Array): { cause: ResetCause; wallSeconds: number } | undefined {
  const view = viewOf(payload, STARTED_BYTES)
  if (view === undefined) return undefined
  return { cause: CAUSES[view.getUint8(0)] || 'unknown', wallSeconds: view.getFloat64(4, true) }
}

/** Where a session stands: enough to go on with it. */
export interface Checkpoint {
  session: number
  state: SessionState
  bathIndex: number
  cueGiven: boolean
  insistedOnCharge: boolean
  /** Since the session's first contact, since this bath's, and since the tank holds what it holds. NaN where there is none. */
  sessionSeconds: number
  bathSeconds: number
  contentsSeconds: number
  progress: number
  /** One sigma of `progress`, less what the probe's calibration is worth; and what one kelvin of that is worth. */
  progressSigma: number
  progressPerKelvin: number
  bathCelsius: number
  bathSigmaCelsius: number
  bodyCelsius: number
  roomCelsius: number
  charge: number
  wallSeconds: number
}

const CHECKPOINT_BYTES = 60

export function createCheckpoint(): Checkpoint {
  return {
    session: 0,
    state: 'planned',
    bathIndex: 0,
    cueGiven: false,
    insistedOnCharge: false,
    sessionSeconds: NaN,
    bathSeconds: NaN,
    contentsSeconds: NaN,
    progress: 0,
    progressSigma: 0,
    progressPerKelvin: 0,
    bathCelsius: NaN,
    bathSigmaCelsius: NaN,
    bodyCelsius: NaN,
    roomCelsius: NaN,
    charge: NaN,
    wallSeconds: NaN,
  }
}

export function checkpointBytes(c: Checkpoint): Uint8Array {
  const bytes = new Uint8Array(CHECKPOINT_BYTES)
  const view = new DataView(bytes.buffer)
  view.setUint32(0, c.session, true)
  view.setUint8(4, STATES.indexOf(c.state))
  view.setUint8(5, c.bathIndex)
  view.setUint8(6, (c.cueGiven ? 1 : 0) + (c.insistedOnCharge ? 2 : 0))
  putFloats(view, 8, [
    c.sessionSeconds,
    c.bathSeconds,
    c.contentsSeconds,
    c.progress,
    c.progressSigma,
    c.progressPerKelvin,
    c.bathCelsius,
    c.bathSigmaCelsius,
    c.bodyCelsius,
    c.roomCelsius,
    c.charge,
  ])
  view.setFloat64(52, c.wallSeconds, true)
  return bytes
}

export function readCheckpoint(payload: Uint8Array): Checkpoint | undefined {
  const view = viewOf(payload, CHECKPOINT_BYTES)
  const state = view === undefined ? undefined : STATES[view.getUint8(4)]
  if (view === undefined || state === undefined) return undefined
  const flags = view.getUint8(6)
  return {
    session: view.getUint32(0, true),
    state: state,
    bathIndex: view.getUint8(5),
    cueGiven: (flags & 1) !== 0,
    insistedOnCharge: (flags & 2) !== 0,
    sessionSeconds: view.getFloat32(8, true),
    bathSeconds: view.getFloat32(12, true),
    contentsSeconds: view.getFloat32(16, true),
    progress: view.getFloat32(20, true),
    progressSigma: view.getFloat32(24, true),
    progressPerKelvin: view.getFloat32(28, true),
    bathCelsius: view.getFloat32(32, true),
    bathSigmaCelsius: view.getFloat32(36, true),
    bodyCelsius: view.getFloat32(40, true),
    roomCelsius: view.getFloat32(44, true),
    charge: view.getFloat32(48, true),
    wallSeconds: view.getFloat64(52, true),
  }
}

/** What a session is: written when it begins, and again whenever the other area is taken into use. */
export interface SessionBegun {
  session: number
  recipe: string
  films: number
  filmsPerLitre: number
  /** Of each bath, up to 16. */
  millilitres: number[]
  wallSeconds: number
}

const BEGUN_BYTES = 20
const NAME_BYTES_AT_MOST = 24
const BATHS_AT_MOST = 16

export function sessionBegunBytes(begun: SessionBegun): Uint8Array {
  const baths = Math.min(begun.millilitres.length, BATHS_AT_MOST)
  const name = begun.recipe.substr(0, NAME_BYTES_AT_MOST)
  const bytes = new Uint8Array(BEGUN_BYTES + 2 * baths + name.length)
  const view = new DataView(bytes.buffer)
  view.setUint32(0, begun.session, true)
  view.setUint8(4, begun.films)
  view.setUint8(5, baths)
  view.setUint8(6, name.length)
  view.setFloat32(8, begun.filmsPerLitre, true)
  view.setFloat64(12, begun.wallSeconds, true)
  for (let i = 0; i < baths; i++) view.setUint16(BEGUN_BYTES + 2 * i, begun.millilitres[i], true)
  for (let i = 0; i < name.length; i++) view.setUint8(BEGUN_BYTES + 2 * baths + i, name.charCodeAt(i))
  return bytes
}

export function readSessionBegun(payload: Uint8Array): SessionBegun | undefined {
  const view = viewOf(payload, BEGUN_BYTES)
  if (view === undefined) return undefined
  const baths = view.getUint8(5)
  const letters = view.getUint8(6)
  if (baths > BATHS_AT_MOST || letters > NAME_BYTES_AT_MOST || payload.length < BEGUN_BYTES + 2 * baths + letters) {
    return undefined
  }
  const millilitres: number[] = []
  for (let i = 0; i < baths; i++) millilitres.push(view.getUint16(BEGUN_BYTES + 2 * i, true))
  let recipe = ''
  for (let i = 0; i < letters; i++) recipe += String.fromCharCode(view.getUint8(BEGUN_BYTES + 2 * baths + i))
  return {
    session: view.getUint32(0, true),
    recipe: recipe,
    films: view.getUint8(4),
    filmsPerLitre: view.getFloat32(8, true),
    millilitres: millilitres,
    wallSeconds: view.getFloat64(12, true),
  }
}

/** One event of a session. `seconds` and `alarm` as in `SessionEvent`. */
export interface JournalEvent {
  session: number
  kind: SessionEventKind
  bathIndex: number
  alarm: number
  sessionSeconds: number
  seconds: number
}

const EVENT_BYTES = 16

/** `undefined` for an event that is not written down. */
export function eventBytes(event: JournalEvent): Uint8Array | undefined {
  const code = EVENTS.indexOf(event.kind)
  if (code < 0) return undefined
  const bytes = new Uint8Array(EVENT_BYTES)
  const view = new DataView(bytes.buffer)
  view.setUint32(0, event.session, true)
  view.setUint8(4, code)
  view.setUint8(5, event.bathIndex)
  view.setUint8(6, event.alarm)
  putFloats(view, 8, [event.sessionSeconds, event.seconds])
  return bytes
}

export function readEvent(payload: Uint8Array): JournalEvent | undefined {
  const view = viewOf(payload, EVENT_BYTES)
  const kind = view === undefined ? undefined : EVENTS[view.getUint8(4)]
  if (view === undefined || kind === undefined) return undefined
  return {
    session: view.getUint32(0, true),
    kind: kind,
    bathIndex: view.getUint8(5),
    alarm: view.getUint8(6),
    sessionSeconds: view.getFloat32(8, true),
    seconds: view.getFloat32(12, true),
  }
}

/** What is kept of a session when its details go. It begins with the session's number, as the journal asks. */
export interface Summary {
  session: number
  recipe: string
  finished: boolean
  films: number
  /** Carried through to their last drop. */
  baths: number
  sessionSeconds: number
  /** Over the developed baths: the widest bound, and the least and most that was counted. NaN where there was none. */
  worstBoundPercent: number
  leastProgress: number
  mostProgress: number
  startCharge: number
  endCharge: number
  /** How often alarms were raised, and how often power failed in it. */
  alarms: number
  darkTimes: number
  wallSeconds: number
}

const SUMMARY_BYTES = 48

export function summaryBytes(s: Summary): Uint8Array {
  const name = s.recipe.substr(0, NAME_BYTES_AT_MOST)
  const bytes = new Uint8Array(SUMMARY_BYTES + name.length)
  const view = new DataView(bytes.buffer)
  view.setUint32(0, s.session, true)
  view.setUint8(4, s.finished ? 1 : 0)
  view.setUint8(5, s.films)
  view.setUint8(6, s.baths)
  view.setUint8(7, name.length)
  view.setUint16(8, s.alarms, true)
  view.setUint16(10, s.darkTimes, true)
  putFloats(view, 12, [
    s.sessionSeconds,
    s.worstBoundPercent,
    s.leastProgress,
    s.mostProgress,
    s.startCharge,
    s.endCharge,
  ])
  view.setFloat64(36, s.wallSeconds, true)
  for (let i = 0; i < name.length; i++) view.setUint8(SUMMARY_BYTES + i, name.charCodeAt(i))
  return bytes
}

export function readSummary(payload: Uint8Array): Summary | undefined {
  const view = viewOf(payload, SUMMARY_BYTES)
  if (view === undefined) return undefined
  const letters = view.getUint8(7)
  if (letters > NAME_BYTES_AT_MOST || payload.length < SUMMARY_BYTES + letters) return undefined
  let recipe = ''
  for (let i = 0; i < letters; i++) recipe += String.fromCharCode(view.getUint8(SUMMARY_BYTES + i))
  return {
    session: view.getUint32(0, true),
    recipe: recipe,
    finished: view.getUint8(4) !== 0,
    films: view.getUint8(5),
    baths: view.getUint8(6),
    alarms: view.getUint16(8, true),
    darkTimes: view.getUint16(10, true),
    sessionSeconds: view.getFloat32(12, true),
    worstBoundPercent: view.getFloat32(16, true),
    leastProgress: view.getFloat32(20, true),
    mostProgress: view.getFloat32(24, true),
    startCharge: view.getFloat32(28, true),
    endCharge: view.getFloat32(32, true),
    wallSeconds: view.getFloat64(36, true),
  }
}

function putFloats(view: DataView, at: number, values: number[]): void {
  for (let i = 0; i < values.length; i++) view.setFloat32(at + 4 * i, values[i], true)
}

/** A view of a payload of at least so many bytes. */
function viewOf(payload: Uint8Array, bytes: number): DataView | undefined {
  return payload.length < bytes ? undefined : new DataView(payload.buffer, payload.byteOffset, payload.length)
}
