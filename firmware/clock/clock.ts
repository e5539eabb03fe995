/**
 * The clock of a bath: how far it has got, how sure that is, and when to call the operator to pour it out.
 *
 * `developed`: progress is the integral that the observer keeps; the cue leads, so that
 * `p(now) + integral over reaction and drain = 1`. `timed`: exactly so long, from first contact (or full) to the end of
 * the drain. `atLeast`: the cue comes when the time will be over at the end of the drain; longer does no harm.
 *
 * Looked at every tick; works once a second and when the contents change, and works out the forecast anew every 5 s, in
 * the last 15 s every second. Whether the cue is due is decided every tick, by comparing the time. Nothing here fails:
 * when the probe does, the observer bridges and the bound widens.
 */
import type { Rate } from '../recipe/rate.ts'
import type { Bath, BathKind } from '../recipe/recipe.ts'
import { timedSeconds } from '../recipe/reuse.ts'
import type { Estimates } from '../sense/estimates.ts'
import type { Contents, Underway } from '../sense/underway.ts'
import { secondsUntil } from './forecast.ts'
import { createHabit, type Habit, learnHabit } from './operator.ts'
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
  /** Of a bath by time, reuse and factors counted in. */
  bathSeconds: number
  usableLowCelsius: number
  usableHighCelsius: number
  contents: Contents
  /** First contact; from when the time counts; NaN before. */
  contactSeconds: number
  startSeconds: number
  workedSeconds: number
  solvedSeconds: number
  sumCelsiusSeconds: number
  sumSeconds: number
}

export interface OperatorPrior {
  reactionSeconds: number
  reactionSigmaSeconds: number
  /** The operator is known exactly, as on a trace: nothing is learned. */
  known: boolean
}

/** The forecast is worked out anew so often, and near the end so often. */
const SOLVE_SECONDS = 5
const NEAR_SOLVE_SECONDS = 1
const NEAR_SECONDS = 15

/**
 * The bound is this many sigma: 1.96 would hold in 95 of 100 if sigma were exact and the errors normal; the rest is for
 * what the observer does not know that it does not know.
 */
const BOUND_SIGMA = 2.1
/** What the arithmetic leaves even when all is known: one sigma as a fraction (measured on the bench). */
const ARITHMETIC_SIGMA = 0.0005
const MOST_BOUND_PERCENT = 99

/** A press stands for its act within this (assumed: wet gloves), at first contact and at the end of the drain. */
const PRESS_SIGMA_SECONDS = 0.3
const KNOWN_PRESS_SIGMA_SECONDS = 0.03

/** Outside a sheet or a range only counts beyond this: a sheet's end row is poured at, and a probe scatters (assumed). */
const OUTSIDE_CELSIUS = 0.1

/** Filling and draining habits start from the recipe's times with this spread, as a fraction (assumed). */
const HAND_SPREAD = 0.15

export function createClock(prior: OperatorPrior): Clock {
  return {
    view: createView(),
    reaction: createHabit(prior.reactionSeconds, prior.reactionSigmaSeconds),
    fill: createHabit(NaN, 0),
    drain: createHabit(NaN, 0),
    known: prior.known,
    pressSigmaSeconds: prior.known ? KNOWN_PRESS_SIGMA_SECONDS : PRESS_SIGMA_SECONDS,
    kind: 'timed',
    rate: undefined,
    bathSeconds: NaN,
    usableLowCelsius: -1e9,
    usableHighCelsius: 1e9,
    contents: 'empty',
    contactSeconds: NaN,
    startSeconds: NaN,
    workedSeconds: NaN,
    solvedSeconds: NaN,
    sumCelsiusSeconds: 0,
    sumSeconds: 0,
  }
}

