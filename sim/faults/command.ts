/** The `faults` command: a campaign, a single session of one in full, and the merging of results. */
import { readFileSync } from 'node:fs'
import { availableParallelism } from 'node:os'
import { nearest } from '../../firmware/recipe/nearest.ts'
import { InputError, unreadable } from '../bench/inputError.ts'
import type { Shard } from '../bench/shards.ts'
import { hanging, wrapped } from '../report/words.ts'
import {
  type BrokenReport,
  type CampaignOptions,
  type CampaignResult,
  mergeResults,
  repeatCommand,
  seedsOf,
  shortcomings,
} from './campaign.ts'
import { drawScenario } from './draw.ts'
import { runOnCores } from './pool.ts'
import type { PromiseName } from './promises/promise.ts'
import { withOnly } from './scenario.ts'
import { runFaultSession } from './session.ts'
import { shrink } from './shrink.ts'
import { FAULT_NAMES, isFaultName } from './table.ts'
import { resultText, scenarioText } from './text.ts'

type Say = (line: string) => void

export interface FaultsOptions {
  sessions: number
  seed: number
  shard?: Shard
  only?: string[]
  jobs?: number
  json?: boolean
}

const DONE = 0
const PROMISE_BROKEN = 3
/** The first broken session of so many promises is shrunk. */
const SHRUNK_AT_MOST = 8

/** Reads the list of `--only`. Throws `InputError` for a fault that is none. */
export function onlyFrom(text: string): string[] {
  const names = text.split(',').filter(name => name !== '')
  const unknown = names.filter(name => !isFaultName(name.split('#')[0] as string))
  if (unknown.length > 0 || names.length === 0) {
    const found = unknown.length > 0 ? unknown.join(', ') : 'nothing'
    const near = [...new Set(unknown.map(name => nearest(name.split('#')[0] as string, FAULT_NAMES)))].filter(
      name => name !== '',
    )
    throw new InputError([
      `--only: ${found}${near.length > 0 ? ` (meant: ${near.join(', ')}?)` : ''}`,
      ...hanging('  allowed: ', `${FAULT_NAMES.join(', ')}, each also as NAME#PLACE`),
    ])
  }
  return names
}

/** Runs the campaign. Returns the exit code. */
export async function faultsCommand(options: FaultsOptions, out: Say, words: Say): Promise<number> {
  const campaign: CampaignOptions = {
    sessions: options.sessions,
    seed: options.seed,
    shard: options.shard?.shard ?? 1,
    of: options.shard?.of ?? 1,
    ...(options.only && { only: options.only }),
  }
  const seeds = seedsOf(campaign)
  if (options.sessions === 1 && options.json !== true) showSession(options.seed, options.only, out)
  const began = performance.now()
  const jobs = options.jobs ?? availableParallelism()
  const result = await runOnCores(seeds, options.only, jobs, progress(seeds.length, began))
  const hours = (performance.now() - began) / 3_600_000
  shrinkFirst(result, options.only)
  tell(result, options.json === true, out)
  if (seeds.length > 1) {
    const perHour = Math.round(result.simulatedSeconds / 3600 / hours).toLocaleString('en')
    const seconds = hours * 3600
    say(
      `${perHour} simulated hours in an hour, ${(result.sessions / seconds).toFixed(1)} sessions a second, ` +
        `on ${Math.min(jobs, seeds.length)} cores (${seconds.toFixed(0)} s)`,
      words,
    )
  }
  return verdict(result, options.only === undefined, words)
}

function say(text: string, words: Say): void {
  for (const line of wrapped(text, 2)) words(line)
}

/** Says what the campaign as a whole falls short of, and gives the exit code. */
function verdict(result: CampaignResult, whole: boolean, words: Say): number {
  const short = shortcomings(result, whole)
  for (const one of short) say(`The campaign as a whole: ${one}`, words)
  return result.broken.length > 0 || short.length > 0 ? PROMISE_BROKEN : DONE
}

/** Adds up what `--json` of several shards has written. Returns the exit code. */
export function mergeCommand(files: string[], json: boolean, out: Say, words: Say): number {
  const result = mergeResults(files.map(readResult))
  tell(result, json, out)
  return verdict(result, true, words)
}

function readResult(path: string): CampaignResult {
  let text: string
  try {
    text = readFileSync(path, 'utf8')
  } catch (cause) {
    throw new InputError([unreadable(path, cause)])
  }
  try {
    const result = JSON.parse(text) as CampaignResult
    if (
      typeof result.sessions === 'number' &&
      Array.isArray(result.broken) &&
      typeof result.marks === 'object' &&
      typeof result.judged === 'object' &&
      typeof result.bounds === 'object'
    )
      return result
  } catch {
    // Said below: whatever is wrong with it, it is not a result.
  }
  throw new InputError([`${path}: not a result of faults --json`])
}

function tell(result: CampaignResult, json: boolean, out: Say): void {
  out(json ? JSON.stringify(result, null, 2) : resultText(result))
}

/** One session in full: what is drawn, then what happens, a line each. */
function showSession(seed: number, only: string[] | undefined, out: Say): void {
  const drawn = drawScenario(seed)
  const scenario = only === undefined ? drawn : withOnly(drawn, only)
  out(scenarioText(scenario))
  out('')
  const result = runFaultSession(scenario, out)
  out(`ended ${result.ended} after ${result.simulatedSeconds} s`)
  out('')
}

/** The first session that breaks each promise is brought down to the fewest faults; its command then names them. */
function shrinkFirst(result: CampaignResult, only: string[] | undefined): void {
  const seen = new Set<PromiseName>()
  for (const one of result.broken) {
    if (seen.has(one.promise) || seen.size >= SHRUNK_AT_MOST) continue
    seen.add(one.promise)
    shrinkOne(one, only)
  }
}

function shrinkOne(one: BrokenReport, only: string[] | undefined): void {
  const drawn = drawScenario(one.seed)
  const fewest = shrink(only === undefined ? drawn : withOnly(drawn, only), one.promise)
  if (fewest.length > 0) one.repeat = repeatCommand(one.seed, fewest)
}

/** A line on a terminal that is written over; nothing elsewhere. */
function progress(all: number, began: number): (sessions: number, broken: number) => void {
  if (!process.stderr.isTTY || all < 2) return () => {}
  return (sessions, broken) => {
    const left = ((performance.now() - began) / 1000 / sessions) * (all - sessions)
    const words = `${sessions} of ${all} sessions, ${broken} promises broken, ${left.toFixed(0)} s left`
    process.stderr.write(sessions === all ? '\r\u001b[K' : `\r\u001b[K${words}`)
  }
}
