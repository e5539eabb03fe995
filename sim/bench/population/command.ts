/** The `population` command and its `merge`. */
import { availableParallelism } from 'node:os'
import { openReport, type ReportOptions } from '../../report/page/files.ts'
import { onCores } from '../cores.ts'
import { InputError } from '../inputError.ts'
import { type CommonOptions, loadAll } from '../options.ts'
import { progressOf } from '../progress.ts'
import { type Shard, seedsOfShard, sizeOfShard } from '../shards.ts'
import { askedFor, documentOf, mergeDocuments, type PopulationDocument } from './document.ts'
import { eveningText } from './eveningText.ts'
import { loadDistribution, loadOther } from './load.ts'
import { populationPage } from './page.ts'
import { checkStudy, studySensitivity } from './sensitivityCommand.ts'
import { populationText } from './text.ts'
import { judgedWords, type Thresholds } from './thresholds.ts'
import {
  addCount,
  type Counted,
  type CountedRecord,
  countedFrom,
  emptyCount,
  startWork,
  type WorkSetup,
} from './work.ts'

type Say = (line: string) => void

export interface PopulationOptions extends CommonOptions, Thresholds, ReportOptions {
  sessions: number
  /** Study which input moves the errors, too: as many evenings again. */
  sensitivity?: boolean
  seed: number
  from: string
  shard?: Shard
  compare?: string
  onlyDeveloper?: boolean
  jobs?: number
  json?: boolean
}

export type MergeOptions = Thresholds & ReportOptions & { json?: boolean }

const DONE = 0
const PROMISE_BROKEN = 3
/** Handed out at a time: half a second of work or so. */
const SESSIONS_AT_A_TIME = 20

/** Draws and runs a population. Throws `InputError`; returns the exit code. */
export async function populationCommand(options: PopulationOptions, out: Say, words: Say): Promise<number> {
  const { work, other } = workOf(options, words)
  if (options.sensitivity === true) checkStudy(options, work.setup.recipe)
  const isOne = options.sessions === 1 && other === undefined && options.json !== true
  if (isOne && options.report === undefined && options.svg === undefined) {
    out(eveningText(work.setup, options.seed))
    return DONE
  }
  const files = openReport(options)
  const shard = options.shard ?? { shard: 1, of: 1 }
  const sessions = sizeOfShard(options.sessions, shard)
  const part = `${shard.shard}/${shard.of}`
  if (sessions < 1) {
    throw new InputError([`--shard: ${part} of ${options.sessions} sessions; allowed: no more parts than sessions`])
  }
  // Another checkout that cannot be used is found before the work is shared out.
  if (work.other?.checkout !== undefined) (await startWork(work))([options.seed])
  const orders = seedsOfShard(options.seed, options.sessions, shard, SESSIONS_AT_A_TIME)
  const counted = await count(work, orders, sessions, options.jobs, words)
  const asked = askedFor(work, options.seed, options.sessions, part, other)
  const study = options.sensitivity === true ? await studySensitivity(work.setup, options, words) : undefined
  const document = documentOf(asked, counted, options, study)
  files?.write(populationPage(document, counted), words)
  return tell(document, counted, options, out, words)
}

/** Adds up what `--json` of several parts has written. Returns the exit code. */
export function mergePopulations(parts: string[], options: MergeOptions, out: Say, words: Say): number {
  const files = openReport(options)
  const { asked, counted } = mergeDocuments(parts)
  const document = documentOf(asked, counted, options)
  files?.write(populationPage(document, counted), words)
  return tell(document, counted, options, out, words)
}

export function workOf(options: PopulationOptions, warn: Say): { work: WorkSetup; other?: string } {
  const setup = {
    ...loadAll(options, warn),
    distribution: loadDistribution(options.from, warn),
    onlyDeveloper: options.onlyDeveloper === true,
  }
  if (options.compare === undefined) return { work: { setup } }
  const { work: other, words } = loadOther(options.compare, setup, warn)
  return { work: { setup, ...(other && { other }) }, other: words }
}

async function count(
  work: WorkSetup,
  orders: Iterable<number[]>,
  all: number,
  jobs: number | undefined,
  words: Say,
): Promise<Counted> {
  const counted = emptyCount(work.other !== undefined)
  const progress = progressOf(all, 'evenings')
  const began = performance.now()
  const take = (record: CountedRecord): void => {
    addCount(counted, countedFrom(record))
    progress(counted.tally.sessions)
  }
  const cores = Math.min(jobs ?? availableParallelism(), Math.ceil(all / SESSIONS_AT_A_TIME))
  await onCores({ worker: new URL('./worker.ts', import.meta.url), setup: work, orders, start: startWork, take }, cores)
  const seconds = (performance.now() - began) / 1000
  words(
    `${all.toLocaleString('en')} evenings in ${seconds.toFixed(1)} s, ${(all / seconds).toFixed(1)} a second (processes: ${cores})`,
  )
  return counted
}

function tell(
  document: PopulationDocument,
  counted: Counted,
  options: Thresholds & { json?: boolean },
  out: Say,
  words: Say,
): number {
  const broken = document.thresholds.filter(judged => !judged.kept)
  if (options.json === true) {
    out(JSON.stringify(document, null, 2))
    for (const judged of broken) words(judgedWords(judged))
  } else out(populationText(document, counted.tally))
  return broken.length > 0 ? PROMISE_BROKEN : DONE
}
