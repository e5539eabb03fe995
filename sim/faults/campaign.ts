/**
 * A campaign: many sessions, each from its own seed, and what came of them. Results of parts of a campaign add up to the
 * result of the whole, whatever part ran where and in which order.
 */
import { ALARMS } from '../../firmware/session/alarmTable.ts'
import { drawScenario } from './draw.ts'
import type { PromiseName } from './promises/promise.ts'
import { withOnly } from './scenario.ts'
import { runFaultSession } from './session.ts'
import { FAULT_NAMES } from './table.ts'

/** Which sessions: `sessions` from `seed` on, of which this shard takes every `of`-th, beginning with the `shard`-th. */
export interface CampaignOptions {
  sessions: number
  seed: number
  shard: number
  of: number
  /** Only these faults, by name or as `name#place`. */
  only?: string[]
}

export interface BrokenReport {
  seed: number
  promise: PromiseName
  atSeconds: number
  why: string
  /** The command that shows it again. */
  repeat: string
}

export interface CampaignResult {
  sessions: number
  simulatedSeconds: number
  broken: BrokenReport[]
  /** Every fault and every alarm, how often it occurred; 0 for what never did. */
  marks: { [name: string]: number }
}

/** Seeds are 32 bits: after the last comes the first. */
const SEEDS = 4_294_967_296

export function seedsOf(options: CampaignOptions): number[] {
  const seeds: number[] = []
  for (let i = options.shard - 1; i < options.sessions; i += options.of) seeds.push((options.seed + i) % SEEDS)
  return seeds
}

export function emptyResult(): CampaignResult {
  const marks: CampaignResult['marks'] = {}
  for (const name of FAULT_NAMES) marks[name] = 0
  for (const alarm of ALARMS) marks[`alarm ${alarm.number} ${alarm.name}`] = 0
  return { sessions: 0, simulatedSeconds: 0, broken: [], marks }
}

/** One after the other. */
export function runSeeds(seeds: number[], only?: string[]): CampaignResult {
  const result = emptyResult()
  for (const seed of seeds) {
    const drawn = drawScenario(seed)
    const session = runFaultSession(only === undefined ? drawn : withOnly(drawn, only))
    result.sessions++
    result.simulatedSeconds += session.simulatedSeconds
    for (const { promise, atSeconds, why } of session.broken) {
      result.broken.push({ seed, promise, atSeconds, why, repeat: repeatCommand(seed, only) })
    }
    for (const [name, count] of Object.entries(session.marks)) result.marks[name] = (result.marks[name] ?? 0) + count
  }
  return result
}

export function repeatCommand(seed: number, only?: string[]): string {
  return `npm start --silent -- faults --sessions 1 --seed ${seed}${only === undefined ? '' : ` --only ${only.join(',')}`}`
}

/** Adds up results; the order in which they come does not matter. */
export function mergeResults(results: CampaignResult[]): CampaignResult {
  const whole = emptyResult()
  for (const part of results) {
    whole.sessions += part.sessions
    whole.simulatedSeconds += part.simulatedSeconds
    whole.broken.push(...part.broken)
    for (const [name, count] of Object.entries(part.marks)) whole.marks[name] = (whole.marks[name] ?? 0) + count
  }
  whole.broken.sort((a, b) => a.seed - b.seed || a.atSeconds - b.atSeconds || (a.promise < b.promise ? -1 : 1))
  return whole
}

/** Faults and alarms that never occurred. */
export function unmarked(result: CampaignResult): string[] {
  return Object.keys(result.marks).filter(name => result.marks[name] === 0)
}
