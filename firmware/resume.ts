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
import { resumeClock } from './clock/resumeClock.ts'
import { beginSession, budgetSession } from './energy/budget.ts'
import { importLearned } from './energy/learned.ts'
import { type DarkTime, darkProgress, darkTime } from './journal/darkTime.ts'
import { type Found, goOnKeeping, type Keeper } from './journal/keeper.ts'
import type { Learned } from './journal/learnedPayload.ts'
import type { Checkpoint, SessionBegun } from './journal/payloads.ts'
import { planSession } from './planning.ts'
import type { Recipe } from './recipe/recipe.ts'
import { TURNING_ROOM_FACTOR, WATER_JOULES_PER_MILLILITRE_KELVIN } from './sense/heat.ts'
import { celsiusOfProbe, resumeBath } from './sense/resumeBath.ts'
import { raiseAlarm } from './session/alarms.ts'
import { SESSION_LOST } from './session/alarmTable.ts'
import { isUnderWay, resumeSession } from './session/resumeSession.ts'

/** What a room has that nobody measures (assumed). */
const BELIEVED_ROOM_CELSIUS = 20

/** At the start, before the first tick. Gives how long it was dark where a session is gone on with, else `undefined`. */
export function recallJournal(
  base: Base,
  keeper: Keeper,
  found: Found,
  recipeNamed: (name: string) => Recipe | undefined,
): DarkTime | undefined {
  if (found.learned !== undefined) takeLearned(base, found.learned)
  const before = found.checkpoint
  const begun = found.begun
  if (before === undefined || !isUnderWay(before.state)) return undefined
  const nowSeconds = base.board.clock.read() as number
  base.estimates.nowSeconds = nowSeconds
  const recipe = begun === undefined || begun.session !== before.session ? undefined : recipeNamed(begun.recipe)
  if (begun === undefined || recipe === undefined || before.bathIndex >= recipe.baths.length) {
    raiseAlarm(base.session.alarms, SESSION_LOST, before.bathIndex, nowSeconds)
    return undefined
  }
  return goOn(base, keeper, begun, before, recipe, nowSeconds)
}

function goOn(
  base: Base,
  keeper: Keeper,
  begun: SessionBegun,
  before: Checkpoint,
  recipe: Recipe,
  nowSeconds: number,
): DarkTime {
  planSession(base, recipe, {
    millilitres: begun.millilitres,
    films: begun.films,
    filmsPerLitre: begun.filmsPerLitre,
  })
  const session = base.session
  const probeCelsius = celsiusOfProbe(base.bathSense, base.board.probe.read())
  const dark = reckonDark(base, before, probeCelsius, session.millilitres[0])
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
    const rate = session.rates[before.bathIndex]
    const inDark = darkProgress(rate, dark, before.bathCelsius, probeCelsius)
    const sigma = Math.sqrt(before.progressSigma * before.progressSigma + inDark.sigma * inDark.sigma)
    resumeBath(
      base.bathSense,
      session.underway,
      {
        bathCelsius: before.bathCelsius,
        bodyCelsius: before.bodyCelsius,
        progress: before.progress + inDark.progress,
        progressSigma: sigma,
        progressPerKelvin: before.progressPerKelvin,
      },
      probeCelsius,
      nowSeconds,
    )
    beginBath(base.clock, bath, begun.filmsPerLitre, rate, recipe.pour)
    resumeClock(base.clock, session.underway, session.contactSeconds, nowSeconds)
    beginProgramme(base.agitation, recipe.agitations[bath.agitation], nowSeconds)
  }
  goOnKeeping(keeper, base, begun, before, dark.seconds)
  return dark
}

function reckonDark(base: Base, before: Checkpoint, probeCelsius: number, millilitres: number): DarkTime {
  const observer = base.bathSense.observer
  const wall = base.board.wallClock.read()
  const room = before.roomCelsius
  const heat = base.tank.heatJoulesPerKelvin + WATER_JOULES_PER_MILLILITRE_KELVIN * millilitres
  return darkTime({
    resetCause: base.board.resetCause,
    wallThenSeconds: before.wallSeconds,
    wallNowSeconds: wall === undefined ? NaN : wall,
    bathThenCelsius: before.bathCelsius,
    bathNowCelsius: probeCelsius,
    roomCelsius: isNaN(room) ? BELIEVED_ROOM_CELSIUS : room,
    roomMeasured: !isNaN(room),
    coolingPerSecond: observer.heat.roomWattsPerKelvin / TURNING_ROOM_FACTOR / heat,
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
