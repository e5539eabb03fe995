/**
 * One recipe carried out once: which bath we are in, what the operator's presses mean, what the motor is asked for.
 *
 * `takeTick` runs every tick between sense and the motor: it picks the events (a press, the cue, a fault of the
 * drive), looks them up in `table.ts`, and leaves what happened in `session.events`, for the clock, the agitation, the
 * journal and the panel. It never throws and never waits; figures that are NaN only mean that what depends on them does
 * not happen. Nothing here ends a bath: only a press does.
 */
import type { Want } from '../agitation/agitation.ts'
import type { AgitationView } from '../agitation/view.ts'
import type { ClockView } from '../clock/view.ts'
import type { EnergyView } from '../energy/view.ts'
import { makeRate, type Rate } from '../recipe/rate.ts'
import type { Recipe } from '../recipe/recipe.ts'
import type { Estimates } from '../sense/estimates.ts'
import { createUnderway, type Underway } from '../sense/underway.ts'
import { fire } from './act.ts'
import { type Afar, takeFromAfar } from './afar.ts'
import { type Alarms, createAlarms, raiseAlarm } from './alarms.ts'
import { ALARMS, PACK_EMPTY, PACK_UNKNOWN } from './alarmTable.ts'
import { createEvents, emit, type SessionEvent } from './events.ts'
import { takePresses } from './hands.ts'
import type { SessionState } from './table.ts'
import { watch } from './watch.ts'

/** The pack may be unreadable for so long before driving counts as unsafe: one bad conversion is no fault (assumed). */
export const PACK_UNKNOWN_SECONDS = 2
/** Whoever is near has heard the alarm and come within this (assumed). */
export const ASK_SECONDS = 60

export interface SessionOptions {
  /** What is poured in for each bath, or for all alike. */
  millilitres: number[] | number
  /** Films in the tank. */
  films: number
  /** Films already through one litre of the solutions. */
  filmsPerLitre: number
}

export interface Session {
  recipe: Recipe
  films: number
  filmsPerLitre: number
  /** By bath; the last one stands for those beyond the list. */
  millilitres: number[]
  /** By bath; `undefined` for a bath by time. */
  rates: (Rate | undefined)[]

  state: SessionState
  /** When the state began; for a press, its moment. NaN before the first tick. */
  stateSeconds: number
  /** The bath in the tank, or the next to be poured in; the last one when finished. */
  bathIndex: number
  underway: Underway
  want: Want
  /** First contact of the running bath, and the moment its cue was given; NaN when there is none. */
  contactSeconds: number
  cueSeconds: number
  /** When the running hold or stop began; NaN when there is none. */
  restingSinceSeconds: number
  /** The pour-out cue was given, or there is no bath to give one for. */
  cueGiven: boolean
  /** The operator starts although the charge will not last. */
  insistedOnCharge: boolean

  /** What the last bath taught of the operator; NaN where a press did not come, or came before the cue. */
  fillSeconds: number
  reactionSeconds: number
  drainSeconds: number

  /** Shown until `refusalUntilSeconds`; empty when there is none. */
  refusal: string
  refusalUntilSeconds: number
  /** A question that the same press again would answer, and the moment it was put. */
  asked: 'none' | 'advance' | 'abandon'
  askedSeconds: number
  /** Asked after a dark time: the answers to choose from, the base's own first, and the one that is shown; −1 while nothing is asked. */
  darkAnswers: number[]
  darkAt: number
  /** Asked over the line, for the next tick to take; and until when a press of hold abandons, as asked from there. */
  afar: Afar
  afarAbandonUntilSeconds: number
  /** When something asked for from afar last took effect; NaN for never. */
  afarSeconds: number

  /** Since when the pack cannot be read; NaN while it can, -Infinity before it ever was. */
  packUnknownSinceSeconds: number
  /** A person has pressed since the motor was stopped. */
  stopAcknowledged: boolean
  /** The best source of rotation seen: 0 time, 1 shaft, 2 tank. */
  bestRotation: number
  alarms: Alarms

  /** What happened in this tick: the first `eventCount` of a reused list. */
  events: SessionEvent[]
  eventCount: number
}

/**
 * A session before its first pour. Throws what `makeRate` throws for a recipe that was not checked; nothing later throws.
 */
