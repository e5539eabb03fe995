/** `population --sensitivity`: runs the study on all cores. */
import { availableParallelism } from 'node:os'
import type { Recipe } from '../../../firmware/recipe/recipe.ts'
import { onCores } from '../cores.ts'
import { InputError } from '../inputError.ts'
import { progressOf } from '../progress.ts'
import { seedsOfShard } from '../shards.ts'
import type { PopulationOptions } from './command.ts'
import type { PopulationSetup } from './draw.ts'
import {
  ROWS_AT_LEAST,
  type RowOutputs,
  SESSIONS_A_ROW,
  type SensitivityDocument,
  sensitivityDocument,
  startRows,
} from './sensitivity.ts'

type Say = (line: string) => void

/** Handed out at a time: half a second of work or so. */
const ROWS_AT_A_TIME = 4
/** Rows are kept, so that their intervals can be drawn again. */
const SESSIONS_AT_MOST = 10_000_000

/** Throws `InputError` for options that make no study; before any work. */
export function checkStudy({ sessions, shard }: PopulationOptions, recipe: Recipe): void {
  const problems: string[] = []
  if (!recipe.baths.some(bath => bath.kind === 'developed')) {
    problems.push(`--sensitivity: ${recipe.name} has no developed bath; allowed: a recipe with one`)
  }
  const least = ROWS_AT_LEAST * SESSIONS_A_ROW
  if (sessions < least || sessions > SESSIONS_AT_MOST) {
    problems.push(`--sessions: ${sessions}; allowed with --sensitivity: ${least} to ${SESSIONS_AT_MOST}`)
  }
  if (shard !== undefined) problems.push('--shard: not with --sensitivity, which runs in one piece')
  if (problems.length > 0) throw new InputError(problems)
}

/** As many evenings as the population has, on all cores. */
export async function studySensitivity(
  setup: PopulationSetup,
  { sessions, seed, jobs }: PopulationOptions,
  words: Say,
): Promise<SensitivityDocument> {
  const rows = Math.floor(sessions / SESSIONS_A_ROW)
  const all: RowOutputs[] = []
  const progress = progressOf(rows, 'rows of the study')
  const began = performance.now()
  const cores = Math.min(jobs ?? availableParallelism(), Math.ceil(rows / ROWS_AT_A_TIME))
  await onCores(
    {
      worker: new URL('./sensitivityWorker.ts', import.meta.url),
      setup,
      orders: seedsOfShard(seed, rows, { shard: 1, of: 1 }, ROWS_AT_A_TIME),
      start: startRows,
      take(answer: RowOutputs[]) {
        all.push(...answer)
        progress(all.length)
      },
    },
    cores,
  )
  const document = sensitivityDocument(setup, seed, all)
  const seconds = (performance.now() - began) / 1000
  words(
    `${document.sessions.toLocaleString('en')} evenings of the study in ${seconds.toFixed(1)} s (processes: ${cores})`,
  )
  return document
}
