/** The commands of the field, as the command line knows them. */
import type { Command } from 'commander'
import { run } from '../link/commands.ts'
import { type PullCommandOptions, pullCommand } from './pullCommand.ts'

type Say = (line: string) => void

/** Adds `pull`. */
export function addFieldCommands(top: Command, out: Say, words: Say): void {
  top
    .command('pull')
    .description('bring the journal of a base to a file; run it again to add what is new')
    .option('--port <port>', 'the serial port of the base (`ports` lists them)')
    .option('--to <file|folder>', 'where to (default: a file called after the base, in this folder)')
    .option('--json', 'one JSON document for machines')
    .action((options: PullCommandOptions) => run(() => pullCommand(options, out, words), words))
}
