/**
 * What only a watch shows: once a second, every cause of an alarm, and whether a stopped motor may turn again.
 *
 * Assumes that it is called at the slow ticks only. A cause is noted in every second in which it is there; how long it
 * must last stands in the table of alarms. A figure that is NaN is no cause.
 */
import type { AgitationView } from '../agitation/view.ts'
import type { ClockView } from '../clock/view.ts'
import type { EnergyView } from '../energy/view.ts'
import type { Estimates } from '../sense/estimates.ts'
import { fire } from './act.ts'
import { nextRaised, noteCause } from './alarms.ts'
import {
  ADVANCE_STUCK,
  ALARMS,
  BATH_TOO_COLD,
  BATH_TOO_WARM,
  BOUND_WIDE,
  CHARGE_SHORT,
  DRAIN_FORGOTTEN,
  DRIVER_STUCK,
  FILL_FORGOTTEN,
  FILM_WAITS,
  FILM_WAITS_DEVELOPED,
  HOLD_FORGOTTEN,
  HOLD_STUCK,
  JAMMED,
  MODEL_CONTRADICTED,
  OUTSIDE_SHEET,
  PACK_EMPTY,
  PACK_UNKNOWN,
  POUR_OUT_OVERDUE,
  PROBE_FAILED,
  ROTATION_LOST,
  SLIPPING,
  STALLED_FOR_GOOD,
  TURN_BY_HAND_SOON,
  WALKED_OFF,
} from './alarmTable.ts'
import { EVENTS_FOR_ALARMS, emit } from './events.ts'
import type { Session } from './session.ts'

/**
 * After the tank is full the bath falls by degrees while tank and film take its heat, and is poured warmer for it: what
 * is outside a range only then is no alarm. The screen says it at once. Most of the fall is over in half a minute.
 */
export const SETTLING_SECONDS = 30
/** The bound of a bath in order stays under 2 % (DESIGN's budget); from here on the operator should know. Looked at in the second half of a bath. */
export const BOUND_WIDE_PERCENT = 5
/** Assumed, all of them: long enough for a person who is on the way, short enough to matter. */
export const HOLD_FORGOTTEN_SECONDS = 60
export const OVERDUE_SECONDS = 20
/** Longer does no harm there. */
export const OVERDUE_AT_LEAST_SECONDS = 300
export const POUR_FORGOTTEN_FACTOR = 3
export const POUR_FORGOTTEN_SECONDS = 30
export const FILM_WAITS_SECONDS = 90
/** What clings to the film after a developer goes on acting, and not evenly. A change of bottles takes 10 to 30 s. */
export const FILM_WAITS_DEVELOPED_SECONDS = 45

/** A motor that is told to rest draws nothing; more than noise and what still ebbs away in the reading (assumed). */
export const RESTING_AMPS = 0.06

/** All that is looked at once a second. */
export function watch(
  session: Session,
  estimates: Estimates,
  clockView: ClockView,
  agitationView: AgitationView,
  energyView: EnergyView,
): void {
  const nowSeconds = estimates.nowSeconds
  const alarms = session.alarms
  if (nowSeconds >= session.refusalUntilSeconds) session.refusal = ''
  watchBase(session, estimates, nowSeconds)
  if (session.state === 'finished' || session.state === 'abandoned') {
    if (alarms.active > 0) callAlarms(session, nowSeconds)
    return
  }
  if (estimates.probe !== 'ok' || estimates.bridging) noteCause(alarms, PROBE_FAILED, nowSeconds)
  if (session.want === 'turn') watchDrive(session, estimates, nowSeconds)
  else watchHands(session, nowSeconds)
  if (session.underway.contents === 'full') watchBath(session, estimates, clockView, nowSeconds)
  if (session.underway.bathIndex >= 0) watchPack(session, energyView, nowSeconds)
  if (!isNaN(session.cueSeconds)) watchCue(session, nowSeconds)
  if (agitationView.stalledForGood) noteCause(alarms, STALLED_FOR_GOOD, nowSeconds)
  if (session.stopAcknowledged) considerRestart(session, estimates, energyView)
  if (alarms.active > 0) callAlarms(session, nowSeconds)
}

/** What can go wrong with or without a session: a tank that is still on its rollers is run by a driver that does not let go. */
function watchBase(session: Session, estimates: Estimates, nowSeconds: number): void {
  const alarms = session.alarms
  if (!estimates.packKnown) noteCause(alarms, PACK_UNKNOWN, nowSeconds)
  if (estimates.advanceStuck) noteCause(alarms, ADVANCE_STUCK, nowSeconds)
  if (estimates.holdStuck) noteCause(alarms, HOLD_STUCK, nowSeconds)
  // Not in the rests between legs: a reading that ebbs away there could meet every second of the watch.
  if (session.want !== 'turn' && session.underway.motorDuty === 0 && estimates.motorAmps > RESTING_AMPS)
    noteCause(alarms, DRIVER_STUCK, nowSeconds)
}

