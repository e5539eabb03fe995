/**
 * The clock of a bath: how far it has got, how sure that is, and when to call the operator to pour it out.
 *
 * `developed`: progress is the integral that the observer keeps; the cue leads, so that
 * `p(now) + integral over reaction and drain = 1`. `timed`: exactly so long, from first contact (or full) to the end of
 * the drain. `atLeast`: the cue comes so that the time is over at the end of even a fast drain; longer does no harm.
 *
 * Works once a second and when the contents change, and works out the forecast anew every 5 s, in the last 15 s every
 * second: in the tick after, because a board has enough to do with the bath in this one, but at once where the cue is near.
 * Whether the cue is due is decided every tick, by comparing the time: from `lookFromSeconds` on it has to be called every
 * tick. Nothing here fails: when the probe does, the observer bridges and the bound widens.
 */
import type { Estimates } from '../sense/estimates.ts'
import type { Underway } from '../sense/underway.ts'
import type { Clock } from './clockState.ts'
import { secondsUntil } from './forecast.ts'
import { learnHabit } from './operator.ts'
import { judgeTemperature } from './temperature.ts'

export { beginBath, type Clock, createClock, type OperatorPrior } from './clockState.ts'

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
/** More is not told apart: nothing is known then. */
const MOST_BOUND_PERCENT = 9999

/** A cue that is further away than this cannot come due before it is worked out again, a second later. */
const LOOK_BEFORE_SECONDS = 2

/** Nearer to the cue than this, no forecast is put off: it might say "now". */
const PUT_OFF_SECONDS = 5

/** A press was made: how long after its cue, or after the press before it. */
export function learnPress(clock: Clock, kind: 'reaction' | 'fill' | 'drain', seconds: number): void {
  if (clock.known) return
  learnHabit(kind === 'reaction' ? clock.reaction : kind === 'fill' ? clock.fill : clock.drain, seconds)
}

/** Every tick, after the senses. */
export function tickClock(clock: Clock, estimates: Estimates, underway: Underway): void {
  const changed = underway.contents !== clock.contents
  if (estimates.slow || changed) {
    if (changed) follow(clock, underway)
    if (!isNaN(clock.contactSeconds)) work(clock, estimates, underway)
    lookFrom(clock)
  } else if (clock.solveOwed) {
    clock.solveOwed = false
    solve(clock, estimates, underway, clock.workedSeconds)
    lookFrom(clock)
  } else if (!(estimates.nowSeconds >= clock.lookFromSeconds)) {
    // The usual tick: far from the cue, or no cue to come. The engine pays for every name it meets.
    return
  }
  const view = clock.view
  const nowSeconds = estimates.nowSeconds
  if (!view.due && nowSeconds + 0.5 * estimates.tickSeconds >= view.cueAtSeconds) view.due = true
  if (view.due) view.overdueSeconds = nowSeconds - view.cueAtSeconds
}

function lookFrom(clock: Clock): void {
  clock.lookFromSeconds = clock.solveOwed ? -Infinity : clock.view.cueAtSeconds - LOOK_BEFORE_SECONDS
}

/** The contents changed: first contact, full and closed, draining, empty. */
function follow(clock: Clock, underway: Underway): void {
  const to = underway.contents
  const began = clock.contents === 'empty'
  clock.contents = to
  clock.solvedSeconds = NaN
  clock.solveOwed = false
  if (began) {
    clock.contactSeconds = underway.sinceSeconds
    clock.workedSeconds = underway.sinceSeconds
    if (underway.startsWhen === 'contact') clock.startSeconds = underway.sinceSeconds
  }
  if (to === 'full' && isNaN(clock.startSeconds)) clock.startSeconds = underway.sinceSeconds
  if (to === 'empty') {
    clock.view.cueAtSeconds = NaN
    clock.view.due = false
    clock.view.overdueSeconds = NaN
  }
}

/** Once a second: progress, bound, temperatures, forecast. */
function work(clock: Clock, estimates: Estimates, underway: Underway): void {
  const view = clock.view
  // After the drain everything stays as it was at the moment of the press.
  const nowSeconds = clock.contents === 'empty' ? underway.sinceSeconds : estimates.nowSeconds
  const over = clock.contents === 'empty'
  const elapsed = nowSeconds - clock.contactSeconds
  const step = nowSeconds - clock.workedSeconds
  if (over && view.endAtSeconds === nowSeconds) return
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
    left > NEAR_SECONDS + clock.drain.meanSeconds + clock.reaction.meanSeconds ? SOLVE_SECONDS : NEAR_SOLVE_SECONDS
  if (!(nowSeconds - clock.solvedSeconds < every - 0.05)) {
    clock.solvedSeconds = nowSeconds
    clock.solveOwed = clock.rate !== undefined && !(view.cueAtSeconds - nowSeconds < PUT_OFF_SECONDS)
    if (!clock.solveOwed) solve(clock, estimates, underway, nowSeconds)
  }
}

/** Hardly any drain of this operator is shorter than the mean by so many sigma. */
const FAST_SIGMA = 2.5

/** When the bath will have acted, and when the operator has to be called for that. */
function solve(clock: Clock, estimates: Estimates, underway: Underway, nowSeconds: number): void {
  const view = clock.view
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
  const drain = clock.drain
  if (clock.kind === 'atLeast') {
    // Even a hand that reacts at once and drains fast must not end it early.
    const shortestSeconds = clock.known ? drain.meanSeconds : drain.meanSeconds - FAST_SIGMA * drain.sigmaSeconds
    view.cueAtSeconds = view.endAtSeconds - Math.max(shortestSeconds, 0)
  } else view.cueAtSeconds = view.endAtSeconds - drain.meanSeconds - clock.reaction.meanSeconds
}
