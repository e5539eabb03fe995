/**
 * Where the simulated board and the simulated base meet: what the board's pins see and drive. The plant writes what is
 * sensed and reads what is driven; the parts of `sim/board.ts` do the reverse. Nothing else passes between them.
 */
import type { ButtonReading, ScreenFrame, Tone } from '../../hal/board.ts'

export interface Pins {
  /** The plant's time: what the monotonic clock shows. */
  seconds: number
  /** Seconds since 1970 at second 0 of the plant; NaN while nobody has set the wall clock. */
  wallOffsetSeconds: number

  /** Sensed. NaN where no conversion is to be had. */
  probeCounts: number
  roomCounts: number
  packVolts: number
  motorAmps: number
  shaftEdges: number
  shaftEdgeSeconds: number
  tankEdges: number
  tankEdgeSeconds: number
  advance: ButtonReading
  hold: ButtonReading

  /** Driven. The duty holds until `motorGoodUntilSeconds`, then the driver's dead man takes it away. */
  motorDuty: number
  motorGoodUntilSeconds: number
  watchdogDueSeconds: number
  /** Counts writes, so that a watcher sees a change without comparing. */
  screenWrites: number
  screen: ScreenFrame
  tonesWrites: number
  tones: Tone[]
}

export function createPins(): Pins {
  return {
    seconds: 0,
    wallOffsetSeconds: NaN,
    probeCounts: NaN,
    roomCounts: NaN,
    packVolts: NaN,
    motorAmps: NaN,
    shaftEdges: 0,
    shaftEdgeSeconds: 0,
    tankEdges: 0,
    tankEdgeSeconds: 0,
    advance: { down: false, presses: 0, pressedSeconds: 0 },
    hold: { down: false, presses: 0, pressedSeconds: 0 },
    motorDuty: 0,
    motorGoodUntilSeconds: 0,
    watchdogDueSeconds: Infinity,
    screenWrites: 0,
    screen: { lines: [], bars: [] },
    tonesWrites: 0,
    tones: [],
  }
}

/** The duty that reaches the motor now. */
export function drivenDuty(pins: Pins): number {
  return pins.seconds < pins.motorGoodUntilSeconds ? pins.motorDuty : 0
}

/** Presses a button at the plant's present time; `releaseButton` lets it go. */
export function pressButton(pins: Pins, which: 'advance' | 'hold'): void {
  const button = pins[which]
  button.down = true
  button.presses++
  button.pressedSeconds = pins.seconds
}

export function releaseButton(pins: Pins, which: 'advance' | 'hold'): void {
  pins[which].down = false
}
