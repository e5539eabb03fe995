/**
 * The join: opens the board as its wiring says, makes the base on it, and lets the heartbeat tick it. What fails in here
 * fails before the first tick, with the motor's pins low: the guard then tries again, and leaves this firmware for the
 * one before. After a minute of ticks without a mishap the guard is told that this firmware is healthy.
 */
import { type Base, createBase, tick } from '../../../firmware/base.ts'
import type { BaseFile } from '../../../firmware/baseFile.ts'
import type { OperatorPrior } from '../../../firmware/clock/clock.ts'
import type { ConsoleOptions } from '../../../firmware/console/console.ts'
import { isAtRest } from '../../../firmware/planning.ts'
import { checkRecipe } from '../../../firmware/recipe/check.ts'
import { makeColourNegative } from '../../../firmware/recipe/shipped/colourNegative.ts'
import type { Tank } from '../../../firmware/tank/tank.ts'
import { type EspruinoBoard, openEspruinoBoard } from '../board.ts'
import type { Engine } from '../engine.ts'
import { engineOfGlobals } from '../globals.ts'
import type { Guard } from '../guard/guard.ts'
import { startHeartbeat } from '../heartbeat.ts'
import { tidy, writesLeft, writesWon } from '../tidy.ts'
import type { Wiring } from '../wiring/wiring.ts'

/** The build's, see `hal/espruino/build/bundles.ts`; there is none where this runs unbundled. */
declare const EVENBATH_VERSION: string
/** True of a bundle for a board with little room: recipes are then not taken over the line, because nothing checks them. */
declare const EVENBATH_REDUCED: boolean
const VERSION = typeof EVENBATH_VERSION === 'undefined' ? '' : EVENBATH_VERSION
const REDUCED = typeof EVENBATH_REDUCED === 'undefined' ? false : EVENBATH_REDUCED
declare const global: { guard?: Guard }

export interface Joined {
  engine: Engine
  wiring: Wiring
  board: EspruinoBoard
  base: Base
  guard: Guard | undefined
  /** Ticks since the last mishap, until the guard has been told. */
  goodTicks: number
  mishaps: number
  /** When to look at the file store next, in seconds of the base's clock. */
  lookSeconds: number
  /** Ends the ticks, for a restart on purpose. */
  stop: () => void
}

/** A minute. */
export const HEALTHY_TICKS = 600
/** What a hand is taken to be before it was seen (assumed). */
const OPERATOR: OperatorPrior = { reactionSeconds: 2.5, reactionSigmaSeconds: 1.5, known: false }
/** Before anything is planned: two reels, covered when rolling (assumed; the plan that the files keep comes first). */
const MILLILITRES = 300
/** An hour at rest: the evening is over. */
const LOOK_SECONDS = 3600
/** The store is put in order when it takes fewer than so many of the longest texts. */
const LEAST_WRITES = 2
const LONGEST_TEXT = 8000

/** Starts the firmware on the engine that this code runs on. */
export function startFirmware(wiring: Wiring, file: BaseFile, tank: Tank): void {
  joinFirmware(engineOfGlobals(), global.guard, wiring, file, tank)
}

/** `guard` is left out where the firmware was started by hand. */
export function joinFirmware(
  engine: Engine,
  guard: Guard | undefined,
  wiring: Wiring,
  file: BaseFile,
  tank: Tank,
): Joined {
  // Reading the bundle took seconds, and what follows takes some more: the guard's watchdog waits for neither.
  engine.E.kickWatchdog()
  const board = openEspruinoBoard(engine, wiring)
  engine.E.kickWatchdog()
  const console: ConsoleOptions = {
    identity: {
      version: VERSION,
      wiring: wiring.name,
      serial: engine.getSerial(),
      kind: 'firmware',
      slot: guard === undefined ? '' : guard.slot,
      good: () => guard !== undefined && guard.good,
    },
  }
  if (!REDUCED) console.checkRecipe = checkRecipe
  const joined: Joined = {
    engine: engine,
    wiring: wiring,
    board: board,
    base: createBase(board, fitted(file, wiring), tank, makeColourNegative(), {
      millilitres: MILLILITRES,
      films: tank.reels < 2 ? tank.reels : 2,
      filmsPerLitre: 0,
      operator: OPERATOR,
      lagKnown: false,
      console: console,
    }),
    guard: guard,
    goodTicks: 0,
    mishaps: 0,
    lookSeconds: LOOK_SECONDS,
    stop: () => heart.stop(),
  }
  const heart = startHeartbeat(
    engine,
    board,
    () => beat(joined),
    () => {},
  )
  return joined
}

/** One beat of the heart. */
export function beat(joined: Joined): void {
  const base = joined.base
  tick(base)
  if (joined.goodTicks < HEALTHY_TICKS) proveHealth(joined)
  else if (base.estimates.slow && base.estimates.nowSeconds >= joined.lookSeconds) tidyUp(joined)
}

function proveHealth(joined: Joined): void {
  const mishaps = joined.base.mishaps
  joined.goodTicks = mishaps === joined.mishaps ? joined.goodTicks + 1 : 0
  joined.mishaps = mishaps
  if (joined.goodTicks === HEALTHY_TICKS && joined.guard !== undefined) joined.guard.healthy()
}

/** Puts the file store in order while there is time for it, so that no upload and no recipe has to. */
function tidyUp(joined: Joined): void {
  joined.lookSeconds = joined.base.estimates.nowSeconds + LOOK_SECONDS
  const { engine, base } = joined
  if (!isAtRest(base) || writesLeft(engine, LONGEST_TEXT) >= LEAST_WRITES) return
  // Never for nothing, and not while somebody is about to press: it ends in a restart.
  if (writesWon(engine, LONGEST_TEXT) < LEAST_WRITES || base.session.refusal !== '') return
  // Nothing of a session is unread at rest: its summary is carried over by the journal itself.
  if (tidy(joined.engine, joined.board, joined.wiring, false) === undefined) joined.stop()
}

/** The base file says what the base has; the wiring says what of it is wired here. */
function fitted(file: BaseFile, wiring: Wiring): BaseFile {
  file.adcBits = wiring.analog.bits
  if (wiring.roomPin === undefined) delete file.room
  if (wiring.shaft === undefined) file.rotation.edgesPerShaftTurn = 0
  if (wiring.tank === undefined) file.rotation.magnetsOnTank = 0
  return file
}
