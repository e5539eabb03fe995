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
import { createEnergy, type EnergyState, tickEnergy } from './energy/energy.ts'
import { hasLost, type Keeper, keepJournal, openKeeper } from './journal/keeper.ts'
import { createPanel, type Panel, updatePanel } from './panel/panel.ts'
import { createReadings, type Readings, readBoard } from './readings.ts'
import type { Recipe } from './recipe/recipe.ts'
import { type Dark, recallJournal } from './resume.ts'
import { type BathSense, createBathSense, senseBath } from './sense/bathSense.ts'
import { createEstimates, type Estimates } from './sense/estimates.ts'
import { createPackSense, type PackSense, sensePack } from './sense/pack.ts'
import { createRotationSense, type RotationSense, senseRotation } from './sense/rotation.ts'
import { raiseAlarm } from './session/alarms.ts'
import { JOURNAL_FAILING } from './session/alarmTable.ts'
import { type Buttons, createButtons, senseButtons } from './session/buttons.ts'
import { createSession, type Session, type SessionOptions, stepSession } from './session/session.ts'
import { createTurnTest, stepTurnTest, type TurnTest } from './session/turnTest.ts'
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
    screenOwed: false,
    tonesOwed: false,
    mishaps: 0,
  }
  budgetSession(base.energy, recipe, tank, 0, NaN)
  recallStored(base.console, base)
  recall(base, recipe)
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

/** One tick. */
export function tick(base: Base): void {
  try {
    sense(base)
    judge(base)
    act(base)
    tell(base)
    if (base.keeper !== undefined) keep(base, base.keeper)
    stepConsole(base.console, base)
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

function sense(base: Base): void {
  const readings = base.readings
  const estimates = base.estimates
  const underway = base.session.underway
  base.slowDueSeconds = readBoard(base.board, readings, base.slowDueSeconds)
  estimates.nowSeconds = readings.nowSeconds
  estimates.tickSeconds = readings.tickSeconds
  estimates.slow = readings.slow
  senseButtons(base.buttons, readings, estimates)
  sensePack(base.packSense, readings, estimates)
  senseRotation(base.rotationSense, readings, underway, estimates)
  senseBath(base.bathSense, readings, underway, estimates)
}

function judge(base: Base): void {
  const estimates = base.estimates
  const session = base.session
  const agitation = base.agitation
  tickClock(base.clock, estimates, session.underway)
  tickEnergy(base.energy, estimates, agitation.view, !base.panel.dark)
  if (base.turnTest.stage !== 'none' && stepTurnTest(base.turnTest, session, estimates, base.energy.view)) {
    beginProgramme(agitation, base.turnTest.agitation, estimates.nowSeconds)
  }
  stepSession(session, estimates, base.clock.view, agitation.view, base.energy.view)
  if (session.eventCount > 0) followSession(base)
  const want = base.turnTest.stage === 'running' ? 'turn' : session.want
  tickAgitation(agitation, estimates, want, base.energy.view.shedding)
}

function act(base: Base): void {
  const duty = base.agitation.view.duty
  base.session.underway.motorDuty = duty
  base.board.motor.write(duty)
  base.board.watchdog.write(true)
}

/** Screen and sounder, where what they show or play has changed. One that does not answer stops neither the other nor the motor. */
function tell(base: Base): void {
  const panel = base.panel
  updatePanel(panel, base.session, base.clock.view, base.energy.view, base.estimates, base.session.recipe)
  const again = base.estimates.slow
  if (panel.changed || (base.screenOwed && again)) base.screenOwed = !isShown(base)
  if (panel.tonesChanged || (base.tonesOwed && again)) base.tonesOwed = !isPlayed(base)
}

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

function keep(base: Base, keeper: Keeper): void {
  keepJournal(keeper, base)
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
        budgetSession(base.energy, recipe, base.tank, event.bathIndex, NaN)
        break
      case 'turningBegun':
        learnPress(base.clock, 'fill', event.seconds)
        beginProgramme(base.agitation, recipe.agitations[bath.agitation], event.atSeconds)
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
