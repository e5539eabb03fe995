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

  /** The serial line: bytes sent to the firmware and not yet read, those that found no room, and what it has sent. */
  lineIn: string
  lineLostBytes: number
  lineOut: string
  lineTaken: boolean
}

/** What a board keeps of a line that nobody reads, in bytes: on the way in, and in the port on the way out. */
const LINE_IN_BYTES = 2048
const LINE_OUT_BYTES = 65_536

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
    lineIn: '',
    lineLostBytes: 0,
    lineOut: '',
    lineTaken: false,
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

/** What the host sends, one character for each byte: what finds no room is lost and counted. */
export function sendToLine(pins: Pins, text: string): void {
  const room = LINE_IN_BYTES - pins.lineIn.length
  pins.lineIn += text.slice(0, room)
  if (text.length > room) pins.lineLostBytes += text.length - room
}

/** What the board sends: dropped where the port cannot take all of it. */
export function sendFromLine(pins: Pins, text: string): void {
  if (pins.lineOut.length + text.length <= LINE_OUT_BYTES) pins.lineOut += text
}
