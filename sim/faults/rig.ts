/**
 * The base on its rig: firmware, simulated board and plant, with everything in between that faults can take hold of. A
 * base that resets is thrown away and made anew on the same plant, flash and files, as a board would start again.
 *
 * Entry of the campaign: the one place of it that joins the simulated board to the firmware. Whoever steps it decides
 * what the operator does and what is checked.
 */
import { type Base, createBase, tick } from '../../firmware/base.ts'
import { makeRate } from '../../firmware/recipe/rate.ts'
import type { Board, ResetCause, TextFiles } from '../../hal/board.ts'
import { SimulatedFiles } from '../board.ts'
import { drawEvening } from '../plant/evening.ts'
import { createPlant, type Plant } from '../plant/plant.ts'
import { probeCounts } from '../plant/probe.ts'
import { createRandom, type Random, uniform } from '../plant/random.ts'
import { USUAL_REACTION } from '../rehearsal/asked.ts'
import { SimulatedStore } from '../store.ts'
import { FAULT_STREAM } from './draw.ts'
import { createPanels, openFaultyBoard, type Panels } from './parts.ts'
import type { Scenario } from './scenario.ts'
import { FaultyStore, faultyFiles } from './store.ts'

/** What is wrong with the ticks. */
export interface Ticking {
  /** The firmware stands still. */
  hung: boolean
  /** No tick before this second of the plant. */
  heldUntilSeconds: number
  /** Share of the ticks that does not come. */
  missedShare: number
  /** So many more come in the next step. */
  extra: number
  /** When the last one came. */
  lastSeconds: number
}

export interface Rig {
  scenario: Scenario
  plant: Plant
  store: FaultyStore
  files: TextFiles
  panels: Panels
  ticking: Ticking
  /** `undefined` while the board is dark. */
  base: Base | undefined
  board: Board | undefined
  darkUntilSeconds: number
  nextCause: ResetCause
  /** Starts of the base so far, and when the last one was (seconds of the plant). */
  starts: number
  startedSeconds: number
  /** The second of the plant at which the base's clock shows 0. */
  zeroSeconds: number
  /** How long the board is dark after a torn write. */
  tornDarkSeconds: number
  /** A fault changes the counts as they are converted: they are left as they are. */
  convertsFaultily: boolean
  /** Somebody reads what the base sends. */
  lineRead: boolean
  /** When what could move a session was last asked for over the line: that, and anything of the kind. */
  asked: { hold: number; advance: number; abandon: number; any: number }
  /** Chance of what faults do. */
  random: Random
}

const STORE_BYTES = 16_384
const BLOCK_BYTES = 4096
const FILES_BYTES = 32_768
/** How long a board takes to start after its watchdog: its guard listens for three seconds. */
const START_SECONDS = 5
const HALF_STEP_SECONDS = 0.05
const LATE_SECONDS = 0.15
/** A day in summer: where a wall clock stood when it was set. */
const WALL_SECONDS = 1_750_000_000

/** Sets the rig up and starts the base. */
export function createRig(scenario: Scenario): Rig {
  const { recipe, tank, base: file, filmsThrough } = scenario.run
  const { seed, roomCelsius, millilitres, pourCelsius, startCharge } = scenario.run
  const plant = createPlant(
    recipe,
    tank,
    file,
    recipe.baths.map(bath => (bath.kind === 'developed' ? makeRate(bath, filmsThrough) : undefined)),
    drawEvening({ tank, base: file, seed, roomCelsius, millilitres, pourCelsius: [...pourCelsius], startCharge }),
    undefined,
  )
  if (scenario.wallClockSet) plant.pins.wallOffsetSeconds = WALL_SECONDS
  const random = createRandom(seed, FAULT_STREAM.effects)
  const inner = new SimulatedStore({ pins: plant.pins, bytes: STORE_BYTES, blockBytes: BLOCK_BYTES })
  const store = new FaultyStore(inner, random)
  const rig: Rig = {
    scenario,
    plant,
    store,
    files: faultyFiles(new SimulatedFiles({ pins: plant.pins, bytes: FILES_BYTES }), store),
    panels: createPanels(),
    ticking: { hung: false, heldUntilSeconds: -Infinity, missedShare: 0, extra: 0, lastSeconds: plant.pins.seconds },
    base: undefined,
    board: undefined,
    darkUntilSeconds: -Infinity,
    nextCause: 'power',
    starts: 0,
    startedSeconds: plant.pins.seconds,
    zeroSeconds: 0,
    tornDarkSeconds: START_SECONDS,
    convertsFaultily: false,
    lineRead: true,
    asked: { hold: -Infinity, advance: -Infinity, abandon: -Infinity, any: -Infinity },
    random,
  }
  start(rig)
  return rig
}

