/** What session and panel tests share: a short recipe, views in which all is well, and a rig that ticks by itself. */
import type { AgitationView } from '../../../firmware/agitation/view.ts'
import { createView } from '../../../firmware/clock/clockState.ts'
import type { ClockView } from '../../../firmware/clock/view.ts'
import type { EnergyView } from '../../../firmware/energy/view.ts'
import type { Recipe } from '../../../firmware/recipe/recipe.ts'
import { createEstimates, type Estimates } from '../../../firmware/sense/estimates.ts'
import type { SessionEventKind } from '../../../firmware/session/events.ts'
import { createSession, type Session, stepSession } from '../../../firmware/session/session.ts'

export const RECIPE: Recipe = {
  name: 'short',
  title: 'Short',
  pour: { fillSeconds: 8, drainSeconds: 10 },
  baths: [
    { name: 'prewet', kind: 'timed', seconds: 60, agitation: 'even' },
    {
      name: 'developer',
      kind: 'developed',
      rows: [
        [30, 480],
        [37.8, 195],
      ],
      usableCelsius: [30, 39],
      agitation: 'even',
    },
    { name: 'bleach', kind: 'atLeast', seconds: 390, agitation: 'even', startsWhen: 'full' },
  ],
  agitations: { even: { rpm: 45, legTurns: 2, restSeconds: 0.5, rampSeconds: 0.6, stagger: true } },
}

export const wellClock = createView

export function wellAgitation(): AgitationView {
  return {
    duty: 0,
    targetRpm: 0,
    direction: 0,
    legs: 0,
    reversals: 0,
    atRest: true,
    stalledForGood: false,
    retrying: false,
  }
}

export function wellEnergy(): EnergyView {
  return {
    charge: 0.8,
    chargeSigma: 0.02,
    resistanceOhms: 0.2,
    neededJoules: 1000,
    neededSigmaJoules: 50,
    leftJoules: 5000,
    leftSigmaJoules: 100,
    enough: true,
    shedding: 0,
    callByHand: false,
    empty: false,
  }
}

export interface Rig {
  session: Session
  estimates: Estimates
  clock: ClockView
  agitation: AgitationView
  energy: EnergyView
  ticks: number
  /** Everything that happened, in order. */
  log: SessionEventKind[]
  /** The numbers of alarms raised. */
  alarms: number[]
}

/** The monotonic clock may start anywhere. */
const STARTS_SECONDS = 1000

export function createRig(recipe: Recipe = RECIPE): Rig {
  const estimates = createEstimates()
  estimates.packKnown = true
  estimates.bathCelsius = 37.8
  const rig: Rig = {
    session: createSession(recipe, { millilitres: 500, films: 1, filmsPerLitre: 0 }),
    estimates,
    clock: wellClock(),
    agitation: wellAgitation(),
    energy: wellEnergy(),
    ticks: 0,
    log: [],
    alarms: [],
  }
  tick(rig)
  return rig
}

/** One tick of a tenth of a second; presses and a long press of this tick are given by the caller and gone after it. */
export function tick(rig: Rig): void {
  const { session, estimates } = rig
  estimates.nowSeconds = STARTS_SECONDS + rig.ticks / 10
  estimates.tickSeconds = 0.1
  estimates.slow = rig.ticks % 10 === 0
  rig.ticks++
  stepSession(session, estimates, rig.clock, rig.agitation, rig.energy)
  for (const event of session.events.slice(0, session.eventCount)) {
    rig.log.push(event.kind)
    if (event.kind === 'alarmRaised') rig.alarms.push(event.number)
  }
  estimates.advancePressSeconds = NaN
  estimates.holdPressSeconds = NaN
  estimates.holdLongPress = false
}

export function wait(rig: Rig, seconds: number): void {
  for (let i = 0; i < Math.round(seconds * 10); i++) tick(rig)
}

/** Presses advance in the next tick, a little before it. */
export function advance(rig: Rig): void {
  rig.estimates.advancePressSeconds = STARTS_SECONDS + rig.ticks / 10 - 0.03
  tick(rig)
}

export function hold(rig: Rig): void {
  rig.estimates.holdPressSeconds = STARTS_SECONDS + rig.ticks / 10 - 0.03
  tick(rig)
}

/** Presses hold and keeps it down until it counts as long. */
export function holdLong(rig: Rig): void {
  hold(rig)
  wait(rig, 2)
  rig.estimates.holdLongPress = true
  tick(rig)
}

/** The clock says that the pour-out is due. */
export function giveCue(rig: Rig): void {
  rig.clock.due = true
  tick(rig)
}

/** From wherever the rig is into a turning tank. */
export function toTurning(rig: Rig): void {
  rig.clock.due = false
  advance(rig)
  wait(rig, 8)
  advance(rig)
}
