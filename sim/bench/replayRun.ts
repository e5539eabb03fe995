/**
 * Carries a recorded session out again: today's firmware on a simulated base whose baths, tank and room have the
 * recorded temperatures, with the operator's presses at their recorded moments.
 *
 * Pack, drive and buttons are taken to be in order, the probe to be calibrated as the base believes; none of that moves
 * the clock. Where today's firmware asks before it takes a press, the hand presses again, as a person would.
 */
import { type Base, tick } from '../../firmware/base.ts'
import type { BaseFile } from '../../firmware/baseFile.ts'
import { appendRecord, openJournal } from '../../firmware/journal/journal.ts'
import { keepCheckpoint } from '../../firmware/journal/keeper.ts'
import { learnedBytes } from '../../firmware/journal/learnedPayload.ts'
import { KIND } from '../../firmware/journal/record.ts'
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import type { SessionEvent } from '../../firmware/session/events.ts'
import { NEAR_CUE_SECONDS } from '../../firmware/session/hands.ts'
import type { Tank } from '../../firmware/tank/tank.ts'
import { crc32 } from '../crc32.ts'
import { drawBathTruth } from '../plant/bathTruth.ts'
import { STREAM } from '../plant/evening.ts'
import { createPins, pressButton, releaseButton } from '../plant/pins.ts'
import { closeRecord, handle, STEP_SECONDS, stepPlant } from '../plant/plant.ts'
import { probeCounts } from '../plant/probe.ts'
import { createRandom } from '../plant/random.ts'
import { LOOK_ROUND_SECONDS } from '../rehearsal/asked.ts'
import { SimulatedStore } from '../store.ts'
import type { RecordedDark, RecordedPress, ReplayInputs } from './replayInputs.ts'
import { type Bench, openBench, restartBase } from './run.ts'
import { bathOnTrace, type TraceCursor, traceFrom } from './trace.ts'

export interface ReplaySetting {
  /** Today's, from the first whole bath on. */
  recipe: Recipe
  tank: Tank
  base: BaseFile
  films: number
  filmsPerLitre: number
  millilitres: number[]
}

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

/** A recorded press that today's firmware did not take at once. */
export interface PressToday {
  press: RecordedPress
  reason: string
  /** Taken when it was made again. */
  takenAgain: boolean
}

export interface AlarmToday {
  number: number
  bathIndex: number
  atSeconds: number
}

export interface DarkToday {
  recorded: RecordedDark
  /** How long the base took itself to have been dark, as today's firmware reckons. */
  seconds: number
}

export interface ReplayToday {
  baths: BathToday[]
  presses: PressToday[]
  alarms: AlarmToday[]
  darks: DarkToday[]
  finished: boolean
}

/** The record of the replay itself; what was learned stands in it when the base starts. */
const STORE_BYTES = 65_536
const BLOCK_BYTES = 4096
/** One seed for all: what is left to chance here is a little noise in the probe's readings. */
const SEED = 1
/** A hand that is asked presses again after so long: later than a slip, sooner than the question is forgotten. */
const AGAIN_SECONDS = 0.6
const PRESS_LASTS_SECONDS = 0.1
const HALF_STEP_SECONDS = 0.05
const SILENCED = 'the first press only silences an alarm'
/** A press is answered within two ticks. */
const ANSWER_SECONDS = 0.35

interface Waiting {
  press: RecordedPress
  untilSeconds: number
  /** It was made a second time. */
  again: boolean
  /** Why, in the base's words; empty where that is no news. */
  reason: string
  /** It silenced an alarm. */
  silenced: boolean
}

interface Course {
  inputs: ReplayInputs
  bench: Bench
  body: TraceCursor
  /** The plant's second of the session's second 0. */
  shiftSeconds: number
  nextPress: number
  /** The press that waits for its answer. */
  waiting: Waiting | undefined
  againSeconds: number
  nextDark: number
  isDark: boolean
  releaseSeconds: { advance: number; hold: number }
  today: ReplayToday
}

