/**
 * Alarms, latched: raised when a cause has lasted, standing until a person acknowledges, sounded again when the cause
 * outlives the acknowledgement.
 *
 * Assumes that whoever finds a cause notes it once a second (`noteCause`), as long as it lasts, and then takes what
 * `nextRaised` gives. Nothing is ever lost by a burst of alarms: what is not taken now stays ripe for the next second.
 * Times are on the monotonic clock. The places are those of `ALARMS`.
 */
import { ALARMS } from './alarmTable.ts'

/** A cause must have been away for so long before it counts as a new one (assumed): a flickering sensor rings once. */
export const GONE_SECONDS = 10
/** A cause that outlives its acknowledgement is called out again after this (assumed). */
export const URGENT_AGAIN_SECONDS = 45
export const MILD_AGAIN_SECONDS = 300
/** An alarm younger than this has not been heard: a press that comes at the same moment does not acknowledge it. */
export const HEARD_SECONDS = 1
/** How many alarms are remembered with their moments. */
export const HISTORY_AT_MOST = 16

const QUIET = 0
/** The cause is there and has not lasted long enough. */
const PENDING = 1
/** Raised, and nobody has acknowledged it. */
const CALLING = 2
/** Acknowledged; the cause is still there or has only just gone. */
const ACKNOWLEDGED = 3

export interface AlarmRecord {
  number: number
  bathIndex: number
  atSeconds: number
}

export interface Alarms {
  /** By place in `ALARMS`. */
  level: Uint8Array
  /** When the cause was seen first; while acknowledged, when that was. */
  sinceSeconds: Float64Array
  raisedSeconds: Float64Array
  /** When the cause was seen last. */
  seenSeconds: Float64Array
  /** How many are not quiet: 0 on the usual path. */
  active: number
  /** How many were raised and are not over; of these, how many nobody has acknowledged; of these, the urgent ones. */
  standing: number
  calling: number
  callingUrgent: number
  /** The newest `HISTORY_AT_MOST`, as a ring; and how many there ever were. */
  history: AlarmRecord[]
  raisedEver: number
}

export function createAlarms(): Alarms {
  const history: AlarmRecord[] = []
  for (let i = 0; i < HISTORY_AT_MOST; i++) history.push({ number: 0, bathIndex: -1, atSeconds: NaN })
  return {
    level: new Uint8Array(ALARMS.length),
    sinceSeconds: new Float64Array(ALARMS.length),
    raisedSeconds: new Float64Array(ALARMS.length),
    seenSeconds: new Float64Array(ALARMS.length),
    active: 0,
    standing: 0,
    calling: 0,
    callingUrgent: 0,
    history: history,
    raisedEver: 0,
  }
}

/** The cause of the alarm at `place` is there now. */
export function noteCause(a: Alarms, place: number, nowSeconds: number): void {
  a.seenSeconds[place] = nowSeconds
  if (a.level[place] !== QUIET) return
  a.level[place] = PENDING
  a.sinceSeconds[place] = nowSeconds
  a.active++
}

/** The cause is known to be over: no waiting for it to stay away. A standing alarm goes on standing until acknowledged. */
export function clearCause(a: Alarms, place: number): void {
  a.seenSeconds[place] = -Infinity
  if (a.level[place] === PENDING || a.level[place] === ACKNOWLEDGED) quieten(a, place)
}

/** Raises an alarm at once, whatever its delay. Gives false when it stands already. */
export function raiseAlarm(a: Alarms, place: number, bathIndex: number, nowSeconds: number): boolean {
  noteCause(a, place, nowSeconds)
  if (a.level[place] !== PENDING) return false
  call(a, place, nowSeconds)
  const record = a.history[a.raisedEver % HISTORY_AT_MOST]
  record.number = ALARMS[place].number
  record.bathIndex = bathIndex
  record.atSeconds = nowSeconds
  a.raisedEver++
  return true
}

/**
 * After all causes of this second were noted: settles what has ripened or gone, and gives the place of the next alarm
 * that was raised, or of one called out again as −2 − place; −1 when there is none left. Call until it gives −1.
 */
