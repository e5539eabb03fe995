/**
 * The alarms of a recorded session beside those of today's firmware. An alarm counts as different only when neither a
 * tenth of a degree more nor less in the baths would change that: whether a bath at the edge of its range alarms, no
 * record is fine enough to tell.
 */
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import type { RecordedSession } from '../field/recorded.ts'
import type { ReplayInputs } from './replayInputs.ts'
import type { AlarmToday, ReplayToday } from './replayRun.ts'
import { alarmWords, bathName, type Difference, earlierOrLater, sinceContact } from './replayWords.ts'

/** Baths are tried so much warmer and colder as well: twice the usual sigma of a recorded bath. */
export const EDGE_KELVIN = 0.1
/** An alarm is looked for once a second, and its cause is a slow one. */
const ALARM_SECONDS = 10
/** Of the probe: it does not answer sensibly; it contradicts what is known of the bath. */
const PROBE_FAILED_ALARM = 10
const CONTRADICTED_ALARM = 14
/** How sure the time is, it says; after the dark that depends on how well the dark time is known. */
const BOUND_WIDE_ALARM = 15
/** The hands come when they came, whenever they are called today: how long a call stands then says nothing. */
const OVERDUE_ALARM = 41

/** What the drive, the pack, the buttons and the flash did is not in the record. */
function canBeTried(alarm: number): boolean {
  return (alarm >= 10 && alarm < 20) || (alarm >= 40 && alarm < 46) || alarm === 50
}

export interface AlarmsCompared {
  differences: Difference[]
  /** What cannot be told, and why. */
  untold: string[]
}

/** Today's firmware with the baths as recorded; and with them a little warmer and a little colder, which takes its time. */
export interface Tries {
  today: ReplayToday
  edges: () => ReplayToday[]
}

/** `otherCalls`: baths whose call to pour out is another. Of one alarm in one bath the first is looked at. */
export function compareAlarms(
  recorded: RecordedSession,
  inputs: ReplayInputs,
  recipe: Recipe,
  tries: Tries,
  otherCalls: number[],
): AlarmsCompared {
  const found: AlarmsCompared = { differences: [], untold: [] }
  const { lostSeconds, alarms } = tries.today
  const endSeconds = isNaN(lostSeconds) ? inputs.endSeconds : lostSeconds
  const then: AlarmToday[] = recorded.events
    .filter(event => event.kind === 'alarmRaised' && isWithin(inputs.zeroSeconds, event.sessionSeconds, endSeconds))
    .map(event => ({ number: event.alarm, bathIndex: event.bathIndex, atSeconds: event.sessionSeconds }))
  for (const number of new Set(then.map(alarm => alarm.number).filter(number => !canBeTried(number)))) {
    found.untold.push(`${alarmWords(number)} was raised; what its sensors saw is not in the record`)
  }
  for (const { number, bathIndex } of then) {
    if (number !== PROBE_FAILED_ALARM && number !== CONTRADICTED_ALARM) continue
    const taken =
      number === PROBE_FAILED_ALARM ? 'it is taken to have been silent' : 'the bath is taken as the base had it'
    const bath = bathName(recipe, bathIndex)
    found.untold.push(`${alarmWords(number)} in ${bath}: what the probe showed is not in the record; ${taken}`)
  }
  const kinds = new Map<string, AlarmToday>()
  for (const alarm of [...then, ...alarms].filter(one => canBeTried(one.number))) {
    const key = `${alarm.bathIndex} ${alarm.number}`
    if (!kinds.has(key)) kinds.set(key, alarm)
  }
  for (const kind of kinds.values()) {
    if (kind.number === OVERDUE_ALARM && otherCalls.includes(kind.bathIndex)) continue
    if (kind.number === BOUND_WIDE_ALARM && wasDarkIn(recorded, inputs, kind.bathIndex)) {
      found.untold.push(`${alarmWords(kind.number)} after the dark: the record is too coarse for how sure the time is`)
    } else compareAlarm(recorded, recipe, kind, then, tries, found)
  }
  return found
}

function isWithin(least: number, value: number, most: number): boolean {
  return value >= least && value <= most
}

function wasDarkIn(recorded: RecordedSession, inputs: ReplayInputs, bathIndex: number): boolean {
  const of = recorded.checkpoints.filter(c => c.bathIndex === bathIndex).map(c => c.sessionSeconds)
  return inputs.darks.some(dark => of.includes(dark.fromSeconds))
}

function compareAlarm(
  recorded: RecordedSession,
  recipe: Recipe,
  kind: AlarmToday,
  then: AlarmToday[],
  tries: Tries,
  found: AlarmsCompared,
): void {
  const isIt = (alarm: AlarmToday): boolean => alarm.number === kind.number && alarm.bathIndex === kind.bathIndex
  const before = then.find(isIt)
  const now = tries.today.alarms.find(isIt)
  if (before !== undefined && now !== undefined && isNear(before, now)) return
  const edges = tries.edges().map(one => one.alarms.find(isIt))
  const bath = bathName(recipe, kind.bathIndex)
  const what = alarmWords(kind.number)
  const at = (alarm: AlarmToday): string => sinceContact(recorded, kind.bathIndex, alarm.atSeconds)
  const say = (words: string): void => {
    found.differences.push({ about: 'alarm', bath, words })
  }
  if (before === undefined || now === undefined) {
    const isDecided = edges.every(edge => (edge === undefined) === (now === undefined))
    if (!isDecided) found.untold.push(`${what} in ${bath}: a tenth of a degree decides whether it is raised`)
    else if (now !== undefined) say(`raises ${what} ${at(now)}; it was not raised`)
    else if (before !== undefined) say(`does not raise ${what}; it was raised ${at(before)}`)
    return
  }
  // Where a tenth of a degree moves it by as much, its moment says nothing.
  const moments = [now, ...edges.filter(edge => edge !== undefined)].map(alarm => alarm.atSeconds)
  const least = Math.min(...moments) - ALARM_SECONDS
  const most = Math.max(...moments) + ALARM_SECONDS
  if (isWithin(least, before.atSeconds, most)) return
  say(`raises ${what} ${earlierOrLater(now.atSeconds - before.atSeconds)} (recorded ${at(before)}, today ${at(now)})`)
}

function isNear(one: AlarmToday, other: AlarmToday): boolean {
  return Math.abs(one.atSeconds - other.atSeconds) <= ALARM_SECONDS
}
