/**
 * One session on the bench: the firmware as it is, on a simulated base, to its end. Entry of the bench: the one place
 * that joins the simulated board to the firmware.
 */
import { type Base, createBase, tick } from '../../firmware/base.ts'
import type { BaseFile } from '../../firmware/baseFile.ts'
import type { OperatorPrior } from '../../firmware/clock/clock.ts'
import { sessionsLeft } from '../../firmware/energy/budget.ts'
import { makeRate, type Rate } from '../../firmware/recipe/rate.ts'
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { timedSeconds } from '../../firmware/recipe/reuse.ts'
import { ALARMS, alarmPlace } from '../../firmware/session/alarmTable.ts'
import type { SessionEvent } from '../../firmware/session/events.ts'
import type { Tank } from '../../firmware/tank/tank.ts'
import type { ByteStore, ResetCause, TextFiles } from '../../hal/board.ts'
import { openSimulatedBoard, SimulatedFiles } from '../board.ts'
import { drawEvening, type Evening } from '../plant/evening.ts'
import { createEvenness } from '../plant/evenness.ts'
import { SHORTEST_SECONDS } from '../plant/operator.ts'
import { closeRecord, createPlant, type Plant, STEP_SECONDS, stepPlant } from '../plant/plant.ts'
import { ASKED, LOOK_ROUND_SECONDS, USUAL_REACTION } from '../rehearsal/asked.ts'
import { SimulatedStore } from '../store.ts'
import type { AgitationReport, AlarmReport, BathReport, RunReport } from './runReport.ts'
import { ambientOnTrace, bathOnTrace, type Trace, traceFrom } from './trace.ts'

export interface RunOptions {
  recipe: Recipe
  tank: Tank
  base: BaseFile
  seed: number
  /** Films in the tank, and already through the solutions. */
  filmsInTank: number
  filmsThrough: number
  roomCelsius: number
  /** For each bath. */
  millilitres: number[]
  pourCelsius: number[]
  startCharge: number
  trace?: Trace
  perfectProbe?: { calibration: boolean; lag: boolean }
  exactPresses?: boolean
  /** Changes the evening that was drawn: what the caller knows better than chance. */
  evening?: (drawn: Evening) => Evening
  /** Called after every tick; the objects are reused. */
  watch?: (bench: Bench) => void
}

/** A session under way on the bench. */
export interface Bench {
  options: RunOptions
  plant: Plant
  base: Base
  /** What outlives a reset of the board. */
  store: ByteStore
  files: TextFiles
  /** What the firmware said of each bath when it was empty. */
  said: SaidOfBath[]
  alarms: AlarmReport[]
  refusal: string
}

interface SaidOfBath {
  progress: number
  boundPercent: number
  cueSeconds: number
}

/** The journal and the small files of the reference board. */
const STORE_BYTES = 16_384
const STORE_BLOCK_BYTES = 4096
const FILES_BYTES = 32_768
/** No session takes longer: what does is stuck. */
const LONGEST_SECONDS = 7 * 86_400
/** A motor that has stopped for so long does not start again by itself. */
const STOPPED_FOR_GOOD_SECONDS = 3600

/** `flash` keeps the journal in place of a new simulated store. */
export function openBench(options: RunOptions, flash?: ByteStore): Bench {
  const { recipe, tank, base: file } = options
  const rates: (Rate | undefined)[] = recipe.baths.map(bath =>
    bath.kind === 'developed' ? makeRate(bath, options.filmsThrough) : undefined,
  )
  const plant = createPlant(recipe, tank, file, rates, eveningOf(options), createEvenness())
  const store = flash ?? new SimulatedStore({ pins: plant.pins, bytes: STORE_BYTES, blockBytes: STORE_BLOCK_BYTES })
  const files = new SimulatedFiles({ pins: plant.pins, bytes: FILES_BYTES })
  const base = makeBase(options, plant, store, files, 'power')
  return { options, plant, base, store, files, said: [], alarms: [], refusal: '' }
}

