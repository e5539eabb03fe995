/**
 * The base: one tick, ten times a second. Sense, judge, act, tell, talk; data flows one way.
 *
 * Everything is made once by `createBase`; a tick allocates nothing, never waits and never throws: whatever goes wrong
 * inside it ends with the motor off and is counted in `mishaps`. The board's dead man and watchdog stand behind that.
 */
import type { Board } from '../hal/board.ts'
import { type AgitationState, beginProgramme, createAgitation, tickAgitation } from './agitation/agitation.ts'
import type { BaseFile } from './baseFile.ts'
import { beginBath, type Clock, createClock, learnPress, type OperatorPrior, tickClock } from './clock/clock.ts'
import {
  type Console,
  type ConsoleOptions,
  createConsole,
  recallStored,
  stepConsole,
  UNNAMED,
} from './console/console.ts'
import { recipeNamed } from './console/recipes.ts'
import { beginSession, budgetSession, endSession } from './energy/budget.ts'
import { createEnergy, type EnergyState, energySecond, sumEnergy } from './energy/energy.ts'
import { judge } from './energy/shed.ts'
import { hasLost, type Keeper, keepCheckpoint, noteEvents, openKeeper, tendKeeper } from './journal/keeper.ts'
import { chooseTones, createPanel, drawLower, drawUpper, type Panel } from './panel/panel.ts'
import { createReadings, type Readings, readBoard } from './readings.ts'
import type { Recipe } from './recipe/recipe.ts'
import { chooseDark, type Dark, recallJournal } from './resume.ts'
import { type BathSense, createBathSense, senseBath } from './sense/bathSense.ts'
import { createEstimates, type Estimates } from './sense/estimates.ts'
import { createPackSense, type PackSense, sensePack } from './sense/pack.ts'
import { createRotationSense, type RotationSense, senseRotation } from './sense/rotation.ts'
import { raiseAlarm } from './session/alarms.ts'
import { JOURNAL_FAILING } from './session/alarmTable.ts'
import { type Buttons, createButtons, senseButtons } from './session/buttons.ts'
import { createSession, type Session, type SessionOptions, takeTick } from './session/session.ts'
import { createTurnTest, stepTurnTest, type TurnTest } from './session/turnTest.ts'
import { watch } from './session/watch.ts'
import type { Tank } from './tank/tank.ts'

export interface BaseOptions extends SessionOptions {
  /** What is known of the operator's hands before they are seen. */
  operator: OperatorPrior
  /** The probe's lag is known exactly. */
  lagKnown: boolean
  /** What the console says of this base and may do on it; one that only answers when left out. */
  console?: ConsoleOptions
}

export interface Base {
  board: Board
  file: BaseFile
  tank: Tank
  readings: Readings
  slowDueSeconds: number
  estimates: Estimates
  bathSense: BathSense
  rotationSense: RotationSense
  packSense: PackSense
  buttons: Buttons
  clock: Clock
  energy: EnergyState
  session: Session
  agitation: AgitationState
  panel: Panel
  turnTest: TurnTest
  console: Console
  /** `undefined` on a board without room for a journal. */
  keeper: Keeper | undefined
  /** While the bath is in the tank that was there when the power went. */
  dark: Dark | undefined
  /** Pieces of work that are still to be done, a bit each. */
  owed: number
  /** A test asked for from afar turns the motor. */
  turning: boolean
  /** What screen and sounder did not take; tried again once a second. */
  screenOwed: boolean
  tonesOwed: boolean
  /** Ticks that went wrong inside; the motor was turned off in each. */
  mishaps: number
}

/** A base with a session planned on it: the one that its files keep, else `recipe`. Throws only here, for a recipe or a file that was not checked. */
export function createBase(board: Board, file: BaseFile, tank: Tank, recipe: Recipe, options: BaseOptions): Base {
  const base: Base = {
    board: board,
    file: file,
    tank: tank,
    readings: createReadings(),
    slowDueSeconds: -Infinity,
    estimates: createEstimates(),
    bathSense: createBathSense(file, tank, options),
    rotationSense: createRotationSense(file),
    packSense: createPackSense(file),
    buttons: createButtons(),
    clock: createClock(options.operator),
    energy: createEnergy(file),
    session: createSession(recipe, options),
    agitation: createAgitation(file),
    panel: createPanel(),
    turnTest: createTurnTest(),
    console: createConsole(options.console === undefined ? UNNAMED : options.console),
    keeper: undefined,
    dark: undefined,
    owed: 0,
    turning: false,
    screenOwed: false,
    tonesOwed: false,
    mishaps: 0,
  }
  budgetSession(base.energy, recipe, tank, 0, NaN)
  recallStored(base.console, base)
  recall(base, recipe)
  // A session that goes on wants the port, and no event will say so.
  base.console.busy = true
  return base
}