export function createSession(recipe: Recipe, options: SessionOptions): Session {
  const rates: (Rate | undefined)[] = []
  for (let i = 0; i < recipe.baths.length; i++) {
    const bath = recipe.baths[i]
    rates.push(bath.kind === 'developed' ? makeRate(bath, options.filmsPerLitre) : undefined)
  }
  const underway = createUnderway()
  underway.fillSeconds = recipe.pour.fillSeconds
  underway.drainSeconds = recipe.pour.drainSeconds
  return {
    recipe: recipe,
    films: options.films,
    filmsPerLitre: options.filmsPerLitre,
    millilitres: typeof options.millilitres === 'number' ? [options.millilitres] : options.millilitres,
    rates: rates,
    state: 'planned',
    stateSeconds: NaN,
    bathIndex: 0,
    underway: underway,
    want: 'off',
    contactSeconds: NaN,
    cueSeconds: NaN,
    restingSinceSeconds: NaN,
    cueGiven: true,
    insistedOnCharge: false,
    fillSeconds: NaN,
    reactionSeconds: NaN,
    drainSeconds: NaN,
    refusal: '',
    refusalUntilSeconds: NaN,
    asked: 'none',
    askedSeconds: NaN,
    darkAnswers: [],
    darkAt: -1,
    afar: 'none',
    afarAbandonUntilSeconds: NaN,
    afarSeconds: NaN,
    packUnknownSinceSeconds: -Infinity,
    stopAcknowledged: false,
    bestRotation: 0,
    alarms: createAlarms(),
    events: createEvents(),
    eventCount: 0,
  }
}

/** One tick and, once a second, what only a watch shows: for a caller that has no need to spread it over its ticks. */
export function stepSession(
  session: Session,
  estimates: Estimates,
  clockView: ClockView,
  agitationView: AgitationView,
  energyView: EnergyView,
): void {
  takeTick(session, estimates, clockView, energyView)
  if (estimates.slow && !isNaN(estimates.nowSeconds)) watch(session, estimates, clockView, agitationView, energyView)
}

/** One tick: presses first, then the cue, then the safety of driving. `watch` once a second is the caller's. */
export function takeTick(session: Session, estimates: Estimates, clockView: ClockView, energyView: EnergyView): void {
  const nowSeconds = estimates.nowSeconds
  session.eventCount = 0
  if (isNaN(nowSeconds)) return
  if (isNaN(session.stateSeconds)) session.stateSeconds = nowSeconds
  const asked = session.darkAt >= 0 && nowSeconds - session.stateSeconds < ASK_SECONDS
  if (estimates.holdLongPress || !isNaN(estimates.advancePressSeconds) || !isNaN(estimates.holdPressSeconds)) {
    takePresses(session, estimates, clockView, energyView)
  }
  if (session.afar !== 'none') takeFromAfar(session, nowSeconds)
  // No call rests on a guess while a person is asked, nor in the tick of the answer: film that nobody comes to is not
  // saved by a call.
  if (clockView.due && !session.cueGiven && !asked && isOfThisBath(session, clockView, nowSeconds))
    fire(session, 'cue', nowSeconds)
  if (!estimates.packKnown || energyView.empty) takeTrouble(session, estimates, energyView)
  else session.packUnknownSinceSeconds = NaN
}

/** The clock is looked at once a second: a view left over from the bath before has run for longer than this bath can have. */
function isOfThisBath(session: Session, clockView: ClockView, nowSeconds: number): boolean {
  return !(clockView.elapsedSeconds > nowSeconds - session.contactSeconds + 2)
}

function takeTrouble(session: Session, estimates: Estimates, energy: EnergyView): void {
  const nowSeconds = estimates.nowSeconds
  if (estimates.packKnown) session.packUnknownSinceSeconds = NaN
  else if (isNaN(session.packUnknownSinceSeconds)) session.packUnknownSinceSeconds = nowSeconds
  if (session.want !== 'turn') return
  let place = -1
  if (energy.empty) place = PACK_EMPTY
  else if (nowSeconds - session.packUnknownSinceSeconds >= PACK_UNKNOWN_SECONDS) place = PACK_UNKNOWN
  if (place < 0) return
  fire(session, 'driveUnsafe', nowSeconds)
  // At once: a motor that stops by itself must say why, even when the cause is gone by the next second.
  if (raiseAlarm(session.alarms, place, session.bathIndex, nowSeconds)) {
    emit(session, 'alarmRaised', nowSeconds, NaN, ALARMS[place].number, '')
  }
}
