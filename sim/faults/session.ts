/**
 * One session of the campaign: a safety phase, in which faults come and go and every promise is held; then the faults are
 * over, and the base has to come back to normal and carry a session to its end.
 */
import type { Base } from '../../firmware/base.ts'
import { planSession } from '../../firmware/planning.ts'
import { alarmHistory } from '../../firmware/session/alarms.ts'
import { ALARMS, alarmPlace } from '../../firmware/session/alarmTable.ts'
import type { SessionEvent } from '../../firmware/session/events.ts'
import { resetPack } from '../plant/pack.ts'
import { closeRecord, STEP_SECONDS, stepPlant } from '../plant/plant.ts'
import { between, createRandom, uniform } from '../plant/random.ts'
import { expectedLength, FAULT_STREAM } from './draw.ts'
import { createPerson, type Person, stepPerson } from './person.ts'
import { act, beginAndEnd, createPlay, endAll, noteMoment, type Play } from './play.ts'
import { type Checker, checkTick, createChecker } from './promises/checker.ts'
import { type Broken, PROMISE_NAMES, type PromiseName } from './promises/promise.ts'
import { type BoundCounts, broke, judge } from './promises/watch.ts'
import { createRig, type Rig, runTicks, watchBoard } from './rig.ts'
import type { Moment, Scenario } from './scenario.ts'
import { AFTER_RESET } from './tables/board.ts'

export interface SessionResult {
  seed: number
  simulatedSeconds: number
  broken: Broken[]
  /** Faults by name, alarms as `alarm NUMBER name`. */
  marks: { [name: string]: number }
  /** Promises that came up in this session. */
  judged: PromiseName[]
  bounds: BoundCounts
  /** How the session stood at the end. */
  ended: string
}

/** The faults go on for so long after a session that ended while they lasted. */
const OVER_SECONDS = [10, 120] as const
/** With the faults over, the session has so long to end, beyond what its recipe takes. */
const RECOVERY_SECONDS = 900
/** A tank that was filled although the session was over is empty again by then. */
const EMPTYING_SECONDS = 60
/** A base that is done stays so for a moment: what is wrong then shows. */
const CALM_SECONDS = 75
/** So long the tank must have turned with the faults over, for its sensors to be seen again. */
const TURNED_SECONDS = 40
const MOMENTS: { [kind in SessionEvent['kind']]?: Moment } = {
  bathBegun: 'bathBegun',
  turningBegun: 'turningBegun',
  cueGiven: 'cueGiven',
  drainBegun: 'drainBegun',
  bathEnded: 'bathEnded',
  alarmRaised: 'alarmRaised',
}

interface Course {
  rig: Rig
  person: Person
  play: Play
  checker: Checker
  marks: { [name: string]: number }
  /** How long the motor was driven since the faults were over. */
  turnedSeconds: number
  say: (words: string) => void
  meddle: ((rig: Rig, base: Base) => void) | undefined
}

/** Carries one scenario through. `say` gets what happens, a line each; `meddle` spoils a tick before it is checked, for tests. */
export function runFaultSession(
  scenario: Scenario,
  say: (line: string) => void = () => {},
  meddle?: (rig: Rig, base: Base) => void,
): SessionResult {
  const rig = createRig(scenario)
  const startSeconds = rig.plant.pins.seconds
  const timed = (words: string): void => {
    const seconds = rig.plant.pins.seconds - startSeconds
    say(`${seconds.toFixed(1).padStart(8)}  ${words}`)
  }
  const play = createPlay(rig, timed)
  const person = createPerson(scenario.seed)
  const course: Course = {
    rig,
    person,
    play,
    checker: createChecker(rig, play, timed),
    marks: {},
    turnedSeconds: 0,
    say: timed,
    meddle,
  }
  safetyPhase(course)
  endAll(play)
  course.turnedSeconds = 0
  timed('the faults are over')
  recovery(course)
  closeRecord(rig.plant)
  return {
    seed: scenario.seed,
    simulatedSeconds: Math.round(rig.plant.steps * STEP_SECONDS),
    broken: course.checker.watch.broken,
    marks: { ...play.marks, ...course.marks },
    judged: PROMISE_NAMES.filter(name => course.checker.watch.judged[name]),
    bounds: course.checker.watch.bounds,
    ended: rig.base?.session.state ?? 'dark',
  }
}

function safetyPhase(course: Course): void {
  const { rig } = course
  const random = createRandom(rig.scenario.seed, FAULT_STREAM.scenario + 50)
  const seconds = expectedLength(rig.scenario.run.recipe) * (0.4 + 1.1 * uniform(random))
  const untilSeconds = rig.plant.pins.seconds + seconds
  while (rig.plant.pins.seconds < untilSeconds && !isOver(course)) step(course)
  // What a base does that is done is held to its promises too.
  const afterSeconds = between(random, OVER_SECONDS[0], OVER_SECONDS[1])
  const lastSeconds = rig.plant.pins.seconds + afterSeconds
  while (rig.plant.pins.seconds < lastSeconds && isOver(course)) step(course)
}

