/**
 * Carries a recorded session out again: today's firmware on a simulated base whose baths, tank and room have the
 * recorded temperatures, with the operator's presses at their recorded moments.
 *
 * Pack, drive and buttons are taken to be in order, and the probe to say what the record says; none of that moves the
 * clock. How long the base was dark, where a person said so, or where it had to tell from how far the bath had cooled, is
 * taken from the record: a record is too coarse to tell it again.
 */
import { tick } from '../../firmware/base.ts'
import type { BaseFile } from '../../firmware/baseFile.ts'
import { learnPress } from '../../firmware/clock/clock.ts'
import type { Habit } from '../../firmware/clock/operator.ts'
import { appendRecord, openJournal } from '../../firmware/journal/journal.ts'
import { keepCheckpoint } from '../../firmware/journal/keeper.ts'
import { learnedBytes } from '../../firmware/journal/learnedPayload.ts'
import { KIND } from '../../firmware/journal/record.ts'
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { tellDark } from '../../firmware/resume.ts'
import { alarmHistory } from '../../firmware/session/alarms.ts'
import type { SessionEvent } from '../../firmware/session/events.ts'
import type { Tank } from '../../firmware/tank/tank.ts'
import { crc32 } from '../crc32.ts'
import { drawBathTruth } from '../plant/bathTruth.ts'
import { STREAM } from '../plant/evening.ts'
import { createPins } from '../plant/pins.ts'
import { closeRecord, type Plant, stepPlant } from '../plant/plant.ts'
import { probeCounts } from '../plant/probe.ts'
import { createRandom } from '../plant/random.ts'
import { LOOK_ROUND_SECONDS } from '../rehearsal/asked.ts'
import { SimulatedStore } from '../store.ts'
import { ANSWER_SECONDS, createHands, type Hands, hearAnswer, moveHands, type PressToday } from './replayHands.ts'
import type { RecordedDark, ReplayInputs } from './replayInputs.ts'
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

/** The record of the replay itself; what was learned stands in it when the base starts. */
const STORE_BYTES = 65_536
const BLOCK_BYTES = 4096
/** One seed for all: what is left to chance here is a little noise in the probe's readings. */
const SEED = 1
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
  const { recipe, tank, base, films, filmsPerLitre, millilitres } = setting
  const zero = inputs.zeroSeconds
  const body = traceFrom(inputs.body)
  const bodyCelsius = bathOnTrace(body, zero)
  const bench = openBench(
    {
      recipe,
      tank,
      base,
      seed: SEED,
      filmsInTank: films,
      filmsThrough: filmsPerLitre,
      roomCelsius: inputs.room === undefined ? bodyCelsius : (inputs.room.bathCelsius[0] as number),
      millilitres,
      pourCelsius: recipe.baths.map(() => inputs.bath.bathCelsius[0] as number),
      startCharge: 1,
      exactPresses: true,
    },
    storeWith(inputs),
  )
  const shiftSeconds = bench.plant.pins.seconds + LOOK_ROUND_SECONDS - zero
  bendPlant(bench.plant, inputs, tank, bodyCelsius, warmerKelvin)
  if (!isNaN(inputs.wallSeconds)) bench.plant.pins.wallOffsetSeconds = inputs.wallSeconds - shiftSeconds - zero
  // The base was made before the wall clock and the tank's temperature were set.
  restartBase(bench, 'power')
  const hands = createHands(inputs.presses)
  return {
    inputs,
    bench,
    hands,
    body,
    reaction: { ...bench.base.clock.reaction },
    shiftSeconds,
    nextDark: 0,
    isDark: false,
    today: { baths: [], presses: hands.noted, alarms: [], darks: [], lostSeconds: NaN },
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

/** The plant does as the record says, and its probes as the record has it: calibration, warmth in air and all. */
function bendPlant(plant: Plant, inputs: ReplayInputs, tank: Tank, bodyCelsius: number, warmerKelvin: number): void {
  const { evening, pins, probe, roomProbe } = plant
  const zero = inputs.zeroSeconds
  const bath = traceFrom(inputs.bath)
  evening.forcedBath = seconds => bathOnTrace(bath, zero + seconds) + warmerKelvin
  if (inputs.room !== undefined) {
    const room = traceFrom(inputs.room)
    evening.forcedRoom = seconds => bathOnTrace(room, zero + seconds)
  }
  evening.bath = drawBathTruth(createRandom(SEED, STREAM.bath), tank, 0)
  plant.bath.bodyCelsius = bodyCelsius
  plant.bath.shellCelsius = bodyCelsius
  probe.truth.errorCelsius = 0
  probe.truth.airSelfHeatingCelsius = 0
  if (!isNaN(inputs.lagSeconds)) probe.truth.lagSeconds = inputs.lagSeconds
  probe.celsius = bodyCelsius
  pins.probeCounts = probeCounts(probe, plant.noise)
  if (roomProbe !== undefined) roomProbe.truth.errorCelsius = 0
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
  if (!course.isDark && sessionSeconds >= dark.fromSeconds + HALF_STEP_SECONDS) {
    course.isDark = true
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
  for (const cause of dark.causes) restartBase(bench, cause)
  const { base } = bench
  today.darks.push({ recorded: dark, seconds: base.dark?.seconds ?? NaN })
  if (dark.answered || dark.byCooling) {
    const { covariance } = base.bathSense.observer
    const doubt = covariance.slice()
    tellDark(base, dark.toSeconds - dark.fromSeconds)
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
