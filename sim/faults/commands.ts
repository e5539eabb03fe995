/** The `faults` command and its `merge`, as the command line knows them. */
import type { Command } from 'commander'
import { wholeFrom } from '../bench/options.ts'
import { shardFrom } from '../bench/shards.ts'
import type { FaultsOptions } from './command.ts'

type Say = (line: string) => void
/** Runs a command to its end and sets the exit code; says in words what a maker can do something about. */
export type Run = (work: () => Promise<number>, words: Say) => Promise<void>

const MOST_SEED = 4_294_967_295

export function addFaultsCommand(top: Command, run: Run, out: Say, words: Say): void {
  const faults = top
    .command('faults')
    .description('sessions in which things go wrong, and whether every promise was kept')
    .option('--sessions <n>', 'how many, each from a seed of its own', wholeFrom(1, 100_000_000), 1000)
    .option('--seed <n>', 'of the first session', wholeFrom(0, MOST_SEED), 1)
    .option('--shard <i/n>', 'only the i-th of n parts')
    .option('--only <faults>', 'only these faults, with commas; NAME#PLACE for a single one')
    .option('--jobs <n>', 'processes (default: one for each core)', wholeFrom(1, 1024))
    .option('--json', 'one JSON document for machines')
    .action((options: Omit<FaultsOptions, 'shard' | 'only'> & { shard?: string; only?: string }) =>
      run(async () => {
        // Only when it is asked for: the other commands start without it.
        const { faultsCommand, onlyFrom } = await import('./command.ts')
        const { shard, only, ...rest } = options
        return faultsCommand(
          {
            ...rest,
            ...(shard !== undefined && { shard: shardFrom(shard) }),
            ...(only !== undefined && { only: onlyFrom(only) }),
          },
          out,
          words,
        )
      }, words),
    )
  faults
    .command('merge')
    .description('adds up the results of shards, as --json wrote them')
    .argument('<file...>')
    .option('--json', 'one JSON document for machines')
    .action((files: string[], _: unknown, command: Command) =>
      run(async () => {
        const { mergeCommand } = await import('./command.ts')
        return mergeCommand(files, command.optsWithGlobals().json === true, out, words)
      }, words),
    )
}
