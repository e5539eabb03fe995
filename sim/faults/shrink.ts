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
  let events = scenario.events
  let tries = 0
  const stillBreaks = (fewer: FaultEvent[]): boolean => {
    tries++
    return runFaultSession({ ...scenario, events: fewer }).broken.some(one => one.promise === promise)
  }
  let size = Math.ceil(events.length / 2)
  while (size >= 1 && tries < TRIES_AT_MOST) {
    let shrunk = false
    for (let from = 0; from < events.length && tries < TRIES_AT_MOST; ) {
      const fewer = [...events.slice(0, from), ...events.slice(from + size)]
      if (fewer.length < events.length && stillBreaks(fewer)) {
        events = fewer
        shrunk = true
      } else from += size
    }
    if (size === 1 && !shrunk) break
    size = size === 1 ? 1 : Math.ceil(size / 2)
  }
  return events.map(eventName)
}
