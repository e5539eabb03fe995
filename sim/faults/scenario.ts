/**
 * What one seed decides: the base that was built, the recipe, the evening, which faults are possible and how often, and
 * when each of them comes. Plain data, so that it can be printed, filtered and shrunk.
 */
import type { RunOptions } from '../bench/run.ts'
import type { FaultName } from './table.ts'

/** What a fault may wait for: the moment after which it comes, in a bath of the recipe. */
export type Moment = 'bathBegun' | 'turningBegun' | 'cueGiven' | 'drainBegun' | 'bathEnded' | 'alarmRaised'

/** One fault, once. */
export interface FaultEvent {
  fault: FaultName
  /** Counts the events of this fault in this session from 1: its name in `--only` is `fault#place`. */
  place: number
  /** From the session's start; or from a moment, when there is one. */
  atSeconds: number
  after?: { moment: Moment; bathIndex: number }
  lastsSeconds: number
  strength: number
}

export interface Scenario {
  seed: number
  run: RunOptions
  /** The faults that this session may have, each with how often it comes. */
  possible: { fault: FaultName; times: number }[]
  events: FaultEvent[]
  /** The wall clock was set before. */
  wallClockSet: boolean
}

export function eventName(event: FaultEvent): string {
  return `${event.fault}#${event.place}`
}

/** The same session with fewer faults. `only`: names of faults, or of single events. */
export function withOnly(scenario: Scenario, only: readonly string[]): Scenario {
  const events = scenario.events.filter(event => only.includes(event.fault) || only.includes(eventName(event)))
  const possible = scenario.possible.filter(({ fault }) => events.some(event => event.fault === fault))
  return { ...scenario, possible, events }
}