/** The board starts anew, as after a reset: the same base and tank, what is in flash, and nothing else remembered. */
export function restartBase(bench: Bench, resetCause: ResetCause): void {
  bench.base = makeBase(bench.options, bench.plant, bench.store, bench.files, resetCause)
}

function makeBase(options: RunOptions, plant: Plant, store: ByteStore, files: TextFiles, resetCause: ResetCause): Base {
  const { recipe, tank, base: file, trace } = options
  const board = openSimulatedBoard({
    pins: plant.pins,
    adcBits: file.adcBits,
    hasRoom: file.room !== undefined,
    hasShaft: file.rotation.edgesPerShaftTurn > 0,
    hasTank: file.rotation.magnetsOnTank > 0,
    store,
    files,
    resetCause,
  })
  const lagKnown = trace !== undefined || options.perfectProbe?.lag === true
  const calibrationKnown = trace !== undefined || options.perfectProbe?.calibration === true
  // What is known exactly the firmware is told, so that its bound says what it really does not know.
  const told = calibrationKnown ? { ...file, probe: { ...file.probe, calibrationSigmaCelsius: 0 } } : file
  return createBase(board, told, tank, recipe, {
    millilitres: options.millilitres,
    films: options.filmsInTank,
    filmsPerLitre: options.filmsThrough,
    operator: trace === undefined ? USUAL_REACTION : exactOperator(recipe),
    lagKnown,
  })
}

/** On a trace the operator acts at once, and is known to; only a drain of no time at all still takes a hand its least. */
function exactOperator(recipe: Recipe): OperatorPrior {
  const reactionSeconds = Math.max(0, SHORTEST_SECONDS - recipe.pour.drainSeconds)
  return { reactionSeconds, reactionSigmaSeconds: 0, known: true }
}

function eveningOf(options: RunOptions): Evening {
  const { tank, base, seed, roomCelsius, millilitres, pourCelsius, startCharge, trace, perfectProbe } = options
  const cursor = trace && traceFrom(trace)
  const drawn = drawEvening({
    tank,
    base,
    seed,
    roomCelsius,
    millilitres,
    pourCelsius,
    startCharge: trace === undefined ? startCharge : 1,
    ...(perfectProbe && { perfectProbe }),
    ...(options.exactPresses === true && { exactPresses: true }),
    ...(cursor && { forcedBath: seconds => bathOnTrace(cursor, seconds) }),
    ...(cursor && trace?.ambientCelsius && { forcedRoom: seconds => ambientOnTrace(cursor, seconds) }),
  })
  return options.evening === undefined ? drawn : options.evening(drawn)
}

/** Carries the session through and reports. */
export function runSession(options: RunOptions): RunReport {
  const bench = openBench(options)
  const { plant, base } = bench
  const { session } = base
  const beganSeconds = plant.pins.seconds
  const lookRound = Math.round(LOOK_ROUND_SECONDS / STEP_SECONDS)
  const stepsAtMost = LONGEST_SECONDS / STEP_SECONDS
  while (plant.steps < stepsAtMost && !isOver(bench)) {
    tick(base)
    for (let i = 0; i < session.eventCount; i++) note(bench, session.events[i] as SessionEvent)
    options.watch?.(bench)
    stepPlant(plant, plant.steps < lookRound ? 'wait' : ASKED[session.state])
  }
  closeRecord(plant)
  return report(bench, beganSeconds)
}

function isOver(bench: Bench): boolean {
  const state = bench.base.session.state
  if (state === 'abandoned' || bench.refusal !== '') return true
  // Nobody is there to turn by hand or to bring a charged pack: what is left is waiting.
  const { session, estimates } = bench.base
  if (state === 'stopped' && estimates.nowSeconds - session.stateSeconds > STOPPED_FOR_GOOD_SECONDS) return true
  // The last press may come a little before the tank is really empty.
  return state === 'finished' && bench.plant.bath.phase === 'empty'
}