function hasEnded({ rig }: Course): boolean {
  const state = rig.base?.session.state
  return state === 'finished' || state === 'abandoned'
}

function isOver(course: Course): boolean {
  return hasEnded(course) && course.rig.plant.bath.phase === 'empty'
}

/** One tenth of a second: faults, ticks, hands, plant. */
function step(course: Course): void {
  const { rig, person, play } = course
  beginAndEnd(play, rig, person)
  rig.convertsFaultily = play.running.some(one => one.kind.group === 'probe')
  try {
    runTicks(rig, base => afterTick(course, base))
  } catch (thrown) {
    broke(course.checker.watch, 'nothingThrown', (thrown as Error).message)
  }
  if (rig.plant.pins.motorDuty !== 0) course.turnedSeconds += STEP_SECONDS
  stepPerson(rig, person)
  stepPlant(rig.plant, 'nothing')
  if (play.running.length > 0) act(play)
  watchBoard(rig)
}

function afterTick(course: Course, base: Base): void {
  if (course.checker.starts !== course.rig.starts) noteStart(course, base)
  course.meddle?.(course.rig, base)
  checkTick(course.checker, base)
  const { session } = base
  for (let i = 0; i < session.eventCount; i++) noteEvent(course, session.events[i] as SessionEvent)
}

/** The base has started anew: alarms that it raised before its first tick are no events of that tick. */
function noteStart(course: Course, base: Base): void {
  course.say(`the base starts, ${base.session.state}`)
  // Late ticks may have been too much for the watchdog: whatever brought it down, this may follow.
  for (const number of AFTER_RESET) course.play.explained.add(number)
  course.play.excusedSeconds.callBeforeEmpty = Infinity
  course.play.excusedSeconds.shortWarned = Infinity
  for (const { number } of alarmHistory(base.session.alarms)) noteAlarm(course, number)
}

function noteAlarm(course: Course, number: number): void {
  const mark = `alarm ${number} ${ALARMS[alarmPlace(number)]?.name}`
  course.marks[mark] = (course.marks[mark] ?? 0) + 1
  course.say(mark)
}

function noteEvent(course: Course, event: SessionEvent): void {
  const { play, rig } = course
  const moment = MOMENTS[event.kind]
  if (moment !== undefined) noteMoment(play, moment, event.bathIndex, rig.plant.pins.seconds)
  const name = rig.scenario.run.recipe.baths[event.bathIndex]?.name ?? ''
  if (event.kind === 'alarmRaised') noteAlarm(course, event.number)
  else course.say(`${event.kind} ${event.kind === 'refused' ? event.reason : name}`)
}

/** Faults are off, the pack is changed for a charged one, and the session goes on to its end; a lost one is begun anew. */
function recovery(course: Course): void {
  const { rig, checker } = course
  const { run } = rig.scenario
  resetPack(rig.plant.pack, 0.95)
  const untilSeconds = rig.plant.pins.seconds + 2 * expectedLength(run.recipe) + RECOVERY_SECONDS
  // A base that had ended its session before shows that it can carry out another, once the tank is empty.
  const emptyBySeconds = rig.plant.pins.seconds + EMPTYING_SECONDS
  while (hasEnded(course) && !isOver(course) && rig.plant.pins.seconds < emptyBySeconds) step(course)
  if (isOver(course) && rig.base !== undefined) {
    planSession(rig.base, run.recipe, {
      millilitres: run.millilitres,
      films: run.filmsInTank,
      filmsPerLitre: run.filmsThrough,
    })
    rig.plant.bathIndex = -1
  }
  while (rig.plant.pins.seconds < untilSeconds && !isOver(course)) step(course)
  const calmUntilSeconds = rig.plant.pins.seconds + CALM_SECONDS
  while (rig.plant.pins.seconds < calmUntilSeconds) step(course)
  judge(checker.watch, 'comesBack')
  const why = notNormal(course)
  if (why !== '') broke(checker.watch, 'comesBack', why)
}

/** What is not as it should be after a session without faults; empty when all is well. */
function notNormal({ rig, turnedSeconds }: Course): string {
  const { base } = rig
  if (base === undefined) return 'the base is dark'
  const { session, estimates } = base
  if (session.state !== 'finished') return `the session is ${session.state}`
  if (rig.plant.pins.motorDuty !== 0) return 'the motor is driven'
  if (estimates.probe !== 'ok' || estimates.bridging) return `the probe is called ${estimates.probe}`
  if (!estimates.packKnown) return 'the pack is not known'
  if (rig.panels.texts[0] !== 'DONE') return `the screen shows "${rig.panels.texts[0]}"`
  if (turnedSeconds < TURNED_SECONDS) return ''
  const { rotation } = base.file
  const best = rotation.magnetsOnTank > 0 ? 'tank' : rotation.edgesPerShaftTurn > 0 ? 'shaft' : 'time'
  if (estimates.rotationSource !== best) return `the rotation is seen by ${estimates.rotationSource}, not by ${best}`
  return ''
}
