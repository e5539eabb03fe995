/** Puts the clock of a bath back to where the bath began before the power went. Temperatures are gathered anew. */
import type { Underway } from '../sense/underway.ts'
import type { Clock } from './clockState.ts'

/** After `beginBath`. `contactSeconds` is the first contact, on today's monotonic clock, and so usually negative. */
export function resumeClock(clock: Clock, underway: Underway, contactSeconds: number, nowSeconds: number): void {
  clock.contents = underway.contents
  clock.contactSeconds = contactSeconds
  clock.workedSeconds = nowSeconds
  clock.solvedSeconds = NaN
  if (underway.startsWhen === 'contact') clock.startSeconds = contactSeconds
  else if (underway.contents !== 'filling') clock.startSeconds = contactSeconds + underway.fillSeconds
}

/**
 * It was dark for so much longer than the clock had taken (negative for shorter). A call that it had ready and has not
 * given is foretold anew, at about the same speed until the next look.
 */
export function correctDark(clock: Clock, moreSeconds: number, cueGiven: boolean): void {
  const view = clock.view
  clock.contactSeconds -= moreSeconds
  clock.startSeconds -= moreSeconds
  clock.solvedSeconds = NaN
  clock.lookFromSeconds = -Infinity
  view.endAtSeconds -= moreSeconds
  if (cueGiven) return
  view.cueAtSeconds -= moreSeconds
  view.due = false
}
