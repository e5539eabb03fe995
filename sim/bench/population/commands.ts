/** The `population` command and its `merge`, as the command line knows them. */
import type { Command } from 'commander'
import { DEFAULT_RECIPE } from '../defaults.ts'
import { numberFrom, wholeFrom } from '../options.ts'
import { shardFrom } from '../shards.ts'
import type { MergeOptions, PopulationOptions } from './command.ts'
import { DEFAULT_DISTRIBUTION } from './distribution.ts'
import { THRESHOLDS } from './thresholds.ts'

type Say = (line: string) => void
/** Runs a command to its end and sets the exit code; says in words what a maker can do something about. */
export type Run = (work: () => Promise<number>, words: Say) => Promise<void>

const MOST_SEED = 4_294_967_295
/** Beyond that sums are no longer exact (see `sketch.ts`). */
const MOST_SESSIONS = 10_000_000
const USUAL_SESSIONS = 1000
const STUDY_SESSIONS = 4000

export function addPopulationCommand(top: Command, run: Run, out: Say, words: Say): void {
  const population = withThresholds(
    top
      .command('population')
      .description('many different evenings: how far the clock is off, and what that is worth')
      .option(
        '--sessions <n>',
        `how many, each from a seed of its own (default: ${USUAL_SESSIONS}; with --sensitivity ${STUDY_SESSIONS})`,
        wholeFrom(1, MOST_SESSIONS),
      )
      .option('--seed <n>', 'of the first session', wholeFrom(0, MOST_SEED), 1)
      .option('--recipe <name|file>', 'a shipped recipe or a recipe file', DEFAULT_RECIPE)
      .option('--tank <file>', 'a tank file (default: a two-reel daylight tank)')
      .option('--base <file>', 'a base file (default: a two-cell base)')
      .option('--from <name|file>', 'what varies: usual, planned, or a population file', DEFAULT_DISTRIBUTION)
      .option('--only-developer', 'end each session after the first developer: faster, and nothing of charge')
      .option('--compare <other>', 'the same evenings with another recipe, tank, base, population or checkout')
      .option('--sensitivity', 'study which input moves the error most, too: as many evenings again')
      .option('--shard <i/n>', 'only the i-th of n parts')
      .option('--jobs <n>', 'processes (default: one for each core)', wholeFrom(1, 1024)),
  )
    .option('--report <file.html>', 'write a page with charts: one file, no network')
    .option('--svg <folder>', 'write the charts of the page as pictures')
    .option('--json', 'one JSON document for machines')
    .action((options: Omit<PopulationOptions, 'shard' | 'sessions'> & { shard?: string; sessions?: number }) =>
      run(async () => {
        // Only when it is asked for: the other commands start without it.
        const { populationCommand } = await import('./command.ts')
        const { shard, ...rest } = options
        const sessions = rest.sessions ?? (rest.sensitivity === true ? STUDY_SESSIONS : USUAL_SESSIONS)
        return populationCommand(
          { ...rest, sessions, ...(shard !== undefined && { shard: shardFrom(shard) }) },
          out,
          words,
        )
      }, words),
    )
  population
    .command('merge')
    .description('adds up the parts of a population, as --json wrote them; keeps its thresholds')
    .argument('<file...>')
    .action((files: string[], _: unknown, command: Command) =>
      run(async () => {
        const { mergePopulations } = await import('./command.ts')
        return mergePopulations(files, command.optsWithGlobals() as MergeOptions, out, words)
      }, words),
    )
}

/** Thresholds belong to `population` and, said before it, to `merge` too. */
function withThresholds(command: Command): Command {
  for (const { flag, words, unit, least } of THRESHOLDS) {
    const value = unit === '%' ? '<percent>' : '<n>'
    const said = `exit 3 unless ${least ? 'at least' : 'at most'}: ${words}`
    command.option(`${flag} ${value}`, said, numberFrom(-1000, 1000, unit === '' ? '' : ` ${unit}`))
  }
  return command
}
