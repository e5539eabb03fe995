/** The `run` command: one session on the bench, its log, its screen, its time series, its report and its page. */
import { ALARMS, alarmPlace } from '../../firmware/session/alarmTable.ts'
import type { SessionEvent } from '../../firmware/session/events.ts'
import { leastMillilitres, mostLyingMillilitres } from '../../firmware/tank/volume.ts'
import type { ScreenFrame } from '../../hal/board.ts'
import { openReport, type ReportOptions } from '../report/page/files.ts'
import { recordSession } from '../report/page/session/record.ts'
import { sessionPage } from '../report/page/session/sessionPage.ts'
import { panelText } from '../report/panelText.ts'
import { type LogEntry, sessionText } from '../report/sessionText.ts'
import { celsius, clockTime, percent } from '../report/words.ts'
import { DECIMAL_HINT } from './decimalComma.ts'
import { runByPlan } from './defaults.ts'
import { InputError } from './inputError.ts'
import { type CommonOptions, forEachBath, type Loadout, loadAll } from './options.ts'
import { crowdedReels, filmsSaid, mostFilmsLying } from './planVolume.ts'
import { type Bench, type RunOptions, runSession } from './run.ts'
import { timeSeriesHeader, timeSeriesLine } from './timeSeries.ts'
import { readTrace } from './trace.ts'
import { openWhole } from './wholeFile.ts'

export interface RunCommandOptions extends CommonOptions, ReportOptions {
  seed: number
  room: number
  films: number
  load?: number
  pour?: number[]
  volume?: number[]
  charge?: number
  trace?: string
  csv?: string
  json?: boolean
  panel?: boolean
}

/** Carries it out. Throws `InputError` for what cannot be used; returns the exit code. */
export function runCommand(
  options: RunCommandOptions,
  out: (text: string) => void,
  warn: (text: string) => void,
): number {
  const loadout = loadAll(options, warn)
  const run = runOptions(options, loadout, warn)
  const files = openReport(options)
  const recorder = files && recordSession()
  const watchers: ((bench: Bench) => void)[] = []
  const log: LogEntry[] = []
  watchers.push(bench => logTick(bench, log))
  if (recorder !== undefined) watchers.push(recorder.watch)
  if (options.panel === true) watchers.push(screenPrinter(options.json === true ? warn : out))
  const series = options.csv === undefined ? undefined : openSeries(options.csv)
  if (series !== undefined) {
    watchers.push(bench => {
      if (!isNaN(bench.plant.firstContactSeconds)) series.add(timeSeriesLine(bench))
    })
  }
  run.watch = bench => {
    for (const watch of watchers) watch(bench)
  }
  let firstContactSeconds = NaN
  watchers.push(bench => {
    firstContactSeconds = bench.plant.firstContactSeconds
  })
  const report = runSession(run)
  // A press may come a little before what it stands for: the log is set against first contact only now.
  const zeroSeconds = isNaN(firstContactSeconds) ? (log[0]?.atSeconds ?? 0) : firstContactSeconds
  for (const entry of log) entry.atSeconds -= zeroSeconds
  series?.finish()
  if (files && recorder) {
    files.write(sessionPage({ report, recipe: loadout.recipe, record: recorder.record }, log), warn)
  }
  out(options.json === true ? JSON.stringify(report, null, 2) : sessionText(report, loadout.recipe, log))
  return 0
}

/** What the command line asks for, the rest by the plan. Throws `InputError`. */
function runOptions(options: RunCommandOptions, loadout: Loadout, warn: (text: string) => void): RunOptions {
  const { recipe, tank } = loadout
  const most = mostLyingMillilitres(tank)
  for (const millilitres of options.volume ?? []) {
    if (millilitres > most) {
      throw new InputError([
        `--volume: ${millilitres} mL; allowed: at most ${Math.floor(most)} mL, what the tank holds lying`,
      ])
    }
  }
  const films = options.load ?? tank.reels
  const least = leastMillilitres(tank, films, recipe)
  if (films > tank.reels) warn(crowdedReels(films, tank.reels))
  const fit = mostFilmsLying(recipe, tank, tank.reels, films)
  if (options.volume === undefined && fit < films) {
    throw new InputError([
      `--load: ${filmsSaid(films)} need ${Math.ceil(least.millilitres)} mL; allowed: at most ${Math.floor(most)} mL, what the ` +
        `tank holds lying${fit > 0 ? `: ${filmsSaid(fit)}` : ''} (or say --volume)`,
    ])
  }
  warnOfColdPours(options, warn)
  if (options.volume?.some(millilitres => millilitres < least.millilitres)) {
    warn(
      `--volume: less than the ${Math.ceil(least.millilitres)} mL that ${films} films need (${least.because}); ` +
        'this much would not develop them properly',
    )
  }
  return runByPlan({
    ...loadout,
    seed: options.seed,
    roomCelsius: options.room,
    filmsThrough: options.films,
    ...(options.load !== undefined && { filmsInTank: options.load }),
    ...(options.pour && { pourCelsius: forEachBath('--pour', options.pour, recipe) }),
    ...(options.volume && { millilitres: forEachBath('--volume', options.volume, recipe) }),
    ...(options.charge !== undefined && { startCharge: options.charge / 100 }),
    ...(options.trace !== undefined && { trace: readTrace(options.trace) }),
  })
}

