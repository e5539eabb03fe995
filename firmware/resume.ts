/**
 * Goes on with a session that was under way when the power went: looks what the journal holds, reckons how long it was
 * dark and what the film got meanwhile, and puts session, observer and clock back. The motor rests until a person
 * presses; the panel says that the power was gone, and the clock runs on.
 *
 * Never throws out: what cannot be gone on with leaves the base at rest with an alarm that says so.
 */

import { beginProgramme } from './agitation/agitation.ts'
import type { Base } from './base.ts'
import { beginBath } from './clock/clock.ts'
import { correctDark, resumeClock } from './clock/resumeClock.ts'
import { beginSession, budgetSession } from './energy/budget.ts'
import { importLearned } from './energy/learned.ts'
import { CHECKPOINT_SECONDS, type DarkTime, darkProgress, darkTime } from './journal/darkTime.ts'
import { type Found, goOnKeeping, type Keeper, noteDark } from './journal/keeper.ts'
import type { Learned } from './journal/learnedPayload.ts'
import type { Checkpoint, SessionBegun } from './journal/payloads.ts'
import { planSession } from './planning.ts'
import type { Recipe } from './recipe/recipe.ts'
import { isolate } from './sense/covariance.ts'
import { WATER_JOULES_PER_MILLILITRE_KELVIN } from './sense/heat.ts'
import { celsiusOfProbe, resumeBath } from './sense/resumeBath.ts'
import { raiseAlarm } from './session/alarms.ts'
import { SESSION_LOST } from './session/alarmTable.ts'
import { expectedPourCelsius, expectedPourSigmaCelsius } from './session/pour.ts'
import { isUnderWay, resumeSession } from './session/resumeSession.ts'
import type { Session } from './session/session.ts'

/** What a room has that nobody measures (assumed). */
const BELIEVED_ROOM_CELSIUS = 20

/** No restart is shorter: so long the probe has stood in the bath besides what the checkpoint says. */
const LEAST_DARK_SECONDS = 2
/** A bath younger than this at the checkpoint was still being poured, or had not yet warmed the probe (assumed). */
const POURED_SECONDS = 15
/** A probe that has settled, and a bath reckoned from what was poured (assumed). */
const SETTLED_SIGMA_CELSIUS = 0.2
const UNSETTLED_SIGMA_CELSIUS = 1.5
/** A drain may take so much longer than this operator's usual (assumed). */
const SLOW_DRAIN_SECONDS = 3

/** What is believed of the dark while the bath that was in the tank is still there: a person may know better. */
export interface Dark {
  seconds: number
  leastSeconds: number
  mostSeconds: number
  /** What the film got for each second of it, with one sigma from the temperatures; and one of progress from before. */
  perSecond: number
  perSecondSigma: number
  otherSigma: number
}

/** A person knows since when the power was gone, the base since its checkpoint: that is older by half its interval, in the middle. */
export const CUT_AFTER_SECONDS = CHECKPOINT_SECONDS / 2
/** A person says how long it was to within this: a fraction, and seconds (assumed). */
const ANSWER_SPREAD = 0.1
const ANSWER_SIGMA_SECONDS = 2
/**
 * With two buttons, one of a few answers in minutes: 0.5 stands for less than one. Neighbours are up to twice apart, so
 * that the nearest is off by a third at most, and a minute may have been half of one.
 */
const BUTTON_MINUTES = [0.5, 1, 2, 3, 5, 8, 12, 20, 30, 45, 60, 90, 120]
const BUTTON_SPREAD = 0.2
const BUTTON_SIGMA_SECONDS = 12
/** An answer is offered where what it stands for reaches into what is possible. */
const BUTTON_REACH = 1.5
/** The edges of what is possible are two sigma either way: asked where an answer leaves two thirds of that or less. */
const ASK_FROM_SIGMAS = 6

function buttonSigma(seconds: number): number {
  return BUTTON_SPREAD * seconds + BUTTON_SIGMA_SECONDS
}

