/** The commands of the serial link, as the command line knows them. Each runs on its own and sets the exit code. */
import type { Command } from 'commander'
import { InputError } from '../bench/inputError.ts'
import { numberFrom } from '../bench/options.ts'
import { WIRINGS } from './boards.ts'
import { type FlashOptions, flashCommand } from './flashCommand.ts'
import { portsCommand } from './portsCommand.ts'
import { type TalkOptions, talkCommand } from './talkCommand.ts'
import { type WatchOptions, watchCommand } from './watchCommand.ts'

type Say = (line: string) => void

const OUR_FAULT = 1
const BAD_INPUT = 2
const PORT = 'the serial port of the base (`ports` lists them)'

/** Runs a command to its end; what a maker can do something about is said in words, anything else is our fault. */
export async function run(work: () => Promise<number>, words: Say): Promise<void> {
  try {
    process.exitCode = await work()
  } catch (thrown) {
    if (thrown instanceof InputError) {
      for (const problem of thrown.problems) words(problem)
      process.exitCode = BAD_INPUT
    } else {
      words(`This is a fault of Evenbath itself, please report it: ${(thrown as Error).stack ?? String(thrown)}`)
      process.exitCode = OUR_FAULT
    }
  }
}

/** Adds `ports`, `flash`, `talk` and `watch`. */
export function addLinkCommands(top: Command, out: Say, words: Say): void {
  top
    .command('ports')
    .description('the serial ports of this machine, and which may be a base')
    .option('--json', 'one JSON document for machines')
    .action((options: { json?: boolean }) => run(() => portsCommand(options.json === true, out, words), words))
  top
    .command('flash')
    .description('upload the firmware to a base, and wait until it has proved itself')
    .option('--port <port>', PORT)
    .option('--wiring <wiring>', `${WIRINGS.join(', ')} (default: by the name of the board)`)
    .option('--rehearsal', 'the rehearsal instead: a session on a simulated bath, run by the board itself')
    .option('--bundle <file>', 'this bundle instead of the one in dist/')
    .option('--dist <folder>', 'where the build lies (default: dist/ of this checkout)')
    .option('--no-wait', 'do not wait for its first healthy minute')
    .option('--json', 'one JSON document for machines')
    .action((options: FlashOptions) => run(() => flashCommand(options, out, words), words))
  top
    .command('talk')
    .description('one request to the base: METHOD, and its parameters as JSON or @FILE')
    .argument('<method>', 'such as describe, status, recipe.list')
    .argument('[json]', 'parameters')
    .option('--port <port>', PORT)
    .option('--timeout <seconds>', 'how long to wait for the answer', numberFrom(0.5, 3600, ' s'))
    .option('--json', 'one JSON document for machines, on one line')
    .action((method: string, json: string | undefined, options: TalkOptions) =>
      run(() => talkCommand(method, json, options, out, words), words),
    )
  top
    .command('watch')
    .description('what the base does, as it does it; Ctrl-C ends it')
    .option('--port <port>', PORT)
    .option('--json', 'one object a line for machines')
    .action((options: WatchOptions) => run(() => watchCommand(options, out, words), words))
}
