/**
 * The fewest faults that still break a promise: leaves out half of them, then quarters, and so on down to single ones, as
 * long as the same promise is still broken. Every fault draws from a stream of its own, so that leaving one out does not
 * change the others.
 */
import type { PromiseName } from './promises/promise.ts'
import { eventName, type FaultEvent, type Scenario } from './scenario.ts'
import { runFaultSession } from './session.ts'

/** A session has at most some dozens of events: this is never reached in good order. */
const TRIES_AT_MOST = 300

/** Names for `--only`: what is left of the scenario's events. */
export function shrink(scenario: Scenario, promise: PromiseName): string[] {
  const breaks = (events: FaultEvent[]): boolean =>
    runFaultSession({ ...scenario, events }).broken.some(one => one.promise === promise)
  return fewest(scenario.events, breaks).map(eventName)
}

/** A smallest part of a list for which `breaks` still holds, as it does for the whole. */
export function fewest<T>(all: T[], breaks: (part: T[]) => boolean): T[] {
  let left = all
  let tries = 0
  let size = Math.ceil(left.length / 2)
  while (size >= 1 && tries < TRIES_AT_MOST) {
    let shrunk = false
    for (let from = 0; from < left.length && tries < TRIES_AT_MOST; ) {
      const fewer = [...left.slice(0, from), ...left.slice(from + size)]
      tries++
      if (fewer.length < left.length && breaks(fewer)) {
        left = fewer
        shrunk = true
      } else from += size
    }
    if (size === 1 && !shrunk) break
    size = size === 1 ? 1 : Math.ceil(size / 2)
  }
  return left
}