/** A bath is held, and how long it was dark is not known well enough: the panel asks, and the two buttons answer. */
function askDark(session: Session, dark: DarkTime): void {
  if (!(dark.mostSeconds - dark.leastSeconds > ASK_FROM_SIGMAS * buttonSigma(dark.seconds))) return
  session.darkAnswers = [dark.seconds]
  for (let i = 0; i < BUTTON_MINUTES.length; i++) {
    const seconds = 60 * BUTTON_MINUTES[i] + CUT_AFTER_SECONDS
    if (seconds * BUTTON_REACH > dark.leastSeconds && seconds < dark.mostSeconds * BUTTON_REACH)
      session.darkAnswers.push(seconds)
  }
  session.darkAt = 0
}

/** Said over the line, to the second: written down at once. False as for `answerDark`. */
export function tellDark(base: Base, toldSeconds: number): boolean {
  const seconds = toldSeconds + CUT_AFTER_SECONDS
  if (!answerDark(base, seconds, ANSWER_SPREAD * seconds + ANSWER_SIGMA_SECONDS)) return false
  if (base.keeper !== undefined) noteDark(base.keeper, base, seconds)
  return true
}

/** Said with the buttons. */
export function chooseDark(base: Base, seconds: number): void {
  answerDark(base, seconds, buttonSigma(seconds))
}

/**
 * A person has said how long it was dark, here since the checkpoint, with this sigma: what the film got is counted anew.
 * False when there is no bath in the tank that was there in the dark.
 */
function answerDark(base: Base, seconds: number, sigmaSeconds: number): boolean {
  const dark = base.dark
  if (dark === undefined) return false
  const more = seconds - dark.seconds
  const byTime = dark.perSecond * sigmaSeconds
  const byCelsius = dark.perSecondSigma * seconds
  const observer = base.bathSense.observer
  observer.progress += more * dark.perSecond
  isolate(observer.covariance, 2, dark.otherSigma * dark.otherSigma + byTime * byTime + byCelsius * byCelsius)
  base.session.darkAt = -1
  base.session.contactSeconds -= more
  if (base.keeper !== undefined) base.keeper.begunAtSeconds -= more
  correctDark(base.clock, more, base.session.cueGiven)
  dark.seconds = seconds
  dark.leastSeconds = Math.max(0, seconds - 2 * sigmaSeconds)
  dark.mostSeconds = seconds + 2 * sigmaSeconds
  return true
}

/** At the start, before the first tick. */
export function recallJournal(
  base: Base,
  keeper: Keeper,
  found: Found,
  recipeNamed: (name: string) => Recipe | undefined,
): void {
  if (found.learned !== undefined) takeLearned(base, found.learned)
  const before = found.checkpoint
  const begun = found.begun
  if (before === undefined || !isUnderWay(before.state)) return
  const nowSeconds = base.board.clock.read() as number
  base.estimates.nowSeconds = nowSeconds
  const recipe = begun === undefined || begun.session !== before.session ? undefined : recipeNamed(begun.recipe)
  if (begun === undefined || recipe === undefined || before.bathIndex >= recipe.baths.length) {
    raiseAlarm(base.session.alarms, SESSION_LOST, before.bathIndex, nowSeconds)
    return
  }
  // A flash that refuses may have done so for long, and what was torn may have been a start: as after one that was kept.
  const starts = found.startsSince + keeper.journal.lost + keeper.journal.worn
  goOn(base, keeper, begun, before, recipe, starts, nowSeconds)
}

