/** What the clock of a bath keeps, and how it begins: once with the base, and anew with every bath. Nothing here fails. */
import type { Rate } from '../recipe/rate.ts'
import type { Bath, BathKind } from '../recipe/recipe.ts'
import { timedSeconds } from '../recipe/reuse.ts'
import type { Contents } from '../sense/underway.ts'
import { createHabit, type Habit } from './operator.ts'
import type { ClockView } from './view.ts'

export interface Clock {
  view: ClockView
  reaction: Habit
  fill: Habit
  drain: Habit
  /** How well a press is known to stand for its act: one sigma. */
  pressSigmaSeconds: number
  /** The operator is known exactly: nothing is learned. */
  known: boolean
  kind: BathKind
  rate: Rate | undefined
  /** Of a bath by time, reuse and factors counted in; no use without that. */
  bathSeconds: number
  usableLowCelsius: number
  usableHighCelsius: number
  contents: Contents
  /** First contact; from when the time counts; NaN before. */
  contactSeconds: number
  startSeconds: number
  workedSeconds: number
  solvedSeconds: number
  /** The forecast is due, in the next tick. */
  solveOwed: boolean
  /** From when on every tick looks whether the cue is due; NaN while none is to come. */
  lookFromSeconds: number
  sumCelsiusSeconds: number
  sumSeconds: number
}

export interface OperatorPrior {
  reactionSeconds: number
  reactionSigmaSeconds: number
  /** The operator is known exactly, as on a trace: nothing is learned. */
  known: boolean
}

/** A press stands for its act within this (assumed: wet gloves), at first contact and at the end of the drain. */
const PRESS_SIGMA_SECONDS = 0.3
const KNOWN_PRESS_SIGMA_SECONDS = 0.03

/** Filling and draining habits start from the recipe's times with this spread, as a fraction (assumed). */
const HAND_SPREAD = 0.15

export function createClock(prior: OperatorPrior): Clock {
  return {
    view: createView(),
    contents: 'empty',
    known: prior.known,
    rate: undefined,
    contactSeconds: NaN,
    sumSeconds: 0,
    workedSeconds: NaN,
    sumCelsiusSeconds: 0,
    solvedSeconds: NaN,
    solveOwed: false,
    lookFromSeconds: NaN,
    startSeconds: NaN,
    drain: createHabit(NaN, 0),
    reaction: createHabit(prior.reactionSeconds, prior.reactionSigmaSeconds),
    bathSeconds: NaN,
    usableLowCelsius: -1e9,
    usableHighCelsius: 1e9,
    kind: 'timed',
    pressSigmaSeconds: prior.known ? KNOWN_PRESS_SIGMA_SECONDS : PRESS_SIGMA_SECONDS,
    fill: createHabit(NaN, 0),
  }
}

/** A clock that runs no bath. */
export function createView(): ClockView {
  return {
    due: false,
    cueAtSeconds: NaN,
    lowCelsius: NaN,
    highCelsius: NaN,
    usable: 'within',
    progress: 0,
    bridging: false,
    boundPercent: 0,
    endAtSeconds: NaN,
    outsideSheet: false,
    elapsedSeconds: 0,
    farOutsideSheet: false,
    meanCelsius: NaN,
    overdueSeconds: NaN,
    outsideSheetSeconds: 0,
  }
}

/** A bath of the recipe is next; its time has not begun. `rate` is `undefined` for a bath by time. */
export function beginBath(
  clock: Clock,
  bath: Bath,
  filmsPerLitre: number,
  rate: Rate | undefined,
  pour: { fillSeconds: number; drainSeconds: number },
): void {
  const view = clock.view
  clock.kind = bath.kind
  clock.rate = rate
  clock.bathSeconds = timedSeconds(bath, filmsPerLitre)
  clock.usableLowCelsius = bath.usableCelsius === undefined ? -1e9 : bath.usableCelsius[0]
  clock.usableHighCelsius = bath.usableCelsius === undefined ? 1e9 : bath.usableCelsius[1]
  clock.contents = 'empty'
  clock.contactSeconds = NaN
  clock.startSeconds = NaN
  clock.workedSeconds = NaN
  clock.solvedSeconds = NaN
  clock.solveOwed = false
  clock.sumCelsiusSeconds = 0
  clock.sumSeconds = 0
  if (isNaN(clock.fill.meanSeconds)) startHabit(clock.fill, pour.fillSeconds)
  if (isNaN(clock.drain.meanSeconds)) startHabit(clock.drain, pour.drainSeconds)
  view.progress = 0
  view.boundPercent = 0
  view.cueAtSeconds = NaN
  view.endAtSeconds = NaN
  view.due = false
  view.elapsedSeconds = 0
  view.overdueSeconds = NaN
  view.outsideSheet = false
  view.farOutsideSheet = false
  view.outsideSheetSeconds = 0
  view.usable = 'within'
  view.meanCelsius = NaN
  view.lowCelsius = NaN
  view.highCelsius = NaN
  view.bridging = false
}

function startHabit(habit: Habit, seconds: number): void {
  habit.meanSeconds = seconds
  habit.sigmaSeconds = HAND_SPREAD * seconds
}