/** What was learned, and a session that was under way when the power went. */
function recall(base: Base, recipe: Recipe): void {
  const opened = openKeeper(base.board)
  if (opened === undefined) return
  base.keeper = opened.keeper
  recallJournal(base, opened.keeper, opened.found, name =>
    name === recipe.name ? recipe : recipeNamed(base.console, base, name),
  )
}

/**
 * What is done once a second, in pieces of a tick each, the lowest bit first: all of it in one tick would take a board
 * longer than a tick. Checkpoint and judgement are due every few seconds, a budget when a bath begins.
 */
const CHECKPOINT = 1
const CHARGE = 2
const WATCH = 4
const UPPER_HALF = 8
const LOWER_HALF = 16
const JUDGEMENT = 32
const BUDGET = 64
const EVERY_SECOND = CHARGE | WATCH | UPPER_HALF | LOWER_HALF
/** Where ticks come later than this, pieces would pile up: then all are done at once. */
const LATE_SECONDS = 0.3

/**
 * One tick. A board's engine pays for every name it meets and every text it passes over: the usual tick stands here in
 * one piece, and calls a room only when there is something for it.
 */
export function tick(base: Base): void {
  try {
    const board = base.board
    const readings = base.readings
    const estimates = base.estimates
    const session = base.session
    const underway = session.underway
    base.slowDueSeconds = readBoard(board, readings, base.slowDueSeconds)
    const nowSeconds = readings.nowSeconds
    const slow = readings.slow
    estimates.nowSeconds = nowSeconds
    estimates.tickSeconds = readings.tickSeconds
    estimates.slow = slow
    senseButtons(base.buttons, readings, estimates)
    sensePack(base.packSense, readings, estimates)
    senseRotation(base.rotationSense, readings, underway, estimates)
    // What the tank holds changes only with an event, in the tick before.
    const bathIsDue = slow || session.eventCount > 0
    if (bathIsDue) {
      senseBath(base.bathSense, readings, underway, estimates)
      tickClock(base.clock, estimates, underway)
    } else if (nowSeconds >= base.clock.lookFromSeconds) tickClock(base.clock, estimates, underway)
    const view = base.agitation.view
    sumEnergy(base.energy, estimates, view)
    if (base.turnTest.stage !== 'none') tryTurning(base)
    takeTick(session, estimates, base.clock.view, base.energy.view)
    if (slow) oweSecond(base)
    if (base.owed !== 0) workOn(base, bathIsDue)
    if (session.eventCount > 0) followSession(base)
    tickAgitation(base.agitation, estimates, base.turning ? 'turn' : session.want, base.energy.view.shedding)
    const duty = view.duty
    underway.motorDuty = duty
    board.motor.write(duty)
    board.watchdog.write(true)
    const happened = session.eventCount > 0
    if (happened) tellEvents(base)
    if (base.keeper !== undefined && base.keeper.tending) tend(base, base.keeper)
    const came = hear(base)
    if (came !== undefined || happened || base.console.busy || nowSeconds >= base.console.dueSeconds) {
      stepConsole(base.console, base, came)
    }
  } catch (_) {
    base.mishaps++
    safeState(base)
  }
}

/** Motor off, whatever else fails. */
export function safeState(base: Base): void {
  base.session.underway.motorDuty = 0
  base.board.motor.write(0)
}

function tryTurning(base: Base): void {
  const test = base.turnTest
  if (stepTurnTest(test, base.session, base.estimates, base.energy.view)) {
    beginProgramme(base.agitation, test.agitation, base.estimates.nowSeconds)
  }
  base.turning = test.stage === 'running'
}

function oweSecond(base: Base): void {
  base.owed |= EVERY_SECOND
  // Looked at once a second, and written in the tick after: the next look would be too late.
  if (base.keeper !== undefined && base.estimates.nowSeconds + 1.2 >= base.keeper.dueSeconds) base.owed |= CHECKPOINT
}

/** Does one piece of what is owed; none in a tick that has the bath or a press to see to. */
function workOn(base: Base, bathIsDue: boolean): void {
  const late = base.estimates.tickSeconds > LATE_SECONDS
  if (!late && (bathIsDue || base.session.eventCount > 0)) return
  do {
    const piece = base.owed & -base.owed
    base.owed -= piece
    work(base, piece)
  } while (late && base.owed !== 0)
}