/** Colder than the room by more than this nothing usual is: tap water in a heated house (assumed). */
const USUAL_BELOW_ROOM_KELVIN = 10

function warnOfColdPours({ pour, room }: RunCommandOptions, warn: (text: string) => void): void {
  for (const poured of new Set(pour)) {
    if (poured < room - USUAL_BELOW_ROOM_KELVIN) {
      warn(`--pour: ${poured} C is ${Math.round(room - poured)} K below the room; is it meant? (${DECIMAL_HINT})`)
    }
  }
}

function logTick(bench: Bench, log: LogEntry[]): void {
  const { session } = bench.base
  for (let i = 0; i < session.eventCount; i++) {
    const event = session.events[i] as SessionEvent
    const words = wordsFor(bench, event)
    if (words !== '') log.push({ atSeconds: event.atSeconds, words })
  }
}

function wordsFor(bench: Bench, event: SessionEvent): string {
  const { session, clock, estimates } = bench.base
  const name = session.recipe.baths[event.bathIndex]?.name ?? ''
  switch (event.kind) {
    case 'bathBegun':
      return `${name}: poured in at ${celsius(bench.plant.evening.pourCelsius[event.bathIndex] ?? NaN)}`
    case 'turningBegun':
      return `${name}: full and closed, the tank turns`
    case 'cueGiven':
      return `${name}: called to pour out; bath at ${celsius(estimates.bathCelsius)}, ${percent(clock.view.progress, 0)} done`
    case 'drainBegun':
      return `${name}: pouring out`
    case 'bathEnded':
      return `${name}: empty`
    case 'alarmRaised':
      return `ALARM ${event.number}: ${ALARMS[alarmPlace(event.number)]?.short ?? ''}`
    case 'refused':
      return `refused: ${event.reason}`
    case 'held':
      return 'held'
    case 'holdEnded':
      return `hold ended after ${clockTime(event.seconds)}`
    case 'stopped':
      return 'motor stopped: driving is not known to be safe'
    case 'restarted':
      return 'motor starts again'
    case 'darkAnswered':
      return `the base was dark for ${clockTime(event.seconds)}, says the operator`
    case 'sessionFinished':
      return 'finished'
    case 'sessionAbandoned':
      return 'abandoned'
    case 'acknowledged':
    case 'alarmRepeated':
      return ''
  }
}

/** Prints the screen whenever what it shows differs from what was printed last. */
function screenPrinter(print: (text: string) => void): (bench: Bench) => void {
  let writes = -1
  let shown = ''
  return bench => {
    const { pins, firstContactSeconds } = bench.plant
    if (pins.screenWrites === writes) return
    writes = pins.screenWrites
    const text = panelText(pins.screen as ScreenFrame)
    if (text === shown) return
    shown = text
    print(`${clockTime(isNaN(firstContactSeconds) ? 0 : pins.seconds - firstContactSeconds)}\n${text}`)
  }
}

interface Series {
  add(line: string): void
  finish(): void
}

function openSeries(path: string): Series {
  const file = openWhole('--csv', path)
  let waiting = [timeSeriesHeader()]
  const flush = (): void => {
    file.write(`${waiting.join('\n')}\n`)
    waiting = []
  }
  return {
    add(line) {
      waiting.push(line)
      if (waiting.length >= 1000) flush()
    },
    finish() {
      if (waiting.length > 0) flush()
      file.finish()
    },
  }
}