function goOn(
  base: Base,
  keeper: Keeper,
  begun: SessionBegun,
  before: Checkpoint,
  recipe: Recipe,
  startsSince: number,
  nowSeconds: number,
): void {
  planSession(base, recipe, {
    millilitres: begun.millilitres,
    films: begun.films,
    filmsPerLitre: begun.filmsPerLitre,
  })
  const session = base.session
  const bathNow = reckonBath(base, before, recipe, session.millilitres[0])
  const dark = reckonDark(base, before, bathNow, startsSince, session.millilitres[0])
  const bath = recipe.baths[before.bathIndex]
  const inTank = !isNaN(before.bathSeconds)
  resumeSession(
    session,
    {
      state: before.state,
      bathIndex: before.bathIndex,
      cueGiven: before.cueGiven,
      insistedOnCharge: before.insistedOnCharge,
      bathSeconds: before.bathSeconds + dark.seconds,
      contentsSeconds: before.contentsSeconds + dark.seconds,
    },
    nowSeconds,
  )
  beginSession(base.energy)
  budgetSession(base.energy, recipe, base.tank, before.bathIndex, NaN)
  if (inTank) {
    beginBath(base.clock, bath, begun.filmsPerLitre, session.rates[before.bathIndex], recipe.pour)
    const drainLeft = base.clock.drain.meanSeconds - before.contentsSeconds
    const inDark = darkProgress(
      session.rates[before.bathIndex],
      before.state === 'draining' ? drainedIn(dark, drainLeft) : dark,
      bathNow.meanThenCelsius,
      bathNow.celsius,
      bathNow.sigmaBetweenCelsius,
    )
    const sigma = Math.sqrt(before.progressSigma * before.progressSigma + inDark.sigma * inDark.sigma)
    resumeBath(
      base.bathSense,
      session.underway,
      {
        probeCelsius: bathNow.probeCelsius,
        bathCelsius: bathNow.celsius,
        bathSigmaCelsius: bathNow.sigmaCelsius,
        bodyCelsius: bathNow.celsius,
        progress: before.progress + inDark.progress,
        progressSigma: sigma,
        progressPerKelvin: before.progressPerKelvin,
      },
      nowSeconds,
    )
    // What was left to drain is over by now, however long it was.
    if (before.state !== 'draining')
      base.dark = {
        seconds: dark.seconds,
        leastSeconds: dark.leastSeconds,
        mostSeconds: dark.mostSeconds,
        perSecond: dark.seconds > 0 ? inDark.progress / dark.seconds : 0,
        perSecondSigma: dark.seconds > 0 ? inDark.celsiusSigma / dark.seconds : 0,
        otherSigma: before.progressSigma,
      }
    // A tank that has run empty in the dark acts no more, whenever the press comes that says so.
    if (before.state === 'draining' && dark.seconds > drainLeft) base.bathSense.counting = false
    resumeClock(base.clock, session.underway, session.contactSeconds, nowSeconds)
    beginProgramme(base.agitation, recipe.agitations[bath.agitation], nowSeconds)
    if (session.state === 'held') askDark(session, dark)
  }
  goOnKeeping(keeper, base, begun, before, dark.seconds)
}

/** What was left to drain acts for no longer than a slow hand drains. */
function drainedIn(dark: DarkTime, leftSeconds: number): DarkTime {
  const left = Math.max(0, leftSeconds)
  return {
    seconds: Math.min(dark.seconds, left),
    leastSeconds: Math.min(dark.leastSeconds, 0.5 * left),
    mostSeconds: Math.min(dark.mostSeconds, 1.5 * left + SLOW_DRAIN_SECONDS),
  }
}

/** The bath as far as it can be known before the first tick. */
interface BathReckoned {
  /** NaN where the probe says nothing. */
  probeCelsius: number
  celsius: number
  sigmaCelsius: number
  /** At the checkpoint, when bath and tank had evened out; and between the two, as the film had it at first. */
  evenedThenCelsius: number
  thenSigmaCelsius: number
  meanThenCelsius: number
  sigmaBetweenCelsius: number
}

