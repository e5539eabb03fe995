/** The `replay` command, as the command line knows it. */
import type { Command } from 'commander'
import { numberFrom, wholeFrom } from './options.ts'
import { type ReplayOptions, replayCommand } from './replayCommand.ts'

type Say = (line: string) => void

const MOST_SESSION = 4_294_967_295

export function addReplayCommand(top: Command, out: Say, words: Say): void {
  top
    .command('replay')
    .description("a pulled journal or a temperature trace through today's firmware: what it would do otherwise")
    .argument('<file>', 'a journal that pull has written, or a CSV of seconds,bathCelsius[,ambientCelsius]')
    .option('--list', 'only list the sessions of the journal')
    .option('--session <n>', 'this session (default: the newest with its details)', wholeFrom(0, MOST_SESSION))
    .option('--recipe <name|file>', "this recipe (default: by the journal's name for it; for a trace colour-negative)")
    .option('--tank <file>', 'a tank file (default: a two-reel daylight tank)')
    .option('--base <file>', 'a base file (default: a two-cell base)')
    .option('--room <celsius>', 'the room, for a trace that does not say', numberFrom(0, 45, ' C'))
    .option('--films <n>', 'for a trace: films already through a litre of the solutions', numberFrom(0, 100, ''))
    .option('--strict', 'end with 3 when anything is different')
    .option('--json', 'one JSON document for machines')
    .action((file: string, options: ReplayOptions) => {
      process.exitCode = replayCommand(file, options, out, words)
    })
}
