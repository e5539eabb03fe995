/**
 * Carries a recorded session out again: today's firmware on a simulated base whose baths, tank and room have the
 * recorded temperatures, with the operator's presses at their recorded moments.
 *
 * How long the base was dark, where a person said so, or where it had to tell from how far the bath had cooled, is
 * taken from the record: a record is too coarse to tell it again.
 */
import { tick } from '../../firmware/base.ts'
import { learnPress } from '../../firmware/clock/clock.ts'
import type { Habit } from '../../firmware/clock/operator.ts'
import { keepCheckpoint } from '../../firmware/journal/keeper.ts'
import { CUT_AFTER_SECONDS, tellDark } from '../../firmware/resume.ts'
import { alarmHistory } from '../../firmware/session/alarms.ts'
import type { SessionEvent } from '../../firmware/session/events.ts'
import { closeRecord, stepPlant } from '../plant/plant.ts'
import { LOOK_ROUND_SECONDS } from '../rehearsal/asked.ts'
import { openReplayBench, type ReplaySetting } from './replayBench.ts'
import { ANSWER_SECONDS, createHands, type Hands, hearAnswer, moveHands, type PressToday } from './replayHands.ts'
import type { RecordedDark, ReplayInputs } from './replayInputs.ts'
import { type Bench, restartBase } from './run.ts'
import { bathOnTrace, type TraceCursor, traceFrom } from './trace.ts'

/** What today's firmware did with one bath. Seconds on the session's clock; NaN for what did not come. */
export interface BathToday {
  cueSeconds: number
  /** Where the bath was poured out before any call: when the firmware would have called. */
  foretoldCueSeconds: number
  /** At the end of the drain, or where the record ends. */
  progress: number
  boundPercent: number
  /** The exact integral over the recorded temperatures, up to there. */
  integral: number
  ended: boolean
}

export interface AlarmToday {
  number: number
  bathIndex: number
  atSeconds: number
}

export interface DarkToday {
  recorded: RecordedDark
  /** How long the base took itself to have been dark, as today's firmware reckons; NaN with no bath in the tank. */
  seconds: number
}

export interface ReplayToday {
  baths: BathToday[]
  presses: PressToday[]
  alarms: AlarmToday[]
  darks: DarkToday[]
  /** Where base and hands parted, on the session's clock; NaN where they did not. */
  lostSeconds: number
}

const HALF_STEP_SECONDS = 0.05

interface Course {
  inputs: ReplayInputs
  bench: Bench
  hands: Hands
  body: TraceCursor
  /** What the base knew of the hand that answers its calls, before this tick. */
  reaction: Habit
  /** The plant's second of the session's second 0. */
  shiftSeconds: number
  nextDark: number
  isDark: boolean
  today: ReplayToday
}

/** Carries it out, with baths that are so much warmer than recorded. */
export function replaySession(inputs: ReplayInputs, setting: ReplaySetting, warmerKelvin = 0): ReplayToday {
  const course = createCourse(inputs, setting, warmerKelvin)
  const { pins } = course.bench.plant
  const endSeconds = course.shiftSeconds + inputs.endSeconds + ANSWER_SECONDS
  while (pins.seconds < endSeconds && !course.hands.lost) step(course)
  closeRecord(course.bench.plant)
  if (course.hands.lost) course.today.lostSeconds = pins.seconds - course.shiftSeconds
  closeBaths(course)
  return course.today
}

function createCourse(inputs: ReplayInputs, setting: ReplaySetting, warmerKelvin: number): Course {
  const bench = openReplayBench(inputs, setting, warmerKelvin)
  const hands = createHands(inputs.presses)
  return {
    inputs,
    bench,
    hands,
    body: traceFrom(inputs.body),
    reaction: { ...bench.base.clock.reaction },
    shiftSeconds: bench.plant.pins.seconds + LOOK_ROUND_SECONDS - inputs.zeroSeconds,
    nextDark: 0,
    isDark: false,
    today: { baths: [], presses: hands.noted, alarms: [], darks: [], lostSeconds: NaN },
  }
}

/** One tick, the hands, and a tenth of a second. */
function step(course: Course): void {
  const { bench, hands } = course
  const { plant } = bench
  const sessionSeconds = plant.pins.seconds - course.shiftSeconds
  goDarkOrStart(course, sessionSeconds)
  if (!course.isDark) {
    Object.assign(course.reaction, bench.base.clock.reaction)
    tick(bench.base)
    follow(course, sessionSeconds)
    moveHands(hands, bench, sessionSeconds, course.shiftSeconds)
  }
  // Nobody looks at the bath of an empty tank: its wall is what the probe is near to.
  if (plant.bath.phase === 'empty') plant.bath.bodyCelsius = bathOnTrace(course.body, sessionSeconds)
  plant.probe.failure = isGone(course, sessionSeconds) ? 'open' : 'none'
  stepPlant(plant, 'nothing')
}