/** A probe that has stood in the bath for long enough says what it is; how much of the way is left, its lag tells. */
function reckonBath(base: Base, before: Checkpoint, recipe: Recipe, millilitres: number): BathReckoned {
  // Whoever was pouring then had not poured enough for the probe to tell: what is meant to be poured says more.
  const poured = before.bathSeconds < POURED_SECONDS
  const thenCelsius = poured ? expectedPourCelsius(recipe, before.bathIndex) : before.bathCelsius
  const thenSigma = poured ? expectedPourSigmaCelsius(recipe, before.bathIndex) : before.bathSigmaCelsius
  const liquid = WATER_JOULES_PER_MILLILITRE_KELVIN * millilitres
  const body = base.tank.heatJoulesPerKelvin
  const evened = (thenCelsius * liquid + before.bodyCelsius * body) / (liquid + body)
  const probe = celsiusOfProbe(base.bathSense, base.board.probe.read())
  const lagSeconds = Math.exp(base.bathSense.observer.lnLag)
  const unsettled = isNaN(probe) ? 1 : Math.exp(-(before.bathSeconds + LEAST_DARK_SECONDS) / lagSeconds)
  const celsius = unsettled < 1 ? probe + unsettled * (evened - probe) : evened
  const unsettledSigma = unsettled * (UNSETTLED_SIGMA_CELSIUS + thenSigma)
  const apart = thenCelsius - evened
  return {
    probeCelsius: probe,
    celsius: celsius,
    sigmaCelsius: Math.sqrt(SETTLED_SIGMA_CELSIUS * SETTLED_SIGMA_CELSIUS + unsettledSigma * unsettledSigma),
    evenedThenCelsius: evened,
    meanThenCelsius: evened + apart / 2,
    sigmaBetweenCelsius: Math.sqrt(thenSigma * thenSigma + (apart * apart) / 4 + unsettledSigma * unsettledSigma),
    thenSigmaCelsius: thenSigma,
  }
}

function reckonDark(
  base: Base,
  before: Checkpoint,
  bathNow: BathReckoned,
  startsSince: number,
  millilitres: number,
): DarkTime {
  const observer = base.bathSense.observer
  const wall = base.board.wallClock.read()
  const room = before.roomCelsius
  const heat = base.tank.heatJoulesPerKelvin + WATER_JOULES_PER_MILLILITRE_KELVIN * millilitres
  return darkTime({
    resetCause: base.board.resetCause,
    startsSince: startsSince,
    wallThenSeconds: before.wallSeconds,
    wallNowSeconds: wall === undefined ? NaN : wall,
    bathThenCelsius: bathNow.evenedThenCelsius,
    bathNowCelsius: bathNow.celsius,
    dropSigmaCelsius: Math.sqrt(
      bathNow.sigmaCelsius * bathNow.sigmaCelsius + bathNow.thenSigmaCelsius * bathNow.thenSigmaCelsius,
    ),
    roomCelsius: isNaN(room) ? BELIEVED_ROOM_CELSIUS : room,
    roomMeasured: !isNaN(room),
    coolingPerSecond: observer.heat.roomWattsPerKelvin / heat,
  })
}

function takeLearned(base: Base, learned: Learned): void {
  importLearned(base.energy, learned.energy)
  const observer = base.bathSense.observer
  // Within what any probe has: 0.5 to 60 s.
  if (!base.bathSense.lagKnown && learned.lnLag > -0.7 && learned.lnLag < 4.1) observer.lnLag = learned.lnLag
  const habits = [base.clock.reaction, base.clock.fill, base.clock.drain]
  if (base.clock.known) return
  for (let i = 0; i < 3; i++) {
    const habit = learned.habits[i]
    if (!(habit.meanSeconds >= 0 && habit.meanSeconds < 600 && habit.sigmaSeconds >= 0 && habit.sigmaSeconds < 600))
      continue
    habits[i].meanSeconds = habit.meanSeconds
    habits[i].sigmaSeconds = habit.sigmaSeconds
    habits[i].weight = habit.weight >= 2 && habit.weight <= 12 ? habit.weight : 2
  }
}
