/** `population --sensitivity`: runs the study on all cores and tells it. */
import { availableParallelism } from 'node:os'
import { onCores } from '../cores.ts'
import { InputError } from '../inputError.ts'
import { progressOf } from '../progress.ts'
import { seedsOfShard } from '../shards.ts'
import type { PopulationOptions } from './command.ts'
import type { PopulationSetup } from './draw.ts'
import { ROWS_AT_LEAST, type RowOutputs, SESSIONS_A_ROW, sensitivityDocument, startRows } from './sensitivity.ts'
import { sensitivityText } from './sensitivityText.ts'

type Say = (line: string) => void

/** Handed out at a time: half a second of work or so. */
const ROWS_AT_A_TIME = 4
/** Rows are kept, so that their intervals can be drawn again. */
const SESSIONS_AT_MOST = 10_000_000

/** Throws `InputError` for options that make no study. */
export async function studySensitivity(
  setup: PopulationSetup,
  options: PopulationOptions,
  out: Say,
  words: Say,
): Promise<void> {
  const rows = Math.floor(options.sessions / SESSIONS_A_ROW)
  const problems: string[] = []
  if (rows < ROWS_AT_LEAST || options.sessions > SESSIONS_AT_MOST) {
    const least = ROWS_AT_LEAST * SESSIONS_A_ROW
    problems.push(`--sessions: ${options.sessions}; allowed with --sensitivity: ${least} to ${SESSIONS_AT_MOST}`)
  }
  if (options.compare !== undefined) problems.push('--compare: not with --sensitivity; run it once for each')
  if (options.shard !== undefined) problems.push('--shard: not with --sensitivity; it runs in one piece')
  if (problems.length > 0) throw new InputError(problems)
  const all: RowOutputs[] = []
  const progress = progressOf(rows, 'rows')
  const began = performance.now()
  const cores = Math.min(options.jobs ?? availableParallelism(), Math.ceil(rows / ROWS_AT_A_TIME))
  await onCores(
    {
      worker: new URL('./sensitivityWorker.ts', import.meta.url),
      setup,
      orders: seedsOfShard(options.seed, rows, { shard: 1, of: 1 }, ROWS_AT_A_TIME),
      start: startRows,
      take(answer: RowOutputs[]) {
        all.push(...answer)
        progress(all.length)
      },
    },
    cores,
  )
  const document = sensitivityDocument(setup, options.seed, all)
  out(options.json === true ? JSON.stringify(document, null, 2) : sensitivityText(document))
  const seconds = (performance.now() - began) / 1000
  words(`${document.sessions.toLocaleString('en')} evenings in ${seconds.toFixed(1)} s (processes: ${cores})`)
}
