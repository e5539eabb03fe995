/**
 * A recorded session beside what today's firmware does with the same baths and the same presses: bath by bath, and what
 * it would have done otherwise.
 *
 * "The same" is meant within what the record can tell. A call to pour out: half a second for ticks and rounding, and what
 * two estimates of one bath differ by when each is known as the record says (twice the root of two times its sigma,
 * without the probe's calibration, which both share). An alarm: one that neither a tenth of a degree more nor less would
 * change, twice the usual sigma of a recorded bath.
 */
import { createHabit } from '../../firmware/clock/operator.ts'
import type { Checkpoint } from '../../firmware/journal/payloads.ts'
import type { Bath, Recipe } from '../../firmware/recipe/recipe.ts'
import { ALARMS, alarmPlace } from '../../firmware/session/alarmTable.ts'
import type { RecordedSession } from '../field/recorded.ts'
import { USUAL_REACTION } from '../rehearsal/asked.ts'
import { clockTime, percent } from '../report/words.ts'
import type { ReplayInputs } from './replayInputs.ts'
import type { AlarmToday, BathToday, PressToday, ReplayToday } from './replayRun.ts'

/** One bath, then and today. Seconds from its first contact; `null` where there was nothing. */
export interface ComparedBath {
  name: string
  kind: Bath['kind']
  /** The record goes to the end of its drain. */
  complete: boolean
  recordedCueSeconds: number | null
  todayCueSeconds: number | null
  /** Today's call would have come only after the recorded pour-out: by its forecast. */
  todayIsForecast: boolean
  /** Today's less the recorded one. */
  differenceSeconds: number | null
  toleranceSeconds: number
  /** Counted by the end of the drain, or of the record. `null` for a bath by time. */
  recordedProgress: number | null
  todayProgress: number | null
  todayBoundPercent: number | null
  toleranceProgress: number | null
  /** The exact integral over the recorded temperatures. */
  integral: number | null
  same: boolean
}

export interface Difference {
  about: 'cue' | 'progress' | 'press' | 'alarm' | 'dark'
  bath: string
  words: string
}

export interface Comparison {
  baths: ComparedBath[]
  differences: Difference[]
  /** What cannot be told from this record, and why. */
  untold: string[]
  same: boolean
}

/** Two ticks and half of the last figure of a second. */
const TICK_SECONDS = 0.5
/** What the clock's arithmetic leaves: DESIGN's 0.3 %, of which the same firmware shares most, and a tick's worth. */
const ARITHMETIC_PROGRESS = 0.001
/** Two estimates of the same bath, at two sigma. */
const TWO_ESTIMATES = 2 * Math.SQRT2
/** An alarm is looked for once a second, and its cause is a slow one. */
const ALARM_SECONDS = 10
/** Baths this much warmer and colder are tried as well. */
export const EDGE_KELVIN = 0.1

/** What the drive, the pack, the buttons and the flash did is not in the record. */
function canBeTried(alarm: number): boolean {
  return (alarm >= 10 && alarm < 20) || (alarm >= 40 && alarm < 46) || alarm === 50
}

/** `tries`: with baths as recorded, warmer and colder. */
export function compare(
  recorded: RecordedSession,
  inputs: ReplayInputs,
  recipe: Recipe,
  tries: ReplayToday[],
): Comparison {
  const today = tries[0] as ReplayToday
  const baths = today.baths.map((bath, i) =>
    compareBath(recorded, inputs, recipe.baths[i + inputs.firstBath]!, bath, i),
  )
  const differences = [
    ...baths.flatMap(cueDifference),
    ...today.presses.map(press => pressDifference(recorded, recipe, press)),
    ...darkDifferences(inputs, recipe, baths, today, recorded),
  ]
  const alarms = compareAlarms(recorded, inputs, recipe, tries)
  differences.push(...alarms.differences)
  return {
    baths,
    differences,
    untold: [...untoldOf(recorded, inputs), ...alarms.untold],
    same: differences.length === 0,
  }
}

