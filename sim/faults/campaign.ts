/**
 * A campaign: many sessions, each from its own seed, and what came of them. Results of parts of a campaign add up to the
 * result of the whole, whatever part ran where and in which order.
 */
import { ALARMS } from '../../firmware/session/alarmTable.ts'
import { drawScenario } from './draw.ts'
import { PROMISE_NAMES, type PromiseName } from './promises/promise.ts'
import type { BoundCounts } from './promises/watch.ts'
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
  /** Every promise, in how many sessions it came up and nothing excused it; 0 for one that was never judged. */
  judged: { [promise: string]: number }
  /** Developed baths at their end: how many, and in how many progress was further off than the stated bound. */
  bounds: BoundCounts
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
  const judged: CampaignResult['judged'] = {}
  for (const name of PROMISE_NAMES) judged[name] = 0
  const bounds = { baths: 0, beyond: 0, uncertainBaths: 0, uncertainBeyond: 0 }
  return { sessions: 0, simulatedSeconds: 0, broken: [], marks, judged, bounds }
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
    addUp(result.marks, session.marks)
    for (const name of session.judged) result.judged[name] = (result.judged[name] ?? 0) + 1
    addUp(result.bounds, session.bounds)
  }
  return result
}

function addUp(sums: object, counts: object): void {
  const sum = sums as { [name: string]: number }
  for (const [name, count] of Object.entries(counts)) sum[name] = (sum[name] ?? 0) + count
}

/** What each process of a campaign does. */
export async function startSeeds({ only }: { only?: string[] }): Promise<(seeds: number[]) => CampaignResult> {
  return seeds => runSeeds(seeds, only)
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
    addUp(whole.marks, part.marks)
    addUp(whole.judged, part.judged)
    addUp(whole.bounds, part.bounds)
  }
  whole.broken.sort((a, b) => a.seed - b.seed || a.atSeconds - b.atSeconds || (a.promise < b.promise ? -1 : 1))
  return whole
}

/** Faults and alarms that never occurred. */
export function unmarked(result: CampaignResult): string[] {
  return Object.keys(result.marks).filter(name => result.marks[name] === 0)
}

/** So many sessions, of all kinds, bring up everything that there is. */
export const WHOLE_CAMPAIGN = 5000
/** From so many baths on their share says something. */
const ENOUGH_BATHS = 200
/** The bound is stated to hold in 95 of 100; chance may take so many sigma more (1 campaign in 700). */
const BEYOND_SHARE = 0.05
const CHANCE_SIGMA = 3

/** Beyond so many of `baths` are more than chance explains. */
export function mostBeyond(baths: number): number {
  return BEYOND_SHARE * baths + CHANCE_SIGMA * Math.sqrt(baths * BEYOND_SHARE * (1 - BEYOND_SHARE))
}

/**
 * What a campaign as a whole falls short of although no single session broke a promise, in words; empty when it does not.
 * `whole`: all kinds of faults were drawn.
 */
export function shortcomings(result: CampaignResult, whole: boolean): string[] {
  const words: string[] = []
  const { baths, beyond, uncertainBaths, uncertainBeyond } = result.bounds
  if (baths >= ENOUGH_BATHS && beyond > mostBeyond(baths)) {
    words.push(
      `the stated bound did not hold in ${beyond} of ${baths} baths, at most ${mostBeyond(baths).toFixed(0)} may`,
    )
  }
  if (uncertainBaths >= ENOUGH_BATHS && uncertainBeyond > mostBeyond(uncertainBaths)) {
    const most = mostBeyond(uncertainBaths).toFixed(0)
    words.push(
      `under an alarm the bound did not hold in ${uncertainBeyond} of ${uncertainBaths} baths, at most ${most} may`,
    )
  }
  if (!whole || result.sessions < WHOLE_CAMPAIGN) return words
  const never = unmarked(result)
  if (never.length > 0) words.push(`never occurred: ${never.join(', ')}`)
  const unjudged = PROMISE_NAMES.filter(name => (result.judged[name] ?? 0) === 0)
  if (unjudged.length > 0) words.push(`never judged: ${unjudged.join(', ')}`)
  return words
}