function watchBath(session: Session, estimates: Estimates, clockView: ClockView, nowSeconds: number): void {
  const alarms = session.alarms
  if (estimates.modelFreed) noteCause(alarms, MODEL_CONTRADICTED, nowSeconds)
  if (nowSeconds - session.underway.sinceSeconds < SETTLING_SECONDS) return
  if (clockView.farOutsideSheet) noteCause(alarms, OUTSIDE_SHEET, nowSeconds)
  if (clockView.usable === 'tooCold') noteCause(alarms, BATH_TOO_COLD, nowSeconds)
  else if (clockView.usable === 'tooWarm') noteCause(alarms, BATH_TOO_WARM, nowSeconds)
  if (clockView.progress > 0.5 && clockView.boundPercent > BOUND_WIDE_PERCENT) {
    noteCause(alarms, BOUND_WIDE, nowSeconds)
  }
}

function watchDrive(session: Session, estimates: Estimates, nowSeconds: number): void {
  const alarms = session.alarms
  const source = estimates.rotationSource
  const rotation = source === 'tank' ? 2 : source === 'shaft' ? 1 : 0
  if (rotation > session.bestRotation) session.bestRotation = rotation
  else if (rotation < session.bestRotation) noteCause(alarms, ROTATION_LOST, nowSeconds)
  const trouble = estimates.turningTrouble
  if (trouble === 'none') return
  if (trouble === 'slipping') noteCause(alarms, SLIPPING, nowSeconds)
  else if (trouble === 'walkedOff') noteCause(alarms, WALKED_OFF, nowSeconds)
  else if (trouble === 'jammed') noteCause(alarms, JAMMED, nowSeconds)
}

function watchHands(session: Session, nowSeconds: number): void {
  const alarms = session.alarms
  const pour = session.recipe.pour
  const stateFor = nowSeconds - session.stateSeconds
  switch (session.state) {
    case 'ready':
      if (session.recipe.baths[session.bathIndex - 1].kind === 'developed') {
        if (stateFor >= FILM_WAITS_DEVELOPED_SECONDS) noteCause(alarms, FILM_WAITS_DEVELOPED, nowSeconds)
      } else if (stateFor >= FILM_WAITS_SECONDS) noteCause(alarms, FILM_WAITS, nowSeconds)
      break
    case 'filling':
      if (stateFor >= forgottenSeconds(pour.fillSeconds)) noteCause(alarms, FILL_FORGOTTEN, nowSeconds)
      break
    case 'draining':
      if (stateFor >= forgottenSeconds(pour.drainSeconds)) noteCause(alarms, DRAIN_FORGOTTEN, nowSeconds)
      break
    case 'held':
    case 'heldDue':
      if (nowSeconds - session.restingSinceSeconds >= HOLD_FORGOTTEN_SECONDS) {
        noteCause(alarms, HOLD_FORGOTTEN, nowSeconds)
      }
      break
    default:
  }
}

function watchPack(session: Session, energyView: EnergyView, nowSeconds: number): void {
  const alarms = session.alarms
  if (energyView.shedding > 0 || !(energyView.enough || session.insistedOnCharge)) {
    noteCause(alarms, CHARGE_SHORT, nowSeconds)
  }
  if (energyView.empty) noteCause(alarms, PACK_EMPTY, nowSeconds)
  else if (energyView.callByHand) noteCause(alarms, TURN_BY_HAND_SOON, nowSeconds)
}

function watchCue(session: Session, nowSeconds: number): void {
  if (session.underway.contents === 'draining' || session.underway.contents === 'empty') return
  const patient = session.recipe.baths[session.bathIndex].kind === 'atLeast'
  const overdueSeconds = nowSeconds - session.cueSeconds
  if (overdueSeconds >= (patient ? OVERDUE_AT_LEAST_SECONDS : OVERDUE_SECONDS)) {
    noteCause(session.alarms, POUR_OUT_OVERDUE, nowSeconds)
  }
}

/** The pack is known again and a person knows that the motor will start. */
function considerRestart(session: Session, estimates: Estimates, energyView: EnergyView): void {
  if (session.state !== 'stopped' && session.state !== 'stoppedDue') return
  if (estimates.packKnown && !energyView.empty) fire(session, 'driveSafe', estimates.nowSeconds)
}

function callAlarms(session: Session, nowSeconds: number): void {
  while (session.eventCount < EVENTS_FOR_ALARMS) {
    const raised = nextRaised(session.alarms, session.bathIndex, nowSeconds)
    if (raised === -1) return
    if (raised >= 0) emit(session, 'alarmRaised', nowSeconds, NaN, ALARMS[raised].number, '')
    else emit(session, 'alarmRepeated', nowSeconds, NaN, ALARMS[-2 - raised].number, '')
  }
}

function forgottenSeconds(pourSeconds: number): number {
  return Math.max(POUR_FORGOTTEN_SECONDS, pourSeconds * POUR_FORGOTTEN_FACTOR)
}