function compareBath(
  recorded: RecordedSession,
  inputs: ReplayInputs,
  bath: Bath,
  today: BathToday,
  place: number,
): ComparedBath {
  const index = inputs.firstBath + place
  const moment = (kind: string): number =>
    recorded.events.find(event => event.kind === kind && event.bathIndex === index)?.sessionSeconds ?? NaN
  const contact = moment('bathBegun')
  const endSeconds = moment('bathEnded')
  const complete = endSeconds <= inputs.endSeconds
  const cue = moment('cueGiven') <= inputs.endSeconds ? moment('cueGiven') - contact : NaN
  const isForecast = isNaN(today.cueSeconds) && !isNaN(today.foretoldCueSeconds)
  const todayCue = (isForecast ? today.foretoldCueSeconds : today.cueSeconds) - contact
  const developed = bath.kind === 'developed'
  const atCue = checkpointAt(recorded, isNaN(cue) ? Math.min(endSeconds, inputs.endSeconds) : cue + contact)
  const sigma = developed && atCue !== undefined && atCue.progress > 0 ? atCue.progressSigma / atCue.progress : 0
  const atEnd = checkpointAt(recorded, complete ? endSeconds : inputs.endSeconds)
  const recordedProgress = developed ? (atEnd?.progress ?? null) : null
  const lasted = isNaN(cue) ? (isNaN(todayCue) ? 0 : todayCue) : cue
  const toleranceSeconds = TICK_SECONDS + TWO_ESTIMATES * sigma * lasted + handsSeconds(inputs)
  const toleranceProgress = developed ? ARITHMETIC_PROGRESS + TWO_ESTIMATES * sigma : null
  const difference = todayCue - cue
  // A bath that was poured out before any call shows no call; one that was called has no need of a forecast to agree.
  const cuesAgree = isNaN(cue) ? isNaN(today.cueSeconds) : Math.abs(difference) <= toleranceSeconds
  const progressAgrees =
    recordedProgress === null || Math.abs(today.progress - recordedProgress) <= (toleranceProgress as number)
  return {
    name: bath.name,
    kind: bath.kind,
    complete,
    recordedCueSeconds: orNull(cue),
    todayCueSeconds: orNull(isNaN(cue) && isForecast ? NaN : todayCue),
    todayIsForecast: isForecast && !isNaN(cue),
    differenceSeconds: orNull(difference),
    toleranceSeconds,
    recordedProgress,
    todayProgress: developed ? orNull(today.progress) : null,
    todayBoundPercent: developed ? orNull(today.boundPercent) : null,
    toleranceProgress,
    integral: orNull(today.integral),
    same: cuesAgree && progressAgrees,
  }
}

function orNull(value: number): number | null {
  return isNaN(value) ? null : value
}

/** The first from this moment on: an event's checkpoint is written in the same tick. */
function checkpointAt(recorded: RecordedSession, seconds: number): Checkpoint | undefined {
  const { checkpoints } = recorded
  return checkpoints.find(c => c.sessionSeconds >= seconds - 0.01) ?? checkpoints[checkpoints.length - 1]
}

/** Hands that the base knew and the record does not: the call leads by what is usual for reaction and drain. */
function handsSeconds(inputs: ReplayInputs): number {
  return inputs.learnedUnknown
    ? 2 * createHabit(USUAL_REACTION.reactionSeconds, USUAL_REACTION.reactionSigmaSeconds).sigmaSeconds
    : 0
}