function note(bench: Bench, event: SessionEvent): void {
  const { session, clock } = bench.base
  switch (event.kind) {
    case 'bathBegun':
      bench.said.push({ progress: NaN, boundPercent: NaN, cueSeconds: NaN })
      break
    case 'cueGiven':
      ;(bench.said[event.bathIndex] as SaidOfBath).cueSeconds = event.atSeconds
      break
    case 'bathEnded': {
      const said = bench.said[bench.said.length - 1] as SaidOfBath
      said.progress = clock.view.progress
      said.boundPercent = clock.view.boundPercent
      break
    }
    case 'alarmRaised':
      bench.alarms.push({
        number: event.number,
        name: ALARMS[alarmPlace(event.number)]?.name ?? '',
        bath: session.recipe.baths[event.bathIndex]?.name ?? '',
        atSeconds: rounded(sinceFirstContact(bench, event.atSeconds)),
      })
      break
    case 'refused':
      if (session.state === 'planned') bench.refusal = event.reason
      break
    default:
      break
  }
}

function sinceFirstContact(bench: Bench, seconds: number): number {
  const { firstContactSeconds } = bench.plant
  return isNaN(firstContactSeconds) ? 0 : seconds - firstContactSeconds
}

/** Six decimals are more than anything here is known to, and keep the document readable. */
function rounded(value: number): number {
  return Math.round(value * 1e6) / 1e6
}

function report(bench: Bench, beganSeconds: number): RunReport {
  const { plant, base, options } = bench
  const finished = base.session.state === 'finished'
  const first = plant.records[0]
  const last = plant.records[plant.records.length - 1]
  const endSeconds = last === undefined || isNaN(last.endSeconds) ? plant.pins.seconds : last.endSeconds
  return {
    seed: options.seed,
    recipe: options.recipe.name,
    finished,
    ...(!finished && { because: bench.refusal || `the session was ${base.session.state} when it ended` }),
    seconds: rounded(endSeconds - (first?.contactSeconds ?? beganSeconds)),
    roomCelsius: options.roomCelsius,
    alarms: bench.alarms,
    baths: plant.records.slice(0, bench.said.length).map((_, index) => bathReport(bench, index)),
    agitation: plant.records.slice(0, bench.said.length).map((_, index) => agitationReport(bench, index)),
    pack: {
      startCharge: rounded(plant.evening.startCharge),
      endCharge: rounded(Math.max(0, plant.pack.charge)),
      joules: rounded(plant.pack.joules),
      sessionsLeft: rounded(sessionsLeft(base.energy, options.recipe)),
    },
  }
}

function bathReport(bench: Bench, index: number): BathReport {
  const { plant, options } = bench
  const bath = options.recipe.baths[index]!
  const truth = plant.records[index]!
  const said = bench.said[index]!
  const endSeconds = isNaN(truth.endSeconds) ? plant.pins.seconds : truth.endSeconds
  const seconds = endSeconds - truth.contactSeconds
  const developed = bath.kind === 'developed'
  return {
    name: bath.name,
    kind: bath.kind,
    seconds: rounded(seconds),
    progress: rounded(said.progress),
    trueProgress: rounded(developed ? truth.trueProgress : seconds / timedSeconds(bath, options.filmsThrough)),
    pourOutSeconds: isNaN(said.cueSeconds) ? null : rounded(said.cueSeconds - truth.contactSeconds),
    meanCelsius: rounded(truth.celsiusSeconds / seconds),
    lowCelsius: rounded(truth.lowCelsius),
    highCelsius: rounded(truth.highCelsius),
    outsideSheetSeconds: rounded(truth.outsideSheetSeconds),
    boundPercent: rounded(said.boundPercent),
    pourCelsius: rounded(plant.evening.pourCelsius[index]!),
    millilitres: rounded(plant.evening.millilitres[index]!),
    clingProgress: rounded(truth.clingProgress),
  }
}

function agitationReport(bench: Bench, index: number): AgitationReport {
  const { evenness } = bench.plant.records[index]!
  return {
    bath: bench.options.recipe.baths[index]!.name,
    immersionCv: rounded(evenness.immersionCv),
    longestDrySeconds: rounded(evenness.longestDrySeconds),
    exchangesPerMinute: rounded(evenness.exchangesPerMinute),
    reversals: evenness.reversals,
  }
}
