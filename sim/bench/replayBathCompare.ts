/**
 * One bath of a recorded session beside the same bath in the hands of today's firmware.
 *
 * The same call to pour out is meant within half a second for ticks and rounding, and what two estimates of one bath
 * differ by when each is known as well as the record says: two sigma of the difference, without what both share (the
 * probe's calibration, the dark time).
 */
import type { Checkpoint } from '../../firmware/journal/payloads.ts'
import type { Bath } from '../../firmware/recipe/recipe.ts'
import type { RecordedSession } from '../field/recorded.ts'
import { USUAL_REACTION } from '../rehearsal/asked.ts'
import { clockTime, percent } from '../report/words.ts'
import type { ReplayInputs } from './replayInputs.ts'
import type { BathToday } from './replayRun.ts'
import { countedWords, type Difference, earlierOrLater } from './replayWords.ts'

/** Then and today. Seconds from first contact; `null` where there was nothing. */
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

/** Ticks of a tenth on either side, and a slow second's phase between the two. */
export const TICK_SECONDS = 0.5
/** What sums of seconds leave of a bath of some minutes. */
const SUM_PROGRESS = 0.001
/** Two sigma of the difference between two estimates of the same thing. */
const TWO_ESTIMATES = 2 * Math.SQRT2
/** Hands that the base knew and the record does not: a call leads by how they react and drain, two sigma of what is usual. */
const HANDS_UNKNOWN_SECONDS = 2 * USUAL_REACTION.reactionSigmaSeconds

export function compareBath(
  recorded: RecordedSession,
  inputs: ReplayInputs,
  bath: Bath,
  bathIndex: number,
  today: BathToday,
): ComparedBath {
  const contact = momentOf(recorded, inputs, 'bathBegun', bathIndex)
  const ended = momentOf(recorded, inputs, 'bathEnded', bathIndex)
  const cue = momentOf(recorded, inputs, 'cueGiven', bathIndex) - contact
  const isForecast = isNaN(today.cueSeconds) && !isNaN(cue)
  const todayCue = (isForecast ? today.foretoldCueSeconds : today.cueSeconds) - contact
  const atEnd = checkpointFrom(recorded, isNaN(ended) ? inputs.endSeconds : ended)
  const developed = bath.kind === 'developed'
  const progress = developed && atEnd !== undefined ? atEnd.progress : NaN
  const sigma = progress > 0 ? sigmaOf(recorded, inputs, bathIndex) / progress : 0
  const lasted = isNaN(cue) ? inputs.endSeconds - contact : cue
  const hands = inputs.learnedUnknown ? HANDS_UNKNOWN_SECONDS : 0
  const toleranceSeconds = TICK_SECONDS + hands + TWO_ESTIMATES * sigma * Math.min(lasted, developed ? Infinity : 0)
  const toleranceProgress = SUM_PROGRESS + TWO_ESTIMATES * sigma
  const difference = todayCue - cue
  const cuesAgree = isNaN(cue) ? isNaN(today.cueSeconds) : Math.abs(difference) <= toleranceSeconds
  const countsAgree = isNaN(progress) || Math.abs(today.progress - progress) <= toleranceProgress
  return {
    name: bath.name,
    kind: bath.kind,
    complete: !isNaN(ended),
    recordedCueSeconds: orNull(cue),
    todayCueSeconds: orNull(todayCue),
    todayIsForecast: isForecast && !isNaN(todayCue),
    differenceSeconds: orNull(difference),
    toleranceSeconds,
    recordedProgress: orNull(progress),
    todayProgress: developed ? orNull(today.progress) : null,
    todayBoundPercent: developed ? orNull(today.boundPercent) : null,
    toleranceProgress: developed ? toleranceProgress : null,
    integral: orNull(today.integral),
    same: cuesAgree && countsAgree,
  }
}

function orNull(value: number): number | null {
  return isNaN(value) ? null : value
}

/** NaN where it did not come, or only after what is looked at. */
function momentOf(recorded: RecordedSession, inputs: ReplayInputs, kind: string, bathIndex: number): number {
  const event = recorded.events.find(one => one.kind === kind && one.bathIndex === bathIndex)
  return event === undefined || event.sessionSeconds > inputs.endSeconds ? NaN : event.sessionSeconds
}

/** The first from this moment on: an event's checkpoint is written in the same tick. */
function checkpointFrom(recorded: RecordedSession, seconds: number): Checkpoint | undefined {
  const { checkpoints } = recorded
  return checkpoints.find(c => c.sessionSeconds >= seconds - 0.01) ?? checkpoints[checkpoints.length - 1]
}

/** One sigma of its progress, as the base had it in the end; after a dark time what it was before. */
function sigmaOf(recorded: RecordedSession, inputs: ReplayInputs, bathIndex: number): number {
  const of = recorded.checkpoints.filter(c => c.bathIndex === bathIndex && c.progress > 0 && !isNaN(c.progressSigma))
  const before = inputs.darks.map(dark => of.find(c => c.sessionSeconds === dark.fromSeconds))
  const known = before.find(c => c !== undefined) ?? of[of.length - 1]
  return known?.progressSigma ?? 0
}

export function bathDifferences(bath: ComparedBath): Difference[] {
  if (bath.same) return []
  const { name, recordedCueSeconds: then, todayCueSeconds: now } = bath
  const counts = countsWords(bath)
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
  return [{ about: 'progress', bath: name, words: `called alike${counts}` }]
}

function countsWords(bath: ComparedBath): string {
  const { todayProgress, recordedProgress, todayBoundPercent } = bath
  if (todayProgress === null || recordedProgress === null) return ''
  const end = bath.complete ? 'by the end of the recorded drain' : 'where the record ends'
  const today = countedWords(todayProgress, todayBoundPercent ?? NaN)
  return `; ${end} it counts ${today}, the record ${percent(recordedProgress)}`
}