/** Carries it out, with baths that are so much warmer than recorded. */
export function replaySession(inputs: ReplayInputs, setting: ReplaySetting, warmerKelvin = 0): ReplayToday {
  const course = createCourse(inputs, setting, warmerKelvin)
  const { pins } = course.bench.plant
  const endSeconds = course.shiftSeconds + inputs.endSeconds + ANSWER_SECONDS
  while (pins.seconds < endSeconds) step(course)
  closeRecord(course.bench.plant)
  return finish(course)
}

function createCourse(inputs: ReplayInputs, setting: ReplaySetting, warmerKelvin: number): Course {
  const { recipe, tank, base, films, filmsPerLitre, millilitres } = setting
  const zero = inputs.zeroSeconds
  const body = traceFrom(inputs.body)
  const bench = openBench(
    {
      recipe,
      tank,
      base,
      seed: SEED,
      filmsInTank: films,
      filmsThrough: filmsPerLitre,
      roomCelsius: inputs.room === undefined ? bathOnTrace(body, zero) : (inputs.room.bathCelsius[0] as number),
      millilitres,
      pourCelsius: recipe.baths.map(() => inputs.bath.bathCelsius[0] as number),
      startCharge: 1,
      exactPresses: true,
    },
    storeWith(inputs),
  )
  const { plant } = bench
  const { evening, pins, probe } = plant
  const bath = traceFrom(inputs.bath)
  evening.forcedBath = seconds => bathOnTrace(bath, zero + seconds) + warmerKelvin
  if (inputs.room !== undefined) {
    const room = traceFrom(inputs.room)
    evening.forcedRoom = seconds => bathOnTrace(room, zero + seconds)
  }
  evening.bath = drawBathTruth(createRandom(SEED, STREAM.bath), tank, 0)
  // The record says what the probes showed, calibration, warmth in air and all.
  probe.truth.errorCelsius = 0
  if (plant.roomProbe !== undefined) plant.roomProbe.truth.errorCelsius = 0
  probe.truth.airSelfHeatingCelsius = 0
  if (!isNaN(inputs.lagSeconds)) probe.truth.lagSeconds = inputs.lagSeconds
  const firstPressSeconds = pins.seconds + LOOK_ROUND_SECONDS
  if (!isNaN(inputs.wallSeconds)) pins.wallOffsetSeconds = inputs.wallSeconds - firstPressSeconds
  const bodyCelsius = bathOnTrace(body, zero)
  plant.bath.bodyCelsius = bodyCelsius
  plant.bath.shellCelsius = bodyCelsius
  probe.celsius = bodyCelsius
  pins.probeCounts = probeCounts(probe, plant.noise)
  // The base was made before the wall clock and the tank's temperature were set.
  restartBase(bench, 'power')
  return {
    inputs,
    bench,
    body,
    shiftSeconds: firstPressSeconds - zero,
    nextPress: 0,
    waiting: undefined,
    againSeconds: NaN,
    nextDark: 0,
    isDark: false,
    releaseSeconds: { advance: Infinity, hold: Infinity },
    today: { baths: [], presses: [], alarms: [], darks: [], finished: false },
  }
}

/** A fresh journal in which stands what the base had learned. The pack's charge is not carried over: the pack is full. */
function storeWith(inputs: ReplayInputs): SimulatedStore {
  const store = new SimulatedStore({ pins: createPins(), bytes: STORE_BYTES, blockBytes: BLOCK_BYTES })
  const { learned } = inputs
  if (learned !== undefined) {
    const energy = { ...learned.energy, charge: 1, chargeSigma: 0.05 }
    appendRecord(openJournal(store, crc32), KIND.learned, learnedBytes({ ...learned, energy }))
  }
  return store
}

