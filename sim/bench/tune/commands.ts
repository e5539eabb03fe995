/** The `tune` command, as the command line knows it. */
import type { Command } from 'commander'
import { numberFrom, wholeFrom } from '../options.ts'
import type { TuneOptions } from './command.ts'

type Say = (line: string) => void
/** Runs a command to its end and sets the exit code. */
export type Run = (work: () => Promise<number>, words: Say) => Promise<void>

const MOST_SEED = 4_294_967_295

/** `withCommon` adds the options that all session commands share. */
export function addTuneCommand(
  top: Command,
  withCommon: (command: Command) => Command,
  run: Run,
  out: Say,
  words: Say,
): void {
  withCommon(top.command('tune').description('which speed, legs and rests turn a bath evenly at the least cost'))
    .option('--bath <name>', 'which bath of the recipe (default: the first that develops)')
    .option('--seconds <s>', 'how long it lasts, drain included (default: as planned)', numberFrom(5, 36000, ' s'))
    .option('--volume <millilitres>', 'how much is poured (default: as planned)', numberFrom(20, 5000, ' mL'))
    .option('--seed <n>', 'decides what is tried, and on which evenings', wholeFrom(0, MOST_SEED), 1)
    .option(
      '--tries <n>',
      'how many programmes (default: 2500, fewer for baths over 8 minutes); up to 40 % more where no programme keeps to all wishes',
      wholeFrom(20, 1_000_000),
    )
    .option('--jobs <n>', 'threads (default: one for each core)', wholeFrom(1, 1024))
    .option('--write <file>', 'put the programme into this recipe file')
    .option('--report <file.html>', 'write a page with charts: one file, no network')
    .option('--svg <folder>', 'write the charts of the page as pictures')
    .option('--least-rpm <rpm>', 'no slower', numberFrom(5, 120, ' rpm'))
    .option('--most-rpm <rpm>', 'no faster', numberFrom(5, 120, ' rpm'))
    .option('--cv <percent>', 'wish: unevenness at most (default: 1)', numberFrom(0.01, 100, ' %'))
    .option('--dry <seconds>', 'wish: longest dry spell at most (default: 3)', numberFrom(0.1, 600, ' s'))
    .option('--one-way <seconds>', 'wish: longest in one direction (default: 10)', numberFrom(1, 600, ' s'))
    .option('--exchanges <n>', 'wish: times a minute that a place goes under, at least', numberFrom(0, 240, ''))
    .option('--reversals <n>', 'wish: at most so many in the bath', numberFrom(0, 10000, ''))
    .option('--joules <j>', 'wish: energy of the bath at most', numberFrom(1, 1e6, ' J'))
    .option('--amps <a>', 'wish: peak current at most (default: what the base allows)', numberFrom(0.01, 50, ' A'))
    .option('--foam <mm/s>', 'wish: surface speed at most', numberFrom(1, 5000, ' mm/s'))
    .option('--wear <joules>', 'what a reversal counts beside the energy', numberFrom(0, 1000, ' J'), 1)
    .action((options: TuneOptions) =>
      run(async () => {
        // Only when it is asked for: the other commands start without it.
        const { tuneCommand } = await import('./command.ts')
        return tuneCommand(options, out, words)
      }, words),
    )
}
