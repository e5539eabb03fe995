/**
 * What may be asked of a session from afar, without a hand on the base: only what turns nothing and loses no film.
 *
 * Asked for between two ticks; the next tick takes it like a press, and asks the state again, because a press on the
 * base may have come first. Turning is never asked for here: that takes a press. An advance means what it meant in the
 * state in which it was asked for: asked twice, or along with a press on the base, it still counts once.
 */
import { fire } from './act.ts'
import { SLIP_FRACTION, SLIP_SECONDS } from './hands.ts'
import type { Session } from './session.ts'
import { AFAR_SECONDS, say } from './turnTest.ts'

/** The states in which an advance from afar begins or ends a drain. */
type Drainable = 'draining' | 'due' | 'fillingDue' | 'heldDue' | 'stoppedDue'

/** What waits for the next tick. An advance is kept as the state in which it was asked for. */
export type Afar = 'none' | Drainable | 'hold' | 'abandon'

const ASKED_BEFORE = 'Asked twice? The first one counts'

/** Asks for what begins or ends a drain. Gives why not, or an empty text when it will be taken. */
export function askAdvance(session: Session, nowSeconds: number): string {
  const state = session.state
  if (
    state !== 'draining' &&
    state !== 'due' &&
    state !== 'fillingDue' &&
    state !== 'heldDue' &&
    state !== 'stoppedDue'
  ) {
    return 'Press advance on the base'
  }
  if (session.afar !== 'none' || isSlip(session, nowSeconds)) return ASKED_BEFORE
  session.afar = state
  return ''
}

/** So soon after the drain began, by a press or from afar, the tank cannot be empty: as for a button. */
function isSlip(session: Session, nowSeconds: number): boolean {
  if (session.state !== 'draining') return false
  const leastSeconds = Math.min(SLIP_SECONDS, session.recipe.pour.drainSeconds * SLIP_FRACTION)
  return nowSeconds - session.underway.sinceSeconds < leastSeconds
}

/** Whether hold would stop the motor. */
export function mayHold(session: Session): boolean {
  return session.state === 'turning' || session.state === 'due'
}

/** Film lies in a bath that acts on it: giving that up takes a hand on the base. */
export function abandonNeedsPress(session: Session): boolean {
  return session.underway.contents !== 'empty' && session.recipe.baths[session.bathIndex].kind === 'developed'
}

/** A press of hold within half a minute abandons. */
export function askAbandon(session: Session, nowSeconds: number): void {
  session.afarAbandonUntilSeconds = nowSeconds + AFAR_SECONDS
  say(session, 'Abandon, from afar: press hold', session.afarAbandonUntilSeconds)
}

/** Takes what was asked for, in the tick after. */
export function takeFromAfar(session: Session, nowSeconds: number): void {
  const asked = session.afar
  let done = false
  session.afar = 'none'
  if (asked === 'hold') done = mayHold(session) && fire(session, 'hold', nowSeconds)
  else if (asked === 'abandon') done = !abandonNeedsPress(session) && fire(session, 'abandon', nowSeconds)
  else done = asked === session.state && fire(session, 'advance', nowSeconds)
  if (done) session.afarSeconds = nowSeconds
}