function cueDifference(bath: ComparedBath): Difference[] {
  if (bath.same) return []
  const { name, recordedCueSeconds: then, todayCueSeconds: now } = bath
  const counts = bath.recordedProgress === null ? '' : `; ${countsWords(bath)}`
  const about = 'cue'
  if (then !== null && now !== null && Math.abs(now - then) > bath.toleranceSeconds) {
    const by = bath.todayIsForecast ? ', by its forecast when it was poured out' : ''
    const times = `(recorded ${clockTime(then)}, today ${clockTime(now)}${by})`
    return [{ about, bath: name, words: `pour-out called ${earlierOrLater(now - then)} ${times}${counts}` }]
  }
  if (then === null && now !== null) {
    return [{ about, bath: name, words: `pour-out called at ${clockTime(now)}; the record has no call${counts}` }]
  }
  if (then !== null && now === null) {
    return [{ about, bath: name, words: `no call to pour out; the record has one at ${clockTime(then)}${counts}` }]
  }
  return [{ about: 'progress', bath: name, words: countsWords(bath) }]
}

function countsWords(bath: ComparedBath): string {
  const end = bath.complete ? 'by the end of the recorded drain' : 'where the record ends'
  const bound = (bath.todayBoundPercent ?? 0).toFixed(1)
  return (
    `${end} it counts ${percent(bath.todayProgress ?? NaN)} +-${bound} done, ` +
    `the record ${percent(bath.recordedProgress ?? NaN)}`
  )
}

function earlierOrLater(seconds: number): string {
  return `${secondsWords(Math.abs(seconds))} ${seconds < 0 ? 'earlier' : 'later'}`
}

/** Below ten seconds a tenth counts. */
export function secondsWords(seconds: number): string {
  return seconds < 9.95 ? `${seconds.toFixed(1)} s` : seconds < 99.5 ? `${Math.round(seconds)} s` : clockTime(seconds)
}

const MEANINGS: { [kind: string]: string } = {
  bathBegun: 'the press that begins the pour',
  turningBegun: 'the press that says full',
  drainBegun: 'the press to pour out',
  bathEnded: 'the press that says empty',
  held: 'the press to hold',
  holdEnded: 'the press that ends the hold',
}

function bathName(recipe: Recipe, bathIndex: number): string {
  return recipe.baths[bathIndex]?.name ?? ''
}

function sinceContact(recorded: RecordedSession, bathIndex: number, seconds: number): string {
  const begun = recorded.events.find(event => event.kind === 'bathBegun' && event.bathIndex === bathIndex)
  return clockTime(seconds - (begun?.sessionSeconds ?? 0))
}

function pressDifference(
  recorded: RecordedSession,
  recipe: Recipe,
  { press, reason, takenAgain }: PressToday,
): Difference {
  const what = `${MEANINGS[press.event] ?? 'a press'} at ${sinceContact(recorded, press.bathIndex, press.atSeconds)}`
  const said = reason === '' ? '' : ` ("${reason}")`
  const words = takenAgain ? `it asks before it takes ${what}${said}` : `it does not take ${what}${said}`
  return { about: 'press', bath: bathName(recipe, press.bathIndex), words }
}

function darkDifferences(
  inputs: ReplayInputs,
  recipe: Recipe,
  baths: ComparedBath[],
  today: ReplayToday,
  recorded: RecordedSession,
): Difference[] {
  const differences: Difference[] = []
  for (const { recorded: dark, seconds } of today.darks) {
    const then = dark.toSeconds - dark.fromSeconds
    const index = recorded.checkpoints.filter(c => c.sessionSeconds <= dark.fromSeconds).pop()?.bathIndex ?? 0
    const tolerance = baths[index - inputs.firstBath]?.toleranceSeconds ?? TICK_SECONDS
    if (isNaN(seconds) || Math.abs(seconds - then) <= tolerance) continue
    differences.push({
      about: 'dark',
      bath: bathName(recipe, index),
      words: `takes itself to have been dark for ${secondsWords(seconds)} (recorded ${secondsWords(then)})`,
    })
  }
  return differences
}

interface AlarmsCompared {
  differences: Difference[]
  untold: string[]
}