function isGone({ inputs }: Course, sessionSeconds: number): boolean {
  for (const { fromSeconds, toSeconds } of inputs.probeGone) {
    if (sessionSeconds >= fromSeconds && sessionSeconds < toSeconds) return true
  }
  return false
}

/** The base goes dark where the record has its last checkpoint before a start, and starts when it took itself to have. */
function goDarkOrStart(course: Course, sessionSeconds: number): void {
  const { bench, inputs } = course
  const dark = inputs.darks[course.nextDark]
  if (dark === undefined) return
  const { pins } = bench.plant
  // A press just before it was seen before it.
  if (!course.isDark && sessionSeconds >= dark.fromSeconds + HALF_STEP_SECONDS && !course.hands.waiting) {
    course.isDark = true
    pins.wallOffsetSeconds = dark.wallBeforeSeconds - pins.seconds
    if (bench.base.keeper !== undefined) keepCheckpoint(bench.base.keeper, bench.base)
    pins.motorDuty = 0
    pins.motorGoodUntilSeconds = 0
  }
  if (course.isDark && sessionSeconds >= dark.toSeconds - HALF_STEP_SECONDS) startAgain(course, dark, sessionSeconds)
}

function startAgain(course: Course, dark: RecordedDark, sessionSeconds: number): void {
  const { bench, today } = course
  course.isDark = false
  course.nextDark++
  const { pins } = bench.plant
  pins.wallOffsetSeconds = dark.wallAfterSeconds - pins.seconds
  for (const cause of dark.causes) restartBase(bench, cause)
  const { base } = bench
  today.darks.push({ recorded: dark, seconds: base.dark?.seconds ?? NaN })
  if (dark.answered || dark.byCooling) {
    const { covariance } = base.bathSense.observer
    const doubt = covariance.slice()
    tellDark(base, dark.toSeconds - dark.fromSeconds - CUT_AFTER_SECONDS)
    // Where nobody answered, the doubt in it stays.
    if (dark.byCooling) covariance.set(doubt)
  }
  for (const alarm of alarmHistory(base.session.alarms)) noteAlarm(course, alarm, sessionSeconds)
}

function noteAlarm(course: Course, alarm: { number: number; bathIndex: number }, sessionSeconds: number): void {
  const bathIndex = alarm.bathIndex + course.inputs.firstBath
  course.today.alarms.push({ number: alarm.number, bathIndex, atSeconds: sessionSeconds })
}

/** Notes what the firmware did in this tick. */
function follow(course: Course, sessionSeconds: number): void {
  const { session } = course.bench.base
  for (let i = 0; i < session.eventCount; i++) {
    const event = session.events[i] as SessionEvent
    if (event.kind === 'alarmRaised') noteAlarm(course, event, sessionSeconds)
    else noteBath(course, event)
    if (event.kind === 'drainBegun') teachReaction(course)
    hearAnswer(course.hands, session, event, sessionSeconds)
  }
}

/** A hand that answers another call than the recorded one would have come as fast as it came then. */
function teachReaction({ bench, hands, reaction }: Course): void {
  const { clock } = bench.base
  Object.assign(clock.reaction, reaction)
  learnPress(clock, 'reaction', hands.waiting?.press.reactionSeconds ?? NaN)
}

function noteBath({ bench, today, shiftSeconds }: Course, event: SessionEvent): void {
  const { view } = bench.base.clock
  if (event.kind === 'bathBegun') {
    today.baths.push({
      cueSeconds: NaN,
      foretoldCueSeconds: NaN,
      progress: NaN,
      boundPercent: NaN,
      integral: NaN,
      ended: false,
    })
  }
  const bath = today.baths[today.baths.length - 1]
  if (bath === undefined) return
  if (event.kind === 'cueGiven') bath.cueSeconds = event.atSeconds - shiftSeconds
  else if (event.kind === 'drainBegun' && isNaN(bath.cueSeconds)) {
    bath.foretoldCueSeconds = view.cueAtSeconds - shiftSeconds
  } else if (event.kind === 'bathEnded') {
    bath.ended = true
    bath.progress = view.progress
    bath.boundPercent = view.boundPercent
  }
}

/** What the record leaves unfinished is taken as it stands. */
function closeBaths({ bench, today }: Course): void {
  const { plant, base } = bench
  today.baths.forEach((bath, i) => {
    const truth = plant.records[i]
    if (!bath.ended) {
      bath.progress = base.clock.view.progress
      bath.boundPercent = base.clock.view.boundPercent
    }
    if (truth === undefined || plant.rates[i] === undefined) return
    bath.integral = isNaN(truth.endSeconds) ? plant.bath.trueProgress : truth.trueProgress
  })
}
