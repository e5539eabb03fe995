/**
 * The command line: entry of the bench. Data to stdout, words to stderr; ends with 0 done, 1 our fault, 2 bad usage or
 * input, 3 a promise broken. Without a command it runs the demo session and prints its report.
 */
import { Command, CommanderError } from 'commander'
import { runCheck } from './bench/check.ts'
import { DEFAULT_RECIPE, DEFAULT_ROOM_CELSIUS } from './bench/defaults.ts'
import { printExample } from './bench/exampleFile.ts'
import { InputError } from './bench/inputError.ts'
import { numberFrom, numbersFrom, wholeFrom } from './bench/options.ts'
import { type PlanCommandOptions, planCommand } from './bench/planCommand.ts'
import { addPopulationCommand } from './bench/population/commands.ts'
import { addReplayCommand } from './bench/replayCommands.ts'
import { type RunCommandOptions, runCommand } from './bench/runCommand.ts'
import { addTuneCommand } from './bench/tune/commands.ts'
import { addFaultsCommand } from './faults/commands.ts'
import { addFieldCommands } from './field/commands.ts'
import { addLinkCommands, run } from './link/commands.ts'

const OUR_FAULT = 1
const BAD_INPUT = 2
const MOST_SEED = 4_294_967_295

const out = (text: string): void => {
  process.stdout.write(`${text}\n`)
}
const words = (text: string): void => {
  process.stderr.write(`${text}\n`)
}

/** The options that `run` and `plan` share. */
function withCommon(command: Command): Command {
  return command
    .option('--recipe <name|file>', 'a shipped recipe or a recipe file', DEFAULT_RECIPE)
    .option('--tank <file>', 'a tank file (default: a two-reel daylight tank)')
    .option('--base <file>', 'a base file (default: a two-cell base)')
    .option('--room <celsius>', 'the room', numberFrom(0, 45, ' C'), DEFAULT_ROOM_CELSIUS)
    .option('--films <n>', 'films already through a litre of the solutions', numberFrom(0, 100, ''), 0)
    .option('--load <n>', 'films in the tank (default: one on each reel)', wholeFrom(1, 16))
    .option('--charge <percent>', 'what is in the pack at the start', numberFrom(0, 100, ' %'))
    .option('--json', 'one JSON document for machines')
}

function program(): Command {
  const top = new Command('evenbath')
    .description('The bench of Evenbath, a roller base that develops film evenly in a bath that cools.')
    .showHelpAfterError('Say --help after a command for its options.')
    .exitOverride()
  withCommon(top.command('run', { isDefault: true }).description('one session on a simulated base (the default)'))
    .option('--seed <n>', 'decides everything that is left to chance', wholeFrom(0, MOST_SEED), 1)
    .option(
      '--pour <celsius>',
      'what is poured: one for all baths, or one for each, with commas',
      numbersFrom(0, 60, ' C'),
    )
    .option('--volume <millilitres>', 'how much: one for all baths, or one for each', numbersFrom(20, 5000, ' mL'))
    .option('--trace <file.csv>', 'force the temperature of the bath: seconds,bathCelsius[,ambientCelsius]')
    .option('--csv <file>', 'write the full time series')
    .option('--report <file.html>', 'write a page with charts: one file, no network')
    .option('--svg <folder>', 'write the charts of the page as pictures')
    .option('--panel', 'print the screen of the base whenever it changes')
    .action((options: RunCommandOptions) => {
      process.exitCode = runCommand(options, out, words)
    })
  withCommon(top.command('plan').description('before anything is mixed: how much, how warm, how long, enough charge?'))
    .option('--age <days>', 'how long ago the solutions were mixed', numberFrom(0, 3650, ' days'))
    .action((options: PlanCommandOptions) => {
      process.exitCode = planCommand(options, out, words)
    })
  top
    .command('check')
    .description('check recipe, tank, base and population files')
    .argument('[file...]')
    .option('--example <kind>', 'print one to begin with: tank, base, recipe, or a recipe that ships by its name')
    .option('--json', 'one JSON document for machines')
    .action((files: string[], { example, json }: { example?: string; json?: boolean }) => {
      process.exitCode =
        example === undefined ? runCheck(files, json === true, out, words) : printExample(example, out, words)
    })
  addLinkCommands(top, out, words)
  addFieldCommands(top, out, words)
  addFaultsCommand(top, run, out, words)
  addPopulationCommand(top, run, out, words)
  addReplayCommand(top, out, words)
  addTuneCommand(top, withCommon, run, out, words)
  return top
}

/** An option before the command is taken as one of `run`, and the command as a word too many: what was meant is said. */
function sayOrder(known: string[], say: (text: string) => void): void {
  const args = process.argv.slice(2)
  const at = args.findIndex(arg => known.includes(arg))
  if (at < 1 || args[0]?.startsWith('-') !== true) return
  const [command] = args.splice(at, 1)
  say(`Put the command first: npm start -- ${[command, ...args].join(' ')}`)
}

function main(): void {
  // A reader that has seen enough (`| head`) is no fault.
  process.stdout.on('error', error => {
    if ((error as { code?: string }).code === 'EPIPE') process.exit(0)
    throw error
  })
  const top = program()
  const asked = process.argv[2]
  const known = top.commands.map(command => command.name())
  try {
    if (asked !== undefined && !asked.startsWith('-') && ![...known, 'help'].includes(asked)) {
      throw new InputError([`${asked}: no such command; allowed: ${known.join(', ')} (none: the demo session)`])
    }
    top.parse()
  } catch (thrown) {
    if (thrown instanceof InputError) {
      for (const problem of thrown.problems) words(problem)
      process.exitCode = BAD_INPUT
    } else if (thrown instanceof CommanderError) {
      process.exitCode = thrown.exitCode === 0 ? 0 : BAD_INPUT
      if (thrown.exitCode !== 0) sayOrder(known, words)
    } else {
      words(`This is a fault of Evenbath itself, please report it: ${(thrown as Error).stack ?? String(thrown)}`)
      process.exitCode = OUR_FAULT
    }
  }
}

main()