/** One tick, the hands, and a tenth of a second. */
function step(course: Course): void {
  const { bench } = course
  const { plant } = bench
  const sessionSeconds = plant.pins.seconds - course.shiftSeconds
  goDarkOrStart(course, sessionSeconds)
  if (!course.isDark) {
    tick(bench.base)
    follow(course, sessionSeconds)
    moveHands(course, sessionSeconds)
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
  const { bench, inputs, today } = course
  const dark = inputs.darks[course.nextDark]
  if (dark === undefined) return
  const { pins } = bench.plant
  if (!course.isDark && sessionSeconds >= dark.fromSeconds + HALF_STEP_SECONDS) {
    course.isDark = true
    if (bench.base.keeper !== undefined) keepCheckpoint(bench.base.keeper, bench.base)
    pins.motorDuty = 0
    pins.motorGoodUntilSeconds = 0
  }
  if (course.isDark && sessionSeconds >= dark.toSeconds - HALF_STEP_SECONDS) {
    course.isDark = false
    course.nextDark++
    for (const cause of dark.causes) restartBase(bench, cause)
    const { alarms } = bench.base.session
    today.darks.push({ recorded: dark, seconds: bench.base.dark?.seconds ?? NaN })
    for (let i = 0; i < alarms.raisedEver; i++) noteAlarm(course, alarms.history[i] as AlarmToday, sessionSeconds)
  }
}

function noteAlarm(course: Course, alarm: { number: number; bathIndex: number }, sessionSeconds: number): void {
  course.today.alarms.push({
    number: alarm.number,
    bathIndex: alarm.bathIndex + course.inputs.firstBath,
    atSeconds: sessionSeconds,
  })
}

/** Notes what the firmware did in this tick. */
function follow(course: Course, sessionSeconds: number): void {
  const { session, clock } = course.bench.base
  const { today } = course
  for (let i = 0; i < session.eventCount; i++) {
    const event = session.events[i] as SessionEvent
    const bath = today.baths[today.baths.length - 1]
    switch (event.kind) {
      case 'bathBegun':
        today.baths.push({
          cueSeconds: NaN,
          foretoldCueSeconds: NaN,
          progress: NaN,
          boundPercent: NaN,
          integral: NaN,
          ended: false,
        })
        break
      case 'cueGiven':
        if (bath !== undefined) bath.cueSeconds = event.atSeconds - course.shiftSeconds
        break
      case 'drainBegun':
        if (bath !== undefined && isNaN(bath.cueSeconds)) {
          bath.foretoldCueSeconds = clock.view.cueAtSeconds - course.shiftSeconds
        }
        break
      case 'bathEnded':
        if (bath !== undefined) {
          bath.ended = true
          bath.progress = clock.view.progress
          bath.boundPercent = clock.view.boundPercent
        }
        break
      case 'alarmRaised':
        noteAlarm(course, event, sessionSeconds)
        break
      case 'sessionFinished':
        today.finished = true
        break
      default:
    }
    if (course.waiting !== undefined) answer(course, course.waiting, event, sessionSeconds)
  }
}

/** What became of the press that waits for its answer. */
function answer(course: Course, waiting: Waiting, event: SessionEvent, sessionSeconds: number): void {
  const { press } = waiting
  const { session } = course.bench.base
  if (event.kind === press.event) {
    if (waiting.again && waiting.reason !== '') {
      course.today.presses.push({ press, reason: waiting.reason, takenAgain: true })
    }
    course.waiting = undefined
  } else if (event.kind === 'acknowledged') waiting.silenced = true
  else if (event.kind === 'refused') {
    if (waiting.again || session.asked === 'none') {
      course.today.presses.push({ press, reason: event.reason, takenAgain: false })
      course.waiting = undefined
    } else {
      // A person who meant to pour out early then was asked then, too: the answer alone was written down.
      waiting.reason = press.beforeCue ? '' : event.reason
      course.againSeconds = sessionSeconds + AGAIN_SECONDS
    }
  }
}

function moveHands(course: Course, sessionSeconds: number): void {
  const { inputs } = course
  release(course, 'advance')
  release(course, 'hold')
  if (course.waiting !== undefined) pressAgain(course, course.waiting, sessionSeconds)
  askFirst(course, inputs.presses[course.nextPress], sessionSeconds)
  const press = inputs.presses[course.nextPress]
  if (press === undefined || sessionSeconds < press.atSeconds - 1e-6) return
  course.nextPress++
  makePress(course, press, sessionSeconds)
}

/** A press that was asked about, or that only silenced an alarm, is made again; one without an answer is given up. */
function pressAgain(course: Course, waiting: Waiting, sessionSeconds: number): void {
  const { press } = waiting
  if (isNaN(course.againSeconds)) {
    if (sessionSeconds <= waiting.untilSeconds) return
    if (press.event === 'acknowledged') course.waiting = undefined
    else if (waiting.silenced && !waiting.again) {
      waiting.reason = SILENCED
      course.againSeconds = sessionSeconds
    } else {
      course.waiting = undefined
      course.today.presses.push({ press, reason: '', takenAgain: false })
    }
  } else if (sessionSeconds >= course.againSeconds - HALF_STEP_SECONDS) {
    course.againSeconds = NaN
    waiting.again = true
    waiting.untilSeconds = sessionSeconds + ANSWER_SECONDS
    pushButton(course, press.button, course.bench.plant.pins.seconds)
  }
}

function makePress(course: Course, press: RecordedPress, sessionSeconds: number): void {
  const { plant, base } = course.bench
  // Nobody silences what does not call.
  if (press.event === 'acknowledged' && base.session.alarms.calling === 0) return
  if (!isNaN(press.takesSeconds)) plant.operator.takesSeconds = press.takesSeconds
  if (press.act !== 'none') handle(plant, press.act)
  pushButton(course, press.button, press.atSeconds + course.shiftSeconds)
  course.againSeconds = NaN
  course.waiting = { press, untilSeconds: sessionSeconds + ANSWER_SECONDS, again: false, reason: '', silenced: false }
}

/** An early pour-out takes two presses, of which the second was written down: the first is made so that it falls there. */
function askFirst(course: Course, press: RecordedPress | undefined, sessionSeconds: number): void {
  if (press === undefined || !press.beforeCue || course.waiting !== undefined) return
  const leadSeconds = press.atSeconds - sessionSeconds
  if (!(leadSeconds <= AGAIN_SECONDS + 1e-6 && leadSeconds > AGAIN_SECONDS - STEP_SECONDS + 1e-6)) return
  const { session, clock } = course.bench.base
  const { pins } = course.bench.plant
  const asks = session.state === 'turning' || session.state === 'held' || session.state === 'stopped'
  if (asks && clock.view.cueAtSeconds - pins.seconds > NEAR_CUE_SECONDS) pushButton(course, 'advance', pins.seconds)
}

function pushButton(course: Course, button: 'advance' | 'hold', atSeconds: number): void {
  const { pins } = course.bench.plant
  pressButton(pins, button)
  pins[button].pressedSeconds = Math.min(atSeconds, pins.seconds)
  course.releaseSeconds[button] = pins.seconds + PRESS_LASTS_SECONDS
}

function release(course: Course, button: 'advance' | 'hold'): void {
  const { pins } = course.bench.plant
  if (pins.seconds < course.releaseSeconds[button] - HALF_STEP_SECONDS) return
  releaseButton(pins, button)
  course.releaseSeconds[button] = Infinity
}

/** What the record leaves unfinished is taken as it stands. */
function finish(course: Course): ReplayToday {
  const { today, bench } = course
  const { plant, base } = bench
  for (let i = 0; i < today.baths.length; i++) {
    const bath = today.baths[i] as BathToday
    const truth = plant.records[i]
    const isLast = i === today.baths.length - 1
    if (!bath.ended && isLast) {
      bath.progress = (base as Base).clock.view.progress
      bath.boundPercent = base.clock.view.boundPercent
    }
    if (truth !== undefined && plant.rates[i] !== undefined) {
      bath.integral = isNaN(truth.endSeconds) ? plant.bath.trueProgress : truth.trueProgress
    }
  }
  return today
}