function createView(): ClockView {
  return {
    progress: 0,
    boundPercent: 0,
    cueAtSeconds: NaN,
    endAtSeconds: NaN,
    due: false,
    elapsedSeconds: 0,
    overdueSeconds: NaN,
    outsideSheet: false,
    outsideSheetSeconds: 0,
    usable: 'within',
    meanCelsius: NaN,
    lowCelsius: NaN,
    highCelsius: NaN,
    bridging: false,
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
  clock.rate = bath.kind === 'developed' ? rate : undefined
  clock.bathSeconds = bath.kind === 'developed' ? NaN : timedSeconds(bath, filmsPerLitre)
  clock.usableLowCelsius = bath.usableCelsius === undefined ? -1e9 : bath.usableCelsius[0]
  clock.usableHighCelsius = bath.usableCelsius === undefined ? 1e9 : bath.usableCelsius[1]
  clock.contents = 'empty'
  clock.contactSeconds = NaN
  clock.startSeconds = NaN
  clock.workedSeconds = NaN
  clock.solvedSeconds = NaN
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

/**
 * The bath is over. What was counted stays for the record; the last fraction of a second, to the moment of the press,
 * is still counted when the contents are seen to be gone.
 */
export function endBath(clock: Clock): void {
  const view = clock.view
  view.cueAtSeconds = NaN
  view.due = false
  view.overdueSeconds = NaN
}

/** A press was made: how long after its cue, or after the press before it. */
export function learnPress(clock: Clock, kind: 'reaction' | 'fill' | 'drain', seconds: number): void {
  if (clock.known) return
  learnHabit(kind === 'reaction' ? clock.reaction : kind === 'fill' ? clock.fill : clock.drain, seconds)
}

/** Every tick, after the senses. */
export function tickClock(clock: Clock, estimates: Estimates, underway: Underway): void {
  const view = clock.view
  const nowSeconds = estimates.nowSeconds
  const changed = underway.contents !== clock.contents
  if (estimates.slow || changed) {
    if (changed) follow(clock, underway)
    if (!isNaN(clock.contactSeconds)) work(clock, estimates, underway)
  }
  if (!view.due && nowSeconds + 0.5 * estimates.tickSeconds >= view.cueAtSeconds && clock.contents !== 'empty')
    view.due = true
  if (view.due) view.overdueSeconds = nowSeconds - view.cueAtSeconds
}

/** The contents changed: first contact, full and closed, draining, empty. */
function follow(clock: Clock, underway: Underway): void {
  const to = underway.contents
  const began = clock.contents === 'empty' && to !== 'empty'
  clock.contents = to
  clock.solvedSeconds = NaN
  if (began) {
    clock.contactSeconds = underway.sinceSeconds
    clock.workedSeconds = underway.sinceSeconds
    if (underway.startsWhen === 'contact') clock.startSeconds = underway.sinceSeconds
  }
  if (to === 'full' && isNaN(clock.startSeconds)) clock.startSeconds = underway.sinceSeconds
}

/** Once a second: progress, bound, temperatures, forecast. */
function work(clock: Clock, estimates: Estimates, underway: Underway): void {
  const view = clock.view
  // After the drain everything stays as it was at the moment of the press.
  const nowSeconds = clock.contents === 'empty' ? underway.sinceSeconds : estimates.nowSeconds
  const over = clock.contents === 'empty'
  const elapsed = nowSeconds - clock.contactSeconds
  const step = nowSeconds - clock.workedSeconds
  if (over && step <= 0) return
  clock.workedSeconds = nowSeconds
  view.elapsedSeconds = elapsed
  view.bridging = estimates.bridging
  // In an empty tank there is no bath to have a temperature.
  if (!over) judgeTemperature(clock, estimates.bathCelsius, step)
  if (clock.rate !== undefined) {
    const progress = estimates.progress
    view.progress = progress
    const press = elapsed > 1 ? clock.pressSigmaSeconds / elapsed : 1
    const sigma = progress > 0 ? estimates.progressSigma / progress : 1
    const bound = 100 * BOUND_SIGMA * Math.sqrt(sigma * sigma + 2 * press * press + ARITHMETIC_SIGMA * ARITHMETIC_SIGMA)
    view.boundPercent = Math.min(bound, MOST_BOUND_PERCENT)
  } else {
    const counted = nowSeconds - clock.startSeconds
    view.progress = counted > 0 ? counted / clock.bathSeconds : 0
  }
  if (over) {
    view.endAtSeconds = nowSeconds
    return
  }
  const left = view.endAtSeconds - nowSeconds
  const every =
    left > NEAR_SECONDS + underway.drainSeconds + clock.reaction.meanSeconds ? SOLVE_SECONDS : NEAR_SOLVE_SECONDS
  if (!(nowSeconds - clock.solvedSeconds < every - 0.05)) {
    clock.solvedSeconds = nowSeconds
    solve(clock, estimates, underway, nowSeconds)
  }
}

/** Where the bath's temperature stands against its sheet and its usable range, and its mean, low and high. */
function judgeTemperature(clock: Clock, celsius: number, stepSeconds: number): void {
  if (clock.contents === 'filling' || isNaN(celsius)) return
  const view = clock.view
  const rate = clock.rate
  if (rate !== undefined) {
    view.outsideSheet =
      celsius < rate.sheetLowCelsius - OUTSIDE_CELSIUS || celsius > rate.sheetHighCelsius + OUTSIDE_CELSIUS
    if (view.outsideSheet) view.outsideSheetSeconds += stepSeconds
  }
  if (celsius < clock.usableLowCelsius - OUTSIDE_CELSIUS) view.usable = 'tooCold'
  else if (celsius > clock.usableHighCelsius + OUTSIDE_CELSIUS) view.usable = 'tooWarm'
  else view.usable = 'within'
  clock.sumCelsiusSeconds += celsius * stepSeconds
  clock.sumSeconds += stepSeconds
  view.meanCelsius = clock.sumSeconds > 0 ? clock.sumCelsiusSeconds / clock.sumSeconds : celsius
  if (!(celsius >= view.lowCelsius)) view.lowCelsius = celsius
  if (!(celsius <= view.highCelsius)) view.highCelsius = celsius
}

/** When the bath will have acted, and when the operator has to be called for that. */
function solve(clock: Clock, estimates: Estimates, underway: Underway, nowSeconds: number): void {
  const view = clock.view
  const drainSeconds = underway.drainSeconds
  if (clock.rate === undefined) {
    const start = isNaN(clock.startSeconds) ? underway.sinceSeconds + underway.fillSeconds : clock.startSeconds
    view.endAtSeconds = start + clock.bathSeconds
  } else {
    const waits = isNaN(clock.startSeconds) ? underway.sinceSeconds + underway.fillSeconds - nowSeconds : 0
    const missing = 1 - view.progress
    const ahead = secondsUntil(clock.rate, estimates, missing, view.endAtSeconds - nowSeconds)
    view.endAtSeconds = nowSeconds + ahead + Math.max(waits, 0)
  }
  if (view.due || clock.contents === 'draining') return
  const reaction = clock.kind === 'atLeast' ? 0 : clock.reaction.meanSeconds
  view.cueAtSeconds = view.endAtSeconds - drainSeconds - reaction
}
