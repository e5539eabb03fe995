/**
 * One tick's look at the board, in one flat object that lives as long as the base.
 * A part that had nothing to read leaves NaN, so that no room has to test for `undefined`.
 *
 * Asking a part costs a board's engine more than most of what is done with the answer, so no part is asked more often
 * than its answer is needed: every part keeps the moment of what it counted, and half of them take turns.
 */
import type { Board, ButtonReading } from '../hal/board.ts'

export interface Readings {
  /** The monotonic clock, and the time since the last tick; 0 at the first. */
  nowSeconds: number
  tickSeconds: number
  /** True once a second: the analogue channels were read in this tick. */
  slow: boolean
  /** What was asked in this tick: the supply; the shaft. True as well where somebody else fills in what is read. */
  supplyRead: boolean
  shaftRead: boolean
  /** A button is down, or came up, or was pressed. */
  touched: boolean
  /** Written by the pack sense: what is read is doubted, and looked at in every tick. */
  supplyDoubted: boolean
  /** Written by the rotation sense: the tank turns evenly or stands, and the shaft may wait for the next tick. */
  calm: boolean
  /** Which of the parts that take turns are asked. */
  odd: boolean
  probeCounts: number
  /** NaN where there is no second thermistor. */
  roomCounts: number
  shaftEdges: number
  shaftEdgeSeconds: number
  tankEdges: number
  tankEdgeSeconds: number
  packVolts: number
  motorAmps: number
  advanceDown: boolean
  advancePresses: number
  advancePressedSeconds: number
  holdDown: boolean
  holdPresses: number
  holdPressedSeconds: number
}

export function createReadings(): Readings {
  return {
    nowSeconds: NaN,
    tickSeconds: 0,
    shaftRead: true,
    supplyRead: true,
    touched: true,
    slow: false,
    odd: false,
    supplyDoubted: true,
    calm: false,
    holdPresses: 0,
    holdDown: false,
    advancePresses: 0,
    advanceDown: false,
    shaftEdges: 0,
    shaftEdgeSeconds: 0,
    tankEdges: 0,
    tankEdgeSeconds: 0,
    packVolts: NaN,
    motorAmps: NaN,
    probeCounts: NaN,
    roomCounts: NaN,
    advancePressedSeconds: 0,
    holdPressedSeconds: 0,
  }
}

/** The analogue channels are read once a second: the bath changes slowly and a conversion costs the board time. */
const SLOW_SECONDS = 1

/**
 * Reads every part of the board that this tick needs. `slowDueSeconds` is when the slow parts are due; returns when they
 * are next. A press is seen in the tick after the next at the latest, with the moment that the board kept of it.
 * In one piece, because on a board's engine a call costs as much as two statements.
 */
export function readBoard(board: Board, readings: Readings, slowDueSeconds: number): number {
  const nowSeconds = board.clock.read() as number
  const tickSeconds = nowSeconds - readings.nowSeconds
  const odd = !readings.odd
  readings.nowSeconds = nowSeconds
  readings.odd = odd
  readings.touched = false
  if (tickSeconds >= 0) readings.tickSeconds = tickSeconds
  else readFirst(board, readings)
  if (odd) {
    const hold = board.hold.read()
    if (hold !== undefined && (hold.down || hold.presses !== readings.holdPresses || readings.holdDown)) {
      takeHold(readings, hold)
    }
    readings.supplyRead = readings.supplyDoubted
    if (readings.supplyDoubted) readSupply(board, readings)
    if (board.tank !== undefined) {
      const tank = board.tank.read()
      // The magnets pass once or twice a second.
      if (tank !== undefined && tank.edges !== readings.tankEdges) {
        readings.tankEdges = tank.edges
        readings.tankEdgeSeconds = tank.edgeSeconds
      }
    }
  } else {
    const advance = board.advance.read()
    if (
      advance !== undefined &&
      (advance.down || advance.presses !== readings.advancePresses || readings.advanceDown)
    ) {
      takeAdvance(readings, advance)
    }
    readings.supplyRead = true
    readSupply(board, readings)
  }
  const shaftRead = odd || !readings.calm
  readings.shaftRead = shaftRead
  if (shaftRead && board.shaft !== undefined) {
    const shaft = board.shaft.read()
    if (shaft !== undefined) {
      readings.shaftEdges = shaft.edges
      readings.shaftEdgeSeconds = shaft.edgeSeconds
    }
  }
  // A hair early is in time: ticks of 0.1 s never add up to whole seconds exactly.
  const slow = !(nowSeconds < slowDueSeconds - 0.01)
  readings.slow = slow
  return slow ? readSlow(board, readings, slowDueSeconds) : slowDueSeconds
}

/** Nothing was seen before: presses and edges until now are the count to begin with. */
function readFirst(board: Board, readings: Readings): void {
  readings.tickSeconds = 0
  const advance = board.advance.read()
  if (advance !== undefined) takeAdvance(readings, advance)
}

function readSupply(board: Board, readings: Readings): void {
  const supply = board.supply.read()
  readings.packVolts = supply === undefined ? NaN : supply.packVolts
  readings.motorAmps = supply === undefined ? NaN : supply.motorAmps
}

function takeHold(readings: Readings, hold: ButtonReading): void {
  readings.touched = true
  readings.holdDown = hold.down
  readings.holdPresses = hold.presses
  readings.holdPressedSeconds = hold.pressedSeconds
}

function takeAdvance(readings: Readings, advance: ButtonReading): void {
  readings.touched = true
  readings.advanceDown = advance.down
  readings.advancePresses = advance.presses
  readings.advancePressedSeconds = advance.pressedSeconds
}

/** The thermistors. */
function readSlow(board: Board, readings: Readings, slowDueSeconds: number): number {
  const nowSeconds = readings.nowSeconds
  const probe = board.probe.read()
  readings.probeCounts = probe === undefined ? NaN : probe
  const room = board.room === undefined ? undefined : board.room.read()
  readings.roomCounts = room === undefined ? NaN : room
  return nowSeconds - slowDueSeconds < SLOW_SECONDS ? slowDueSeconds + SLOW_SECONDS : nowSeconds + SLOW_SECONDS
}
