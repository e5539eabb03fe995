/**
 * One tick's look at the board: every part read once into one flat object that lives as long as the base.
 * A part that had nothing to read leaves NaN, so that no room has to test for `undefined`.
 */
import type { Board } from '../hal/board.ts'

export interface Readings {
  /** The monotonic clock, and the time since the last tick; 0 at the first. */
  nowSeconds: number
  tickSeconds: number
  /** True once a second: the analogue channels were read in this tick. */
  slow: boolean
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
    slow: false,
    probeCounts: NaN,
    roomCounts: NaN,
    shaftEdges: 0,
    shaftEdgeSeconds: 0,
    tankEdges: 0,
    tankEdgeSeconds: 0,
    packVolts: NaN,
    motorAmps: NaN,
    advanceDown: false,
    advancePresses: 0,
    advancePressedSeconds: 0,
    holdDown: false,
    holdPresses: 0,
    holdPressedSeconds: 0,
  }
}

/** The analogue channels are read once a second: the bath changes slowly and a conversion costs the board time. */
const SLOW_SECONDS = 1

/** Reads every part of the board that this tick needs. `slowDueSeconds` is when the slow parts are due; returns when they are next. */
export function readBoard(board: Board, readings: Readings, slowDueSeconds: number): number {
  const nowSeconds = board.clock.read() as number
  readings.tickSeconds = isNaN(readings.nowSeconds) ? 0 : nowSeconds - readings.nowSeconds
  readings.nowSeconds = nowSeconds
  const supply = board.supply.read()
  readings.packVolts = supply === undefined ? NaN : supply.packVolts
  readings.motorAmps = supply === undefined ? NaN : supply.motorAmps
  const advance = board.advance.read()
  if (advance !== undefined) {
    readings.advanceDown = advance.down
    readings.advancePresses = advance.presses
    readings.advancePressedSeconds = advance.pressedSeconds
  }
  const hold = board.hold.read()
  if (hold !== undefined) {
    readings.holdDown = hold.down
    readings.holdPresses = hold.presses
    readings.holdPressedSeconds = hold.pressedSeconds
  }
  const shaft = board.shaft === undefined ? undefined : board.shaft.read()
  if (shaft !== undefined) {
    readings.shaftEdges = shaft.edges
    readings.shaftEdgeSeconds = shaft.edgeSeconds
  }
  const tank = board.tank === undefined ? undefined : board.tank.read()
  if (tank !== undefined) {
    readings.tankEdges = tank.edges
    readings.tankEdgeSeconds = tank.edgeSeconds
  }
  // A hair early is in time: ticks of 0.1 s never add up to whole seconds exactly.
  readings.slow = !(nowSeconds < slowDueSeconds - 0.01)
  if (!readings.slow) return slowDueSeconds
  const probe = board.probe.read()
  readings.probeCounts = probe === undefined ? NaN : probe
  const room = board.room === undefined ? undefined : board.room.read()
  readings.roomCounts = room === undefined ? NaN : room
  return nowSeconds - slowDueSeconds < SLOW_SECONDS ? slowDueSeconds + SLOW_SECONDS : nowSeconds + SLOW_SECONDS
}