function work(base: Base, piece: number): void {
  const panel = base.panel
  const session = base.session
  const estimates = base.estimates
  switch (piece) {
    case CHECKPOINT:
      if (base.keeper !== undefined) keepCheckpoint(base.keeper, base)
      break
    case CHARGE:
      if (energySecond(base.energy, estimates, !panel.dark)) base.owed |= JUDGEMENT
      break
    case WATCH:
      watch(session, estimates, base.clock.view, base.agitation.view, base.energy.view)
      break
    case UPPER_HALF:
      drawUpper(panel, session, base.clock.view, base.energy.view, estimates)
      // What happens now calls for itself, in `tellEvents`.
      if (session.eventCount === 0) sound(base)
      break
    case LOWER_HALF:
      drawLower(panel, session, base.clock.view, base.energy.view, estimates)
      // Both halves are written together: a screen takes its time.
      if (panel.changed || base.screenOwed) base.screenOwed = !isShown(base)
      break
    case JUDGEMENT:
      judge(base.energy)
      break
    case BUDGET:
      if (base.energy.underway) budgetSession(base.energy, session.recipe, base.tank, session.bathIndex, NaN)
      break
    default:
  }
}

/** What happened in this tick is heard and kept at once, and seen within the next ones. */
function tellEvents(base: Base): void {
  sound(base)
  base.owed |= UPPER_HALF | LOWER_HALF
  if (base.keeper === undefined) return
  noteEvents(base.keeper, base)
  lookForLost(base, base.keeper)
}

function sound(base: Base): void {
  const panel = base.panel
  chooseTones(panel, base.session, base.clock.view, base.estimates)
  if (panel.tonesChanged || base.tonesOwed) base.tonesOwed = !isPlayed(base)
}

/** A line that fails says nothing. */
function hear(base: Base): string | undefined {
  try {
    return base.board.line.read()
  } catch (_) {
    base.console.mishaps++
    return undefined
  }
}

/** A screen or sounder that does not answer stops neither the other nor the motor. */
function isShown(base: Base): boolean {
  try {
    base.board.screen.write(base.panel.frame)
    return true
  } catch (_) {
    return false
  }
}

function isPlayed(base: Base): boolean {
  try {
    base.board.sounder.write(base.panel.tones)
    return true
  } catch (_) {
    return false
  }
}

function tend(base: Base, keeper: Keeper): void {
  tendKeeper(keeper, base)
  lookForLost(base, keeper)
}

function lookForLost(base: Base, keeper: Keeper): void {
  if (hasLost(keeper)) {
    raiseAlarm(base.session.alarms, JOURNAL_FAILING, base.session.bathIndex, base.estimates.nowSeconds)
  }
}

/** What the session did in this tick sets the other rooms going. */
function followSession(base: Base): void {
  const session = base.session
  const recipe = session.recipe
  for (let i = 0; i < session.eventCount; i++) {
    const event = session.events[i]
    const bath = recipe.baths[event.bathIndex]
    switch (event.kind) {
      case 'bathBegun':
        if (event.bathIndex === 0) beginSession(base.energy)
        beginBath(base.clock, bath, session.filmsPerLitre, session.rates[event.bathIndex], recipe.pour)
        base.owed |= BUDGET
        break
      case 'turningBegun':
        learnPress(base.clock, 'fill', event.seconds)
        beginProgramme(base.agitation, recipe.agitations[bath.agitation], event.atSeconds)
        break
      case 'darkAnswered':
        chooseDark(base, event.seconds)
        break
      case 'drainBegun':
        learnPress(base.clock, 'reaction', event.seconds)
        break
      case 'bathEnded':
        learnPress(base.clock, 'drain', event.seconds)
        closeBath(base)
        break
      case 'sessionFinished':
        endSession(base.energy, true)
        break
      case 'sessionAbandoned':
        endSession(base.energy, false)
        break
      default:
        break
    }
  }
}

/** The bath's last figures, up to the moment of the press: the next bath may begin with the next tick. */
function closeBath(base: Base): void {
  const estimates = base.estimates
  base.dark = undefined
  base.readings.slow = false
  estimates.slow = false
  senseBath(base.bathSense, base.readings, base.session.underway, estimates)
  tickClock(base.clock, estimates, base.session.underway)
}
