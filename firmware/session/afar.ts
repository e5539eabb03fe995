/**
 * What may be asked of a session from afar, without a hand on the base: only what turns nothing and loses no film.
 *
 * Asked for between two ticks; the next tick takes it like a press, and asks the state again, because a press on the
 * base may have come first. Turning is never asked for here: that takes a press.
 */
import { fire } from './act.ts'
import type { Session } from './session.ts'
import { AFAR_SECONDS, say } from './turnTest.ts'

export type Afar = 'none' | 'advance' | 'hold' | 'abandon'

/** Whether advance would begin or end a drain. */
export function mayAdvance(session: Session): boolean {
  const state = session.state
  return (
    state === 'draining' || state === 'due' || state === 'fillingDue' || state === 'heldDue' || state === 'stoppedDue'
  )
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
  session.afar = 'none'
  if (asked === 'advance' && mayAdvance(session)) fire(session, 'advance', nowSeconds)
  if (asked === 'hold' && mayHold(session)) fire(session, 'hold', nowSeconds)
  if (asked === 'abandon' && !abandonNeedsPress(session)) fire(session, 'abandon', nowSeconds)
}
