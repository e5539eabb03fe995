/**
 * `npm run bench:engine [-- --json]`: what the firmware costs a board's engine, in turns of a reference loop timed in the same run.
 * On duktape always; on the board's interpreter, out of its flash, when ESPRUINO names one. The unit makes figures of
 * different machines comparable: a board does so many turns a second, whatever the turns are made of.
 *
 * Exit 0 whether or not the budgets are met: a busy machine may miss them. 1 where an engine fails.
 */
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { bundle } from '../../hal/espruino/build/bundle.ts'
import type { Cost, RoomCost } from '../rehearsal/cost.ts'
import { type Engine, runOnEngine } from './engineRun.ts'

/** DESIGN, budgets: turns for a second of firmware; variables with a session under way; the rehearsal at twice real time. */
const FIRMWARE_TURNS = 550
const VARIABLES = 5000
/** One turn on an 84 MHz board: Espruino forum, December 2017. A board has 2,183 of them in a second. */
const BOARD_TURN_SECONDS = 458e-6
const REHEARSAL_TURNS = 1 / BOARD_TURN_SECONDS / 2
/** A tick that takes longer than this on that board delays the next one. */
const WORST_TICK_TURNS = 0.1 / BOARD_TURN_SECONDS

interface Found {
  cost: Cost
  rooms: RoomCost[]
  mishaps: number
  variables: number
}

interface Report {
  engine: string
  turnMicroseconds: number
  firmwareTurns: number
  plantTurns: number
  worstTickTurns: number
  worstTickAtSeconds: number
  rooms: { [room: string]: number }
  /** NaN where the engine does not tell. */
  variables: { firmware: number; withPlant: number }
  board: { firmwareShare: number; rehearsalFactor: number; worstTickMilliseconds: number }
}

const root = join(dirname(fileURLToPath(import.meta.url)), '../..')

/** The bundle of an entry of the rehearsal. */
async function bundled(entry: string): Promise<string> {
  const { code } = await bundle({ entry: `sim/rehearsal/entries/${entry}.ts`, root, define: {}, short: true })
  return code
}

/** Of the firmware alone, ready for its first press: a session under way takes a few dozen more. */
async function variablesAlone(): Promise<number> {
  const lines = await runOnEngine('flash', await bundled('alone'))
  const found = lines.find(line => line.startsWith('{'))
  return found === undefined ? Number.NaN : (JSON.parse(found) as { session: number }).session
}

async function costOn(engine: Engine, code: string): Promise<Report> {
  const line = (await runOnEngine(engine, code)).find(one => one.startsWith('{'))
  if (line === undefined) throw new Error(`${engine} did not come to its end`)
  const found = JSON.parse(line) as Found
  if (found.mishaps > 0) throw new Error(`${engine}: ${found.mishaps} ticks went wrong`)
  const { firmware: firmwareTurns, plant: plantTurns, worst: worstTickTurns } = found.cost
  return {
    engine: engine === 'flash' ? 'interpreter' : engine,
    turnMicroseconds: found.cost.turnSeconds * 1e6,
    firmwareTurns,
    plantTurns,
    worstTickTurns,
    worstTickAtSeconds: found.cost.worstAt,
    rooms: Object.fromEntries(found.rooms),
    variables: {
      firmware: engine === 'flash' ? await variablesAlone() : Number.NaN,
      withPlant: found.variables > 0 ? found.variables : Number.NaN,
    },
    board: {
      firmwareShare: firmwareTurns * BOARD_TURN_SECONDS,
      rehearsalFactor: 1 / ((firmwareTurns + plantTurns) * BOARD_TURN_SECONDS),
      worstTickMilliseconds: worstTickTurns * BOARD_TURN_SECONDS * 1000,
    },
  }
}

function met(value: number, most: number): string {
  return value <= most ? 'met' : 'NOT met'
}

function told(report: Report): string {
  const { board } = report
  if (report.engine === 'duk') return toldOfDuk(report)
  const rows = [
    `${report.engine}: one turn ${report.turnMicroseconds.toFixed(2)} us here, 458 us on an 84 MHz board`,
    `  firmware        ${whole(report.firmwareTurns)} turns a second (budget ${FIRMWARE_TURNS}: ${met(report.firmwareTurns, FIRMWARE_TURNS)}); ${(100 * board.firmwareShare).toFixed(0)} % of that board`,
    `  simulated base  ${whole(report.plantTurns)} turns a second; a rehearsal runs ${board.rehearsalFactor.toFixed(2)} times as fast as a clock (budget 2: ${met(report.firmwareTurns + report.plantTurns, REHEARSAL_TURNS)})`,
    `  worst tick      ${whole(report.worstTickTurns)} turns, ${board.worstTickMilliseconds.toFixed(0)} ms of that board (budget 100 ms: ${met(report.worstTickTurns, WORST_TICK_TURNS)}), at second ${report.worstTickAtSeconds}`,
    ...Object.entries(report.rooms).map(([room, turns]) => `    ${room.padEnd(14)}${whole(turns)}`),
  ]
  if (report.variables.withPlant > 0) {
    const { firmware, withPlant } = report.variables
    rows.push(
      `  variables       ${whole(firmware)} (budget ${VARIABLES}: ${met(firmware, VARIABLES)}); ${withPlant} in a rehearsal`,
    )
  }
  return rows.join('\n')
}

/** Duktape compiles: a loop over local numbers costs it next to nothing, a property as much as elsewhere. To compare its runs with each other. */
function toldOfDuk(report: Report): string {
  const rooms = Object.entries(report.rooms).map(([room, turns]) => `${room} ${Math.round(turns)}`)
  return [
    `duk (compiles, so that its turns say nothing of a board): one turn ${(report.turnMicroseconds * 1000).toFixed(0)} ns`,
    `  firmware        ${whole(report.firmwareTurns)} turns a second, simulated base ${whole(report.plantTurns)}`,
    `  ${rooms.join(', ')}`,
  ].join('\n')
}

function whole(turns: number): string {
  return Math.round(turns).toString().padStart(6)
}

async function main(): Promise<void> {
  const code = await bundled('cost')
  const reports = [await costOn('duk', code)]
  if (process.env['ESPRUINO']) reports.push(await costOn('flash', code))
  else process.stderr.write('ESPRUINO is not set: the interpreter itself is left out.\n')
  if (process.argv.includes('--json')) process.stdout.write(`${JSON.stringify(reports)}\n`)
  else process.stdout.write(`${reports.map(told).join('\n')}\n`)
}

main().catch(error => {
  process.stderr.write(`${error instanceof Error ? error.message : error}\n`)
  process.exit(1)
})