/**
 * The base goes dark: its pins fall to rest, and it starts again after so many seconds. Nothing but power that stays away
 * does anything to a board that is dark already.
 */
export function reset(rig: Rig, cause: ResetCause, darkSeconds: number): void {
  const pins = rig.plant.pins
  if (rig.base === undefined && rig.starts > 0) {
    if (cause !== 'power') return
    rig.nextCause = cause
    rig.darkUntilSeconds = Math.max(rig.darkUntilSeconds, pins.seconds + darkSeconds)
    return
  }
  rig.board?.close()
  rig.board = undefined
  rig.base = undefined
  rig.nextCause = cause
  rig.darkUntilSeconds = pins.seconds + darkSeconds
  rig.ticking.hung = false
  rig.panels.texts = []
  rig.panels.tones = []
  pins.motorDuty = 0
  pins.lineIn = ''
  pins.lineOut = ''
  pins.watchdogDueSeconds = Infinity
}

/** The board starts: its counters and its clock from nothing, its flash as it was left. */
function start(rig: Rig): void {
  const { plant, scenario } = rig
  const { pins } = plant
  const { recipe, tank, base: file, filmsInTank, filmsThrough, millilitres } = scenario.run
  if (rig.starts > 0) {
    rig.zeroSeconds = pins.seconds
    pins.advance.presses = 0
    pins.hold.presses = 0
    plant.shaftCounter.edges = 0
    plant.tankCounter.edges = 0
    pins.shaftEdges = 0
    pins.tankEdges = 0
  }
  rig.store.repower()
  rig.starts++
  rig.startedSeconds = pins.seconds
  rig.board = openFaultyBoard({
    pins,
    file,
    store: rig.store,
    files: rig.files,
    panels: rig.panels,
    zeroSeconds: rig.zeroSeconds,
    resetCause: rig.nextCause,
  })
  rig.base = createBase(rig.board, file, tank, recipe, {
    millilitres,
    films: filmsInTank,
    filmsPerLitre: filmsThrough,
    operator: USUAL_REACTION,
    lagKnown: false,
  })
}

/** The ticks of this step, as many as come; `afterTick` runs after each. Starts the base where its time has come. */
export function runTicks(rig: Rig, afterTick: (base: Base) => void): void {
  const { ticking } = rig
  const nowSeconds = rig.plant.pins.seconds
  if (rig.base === undefined) {
    if (nowSeconds < rig.darkUntilSeconds) return
    start(rig)
  }
  if (ticking.hung || nowSeconds < ticking.heldUntilSeconds) return
  if (ticking.missedShare > 0 && uniform(rig.random) < ticking.missedShare) return
  if (nowSeconds - ticking.lastSeconds > LATE_SECONDS) convertAnew(rig)
  ticking.lastSeconds = nowSeconds
  const ticks = 1 + ticking.extra
  ticking.extra = 0
  for (let i = 0; i < ticks && rig.base !== undefined; i++) {
    tick(rig.base)
    afterTick(rig.base)
  }
}

/** A board converts when it is asked: a tick that is late reads what is there now, not what was there when it was due. */
function convertAnew(rig: Rig): void {
  const { plant } = rig
  if (rig.convertsFaultily) return
  plant.pins.probeCounts = probeCounts(plant.probe, rig.random)
}

/** After the plant's step: a watchdog that was not fed, and a write that was torn, start the board anew. */
export function watchBoard(rig: Rig): void {
  const { pins } = rig.plant
  if (rig.lineRead && pins.lineOut !== '') pins.lineOut = ''
  if (rig.base === undefined) return
  if (rig.store.torn) reset(rig, 'power', rig.tornDarkSeconds)
  else if (pins.seconds > pins.watchdogDueSeconds + HALF_STEP_SECONDS) reset(rig, 'watchdog', START_SECONDS)
}
