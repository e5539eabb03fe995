/**
 * Turning the motor for a test, asked for from afar: it waits for a press of advance on the base, and any press, any
 * trouble or the end of its time stops it.
 *
 * Assumes that it steps between sense and the session, and only while no session runs; it takes the presses for itself.
 * A pack that is not known or empty, a stall or a tank that does not follow end it at once.
 */
import type { EnergyView } from '../energy/view.ts'
import type { Agitation } from '../recipe/recipe.ts'
import type { Estimates } from '../sense/estimates.ts'
import type { Session } from './session.ts'

/** A start or a turn asked for from afar waits so long for a press on the base. */
export const AFAR_SECONDS = 30
const ASKED_FROM_AFAR = 'Asked from afar: press advance'
/** Other words than for a start: who means to pour must see that the press turns the motor. */
const TURN_FROM_AFAR = 'Test turn, from afar: press advance'
const STOPS = 'Test turn: any press stops it'

export interface TurnTest {
  stage: 'none' | 'asked' | 'running'
  /** Until when it waits or runs. */
  untilSeconds: number
  seconds: number
  agitation: Agitation
  /** Alarms that stood when it began. */
  standing: number
  /** Until when a start is asked for, that waits for the same press; NaN when none ever was. */
  startUntilSeconds: number
}

export function createTurnTest(): TurnTest {
  return {
    stage: 'none',
    untilSeconds: NaN,
    seconds: 0,
    // Legs and rests are assumed: what most recipes ask for.
    agitation: { rpm: 45, legTurns: 2, restSeconds: 0.5, rampSeconds: 0.6, stagger: false },
    standing: 0,
    startUntilSeconds: NaN,
  }
}

/** A start is asked for: its press is for pouring in, and nothing else may wait for it meanwhile. */
export function askStart(test: TurnTest, session: Session, nowSeconds: number): void {
  test.startUntilSeconds = nowSeconds + AFAR_SECONDS
  say(session, ASKED_FROM_AFAR, test.startUntilSeconds)
}

/** Whether the next press of advance is the one that a start from afar waits for. */
export function awaitsStart(test: TurnTest, session: Session, nowSeconds: number): boolean {
  return session.state === 'planned' && nowSeconds < test.startUntilSeconds
}

/** Asks for it. `rpm` of the tank and `seconds` are checked. */
export function askTurnTest(test: TurnTest, session: Session, rpm: number, seconds: number, nowSeconds: number): void {
  test.stage = 'asked'
  test.untilSeconds = nowSeconds + AFAR_SECONDS
  test.agitation.rpm = rpm
  test.seconds = seconds
  say(session, TURN_FROM_AFAR, test.untilSeconds)
}

/** One tick of a test that is asked for or running. True in the tick in which its turning begins. */
export function stepTurnTest(test: TurnTest, session: Session, estimates: Estimates, energyView: EnergyView): boolean {
  const nowSeconds = estimates.nowSeconds
  const advance = !isNaN(estimates.advancePressSeconds)
  const pressed = advance || !isNaN(estimates.holdPressSeconds) || estimates.holdLongPress
  estimates.advancePressSeconds = NaN
  estimates.holdPressSeconds = NaN
  estimates.holdLongPress = false
  const standing = session.alarms.standing
  const begins = test.stage === 'asked' && advance && nowSeconds < test.untilSeconds
  if (begins) {
    test.stage = 'running'
    test.standing = standing
    test.untilSeconds = nowSeconds + test.seconds
    say(session, STOPS, test.untilSeconds)
  } else if (pressed || !(nowSeconds < test.untilSeconds)) endTurnTest(test, session)
  if (test.stage !== 'running') return false
  const safe = estimates.packKnown && !energyView.empty && estimates.turningTrouble === 'none'
  if (!safe || standing > test.standing) endTurnTest(test, session)
  return begins
}

function endTurnTest(test: TurnTest, session: Session): void {
  test.stage = 'none'
  say(session, '', NaN)
}

/** Words in the place of a refusal; nothing calls. */
export function say(session: Session, words: string, untilSeconds: number): void {
  session.refusal = words
  session.refusalUntilSeconds = untilSeconds
}