export function nextRaised(a: Alarms, bathIndex: number, nowSeconds: number): number {
  for (let i = 0; i < ALARMS.length; i++) {
    const level = a.level[i]
    if (level === PENDING) {
      if (a.seenSeconds[i] < nowSeconds) quieten(a, i)
      else if (nowSeconds - a.sinceSeconds[i] >= ALARMS[i].afterSeconds) {
        raiseAlarm(a, i, bathIndex, nowSeconds)
        return i
      }
    } else if (level === ACKNOWLEDGED) {
      if (nowSeconds - a.seenSeconds[i] > GONE_SECONDS) quieten(a, i)
      else if (a.seenSeconds[i] === nowSeconds && nowSeconds - a.sinceSeconds[i] >= againSeconds(i)) {
        call(a, i, nowSeconds)
        return -2 - i
      }
    }
  }
  return -1
}

/** A person pressed a button: every alarm that could be heard by then is acknowledged. Gives how many. */
export function acknowledge(a: Alarms, pressSeconds: number): number {
  let acknowledged = 0
  if (a.calling === 0) return 0
  for (let i = 0; i < ALARMS.length; i++) {
    if (a.level[i] !== CALLING || pressSeconds - a.raisedSeconds[i] < HEARD_SECONDS) continue
    acknowledged++
    a.calling--
    if (ALARMS[i].urgent) a.callingUrgent--
    a.level[i] = ACKNOWLEDGED
    a.sinceSeconds[i] = pressSeconds
  }
  return acknowledged
}

/** The place of the alarm to show: urgent before mild, calling before acknowledged, then by number; −1 when none stands. */
export function foremost(a: Alarms): number {
  let found = -1
  let best = 0
  if (a.active === 0) return -1
  for (let i = 0; i < ALARMS.length; i++) {
    const level = a.level[i]
    if (level < CALLING) continue
    const rank = (level === CALLING ? 4 : 2) + (ALARMS[i].urgent ? 1 : 0)
    if (rank > best) {
      best = rank
      found = i
    }
  }
  return found
}

/** The numbers of all alarms that stand, acknowledged ones with a lasting cause too; for the record and the console. */
export function standingAlarms(a: Alarms): number[] {
  const numbers: number[] = []
  for (let i = 0; i < ALARMS.length; i++) if (a.level[i] >= CALLING) numbers.push(ALARMS[i].number)
  return numbers
}

/** Whether the alarm at `place` is raised and nobody has acknowledged it. */
export function isCalling(a: Alarms, place: number): boolean {
  return a.level[place] === CALLING
}

/** What was raised, oldest first, at most `HISTORY_AT_MOST`. */
export function alarmHistory(a: Alarms): AlarmRecord[] {
  const records: AlarmRecord[] = []
  const oldest = a.raisedEver > HISTORY_AT_MOST ? a.raisedEver - HISTORY_AT_MOST : 0
  for (let i = oldest; i < a.raisedEver; i++) records.push(a.history[i % HISTORY_AT_MOST])
  return records
}

function againSeconds(place: number): number {
  return ALARMS[place].urgent ? URGENT_AGAIN_SECONDS : MILD_AGAIN_SECONDS
}

function call(a: Alarms, place: number, nowSeconds: number): void {
  if (a.level[place] === PENDING) a.standing++
  a.level[place] = CALLING
  a.raisedSeconds[place] = nowSeconds
  a.calling++
  if (ALARMS[place].urgent) a.callingUrgent++
}

function quieten(a: Alarms, place: number): void {
  if (a.level[place] >= CALLING) a.standing--
  a.level[place] = QUIET
  a.active--
}

/** A person did what the alarm asked for: over, acknowledged and all. */
export function resolveAlarm(a: Alarms, place: number): void {
  if (a.level[place] === QUIET) return
  if (a.level[place] === CALLING) {
    a.calling--
    if (ALARMS[place].urgent) a.callingUrgent--
  }
  quieten(a, place)
}