function compareAlarms(
  recorded: RecordedSession,
  inputs: ReplayInputs,
  recipe: Recipe,
  tries: ReplayToday[],
): AlarmsCompared {
  const found: AlarmsCompared = { differences: [], untold: [] }
  const then: AlarmToday[] = recorded.events
    .filter(event => event.kind === 'alarmRaised' && within(inputs, event.sessionSeconds))
    .map(event => ({ number: event.alarm, bathIndex: event.bathIndex, atSeconds: event.sessionSeconds }))
  const untried = new Set(then.filter(alarm => !canBeTried(alarm.number)).map(alarm => alarm.number))
  for (const number of untried) {
    found.untold.push(`${alarmWords(number)} was raised; what its sensors saw is not in the record, so it is not tried`)
  }
  const all = tries.map(one => one.alarms.filter(alarm => canBeTried(alarm.number)))
  const kinds = new Map<string, AlarmToday>()
  for (const alarm of [...then.filter(one => canBeTried(one.number)), ...all.flat()]) {
    const key = `${alarm.bathIndex} ${alarm.number}`
    if (!kinds.has(key)) kinds.set(key, alarm)
  }
  for (const kind of kinds.values()) compareAlarm(recorded, recipe, kind, then, all, found)
  return found
}

function within(inputs: ReplayInputs, seconds: number): boolean {
  return seconds >= inputs.zeroSeconds && seconds <= inputs.endSeconds
}

function compareAlarm(
  recorded: RecordedSession,
  recipe: Recipe,
  kind: AlarmToday,
  then: AlarmToday[],
  all: AlarmToday[][],
  found: AlarmsCompared,
): void {
  const isIt = (alarm: AlarmToday): boolean => alarm.number === kind.number && alarm.bathIndex === kind.bathIndex
  const before = then.find(isIt)
  const now = all.map(alarms => alarms.find(isIt))
  const bath = bathName(recipe, kind.bathIndex)
  const at = (alarm: AlarmToday): string => sinceContact(recorded, kind.bathIndex, alarm.atSeconds)
  const say = (words: string): void => {
    found.differences.push({ about: 'alarm', bath, words })
  }
  const raisedIn = now.filter(alarm => alarm !== undefined).length
  const asRecorded = now[0]
  if (raisedIn > 0 && raisedIn < now.length && (before === undefined) !== (asRecorded === undefined)) {
    found.untold.push(`${alarmWords(kind.number)} in ${bath}: a tenth of a degree decides whether it is raised`)
  } else if (before === undefined && asRecorded !== undefined) {
    say(`raises ${alarmWords(kind.number)} at ${at(asRecorded)}, which was not raised`)
  } else if (before !== undefined && asRecorded === undefined) {
    say(`does not raise ${alarmWords(kind.number)}, which was raised at ${at(before)}`)
  } else if (before !== undefined && asRecorded !== undefined) {
    // Where a tenth of a degree moves it by as much, its moment says nothing.
    const moments = now.filter(alarm => alarm !== undefined).map(alarm => alarm.atSeconds)
    const least = Math.min(...moments) - ALARM_SECONDS
    const most = Math.max(...moments) + ALARM_SECONDS
    if (before.atSeconds >= least && before.atSeconds <= most) return
    const off = earlierOrLater(asRecorded.atSeconds - before.atSeconds)
    say(`raises ${alarmWords(kind.number)} ${off} (recorded ${at(before)}, today ${at(asRecorded)})`)
  }
}

function alarmWords(number: number): string {
  return `alarm ${number} (${ALARMS[alarmPlace(number)]?.short ?? 'not known today'})`
}

function untoldOf(recorded: RecordedSession, inputs: ReplayInputs): string[] {
  const untold: string[] = []
  if (recorded.missing !== '') untold.push(`the record is not whole: ${recorded.missing}`)
  if (inputs.learnedUnknown) {
    untold.push(
      'what the base had learned of its operator before is not in the record; what it knew later is taken, ' +
        'and calls may be off by 3 s more',
    )
  }
  if (recorded.events.some(event => event.kind === 'stopped')) {
    untold.push('the motor was stopped because driving was not safe; what the pack gave is not in the record')
  }
  return untold
}
