/**
 * What a board must offer: the contract between the firmware and whatever it runs on.
 *
 * Types only, so that the firmware can import it without importing a board. The pattern is that of ECMA-419
 * (ECMAScript embedded systems API specification): every part is a class made from one options object, with `read()`,
 * `write()` and `close()`.
 *
 * - A constructor validates every option before it touches anything. A missing option or one of the wrong type is a
 *   `TypeError`, one out of range a `RangeError`; either names the option, what was found and what is allowed.
 * - `read()` gives `undefined` when there is nothing to read.
 * - `write()` is all or nothing: a value that cannot be written throws and changes nothing.
 * - `close()` may be called twice; every other call after it throws an `Error`.
 * - No part calls back from its constructor, and none keeps the firmware waiting.
 * - What a part returns from `read()` may be the same object each time: copy it to keep it.
 *
 * The standard has no clock, watchdog, motor, supply or byte store; they follow its manner here. One suite,
 * `test/hal/contract.ts`, runs against every board.
 */

/** A part that can be given back. */
export interface Part {
  close(): void
}

/** A part that is read. */
export interface Source<T> extends Part {
  /** The newest value, or `undefined` when there is none. */
  read(): T | undefined
}

/** A part that is written. */
export interface Sink<T> extends Part {
  /** All or nothing. Throws `TypeError` or `RangeError` for a value that cannot be written. */
  write(value: T): void
}

/** Seconds since some moment of the board's choosing: never steps back, never `undefined`. */
export type MonotonicClock = Source<number>

/** Seconds since 1970-01-01 UTC; `undefined` until somebody sets it. May be wrong, may jump. */
export interface WallClock extends Source<number>, Sink<number> {}

/** One channel of the analogue converter, in counts from 0 to 2^bits − 1. `undefined` when no conversion is ready. */
export interface AnalogInput extends Source<number> {
  /** Resolution in bits of what `read` returns. Oversampling may make it fractional counts. */
  readonly bits: number
}

/** A push button. `edgeSeconds` is on the monotonic clock, so that a press between two ticks keeps its time. */
export interface ButtonReading {
  /** Held down now. */
  down: boolean
  /** How often it was pressed since the part was made; two readings that differ mean a press, however short. */
  presses: number
  /** When it was last pressed, in seconds of the monotonic clock; 0 when never. */
  pressedSeconds: number
}

export type Button = Source<ButtonReading>

/** Edges counted since the part was made, and when the last one came (monotonic seconds; 0 when none came yet). */
export interface RotationReading {
  edges: number
  edgeSeconds: number
}

/**
 * A rotation counter: a slotted disc at the motor shaft, or magnets on the tank. It cannot tell the direction. At full
 * speed it gives at most 50 edges a second, because each one interrupts the interpreter.
 */
export type RotationCounter = Source<RotationReading>

/** What the pack gives. `motorAmps` is NaN on a board without a current sense. */
export interface SupplyReading {
  packVolts: number
  motorAmps: number
}

export type Supply = Source<SupplyReading>

/**
 * The motor's driver. `write(duty)` from −1 to 1, the sign being the direction, 0 to coast to rest. A duty not written
 * again within `deadManSeconds` falls to 0: by what, when the interpreter hangs, each board states in `deadManBy`.
 */
export interface Motor extends Sink<number> {
  /** At most 0.5. */
  readonly deadManSeconds: number
  /** What stops the motor when the firmware hangs, in words for the wiring guide. */
  readonly deadManBy: string
}

/** One line of text on the screen. */
export interface ScreenLine {
  /** Printable ASCII. */
  text: string
  /** Left edge and top edge, in pixels. */
  x: number
  y: number
  /** Height of a character cell in pixels: 8, 16 or 32. A cell is three quarters as wide as it is high (8: 6 wide). */
  size: number
  /** Light on dark when false, dark on light when true. */
  inverse: boolean
}

/** A horizontal bar: an outline filled from the left. */
export interface ScreenBar {
  x: number
  y: number
  width: number
  height: number
  /** From 0 to 1. */
  filled: number
}

/** All that a 128 × 64 monochrome screen shows. */
export interface ScreenFrame {
  lines: ScreenLine[]
  bars: ScreenBar[]
}

export type Screen = Sink<ScreenFrame>

/** A tone; 0 hertz is a pause. */
export interface Tone {
  hertz: number
  seconds: number
}

/** Plays tones one after the other, from now; an empty list is silence. */
export type Sounder = Sink<Tone[]>

/** Restarts the board when it is not fed in time. `write(true)` feeds it. */
export interface Watchdog extends Sink<boolean> {
  readonly limitSeconds: number
}

/**
 * Bytes in flash, with the real limits of flash: a write can only clear bits, an erase sets all bits of one block, a
 * write or erase that the power interrupts may be torn, and nothing may be erased while the motor turns.
 */
export interface ByteStore extends Part {
  readonly bytes: number
  readonly blockBytes: number
  /** A copy of `length` bytes from `address`. Throws `RangeError` beyond the end. */
  read(address: number, length: number): Uint8Array
  /** Throws `RangeError` beyond the end or where a bit would have to be set; then nothing is written. */
  write(address: number, data: Uint8Array): void
  /** Sets every bit of the block that begins at `address`. Throws `RangeError` unless a block begins there. */
  erase(address: number): void
}

/**
 * The serial line to a laptop. At rest the board's own prompt has the port, and what is meant for the firmware comes
 * through it; while the line is taken the firmware has the port alone. Either way `read` gives what was sent to the
 * firmware. The buffer is bounded: what does not fit is dropped and counted.
 */
export interface SerialLine extends Source<string>, Sink<string> {
  /** What arrived since the last call, one character for each byte (codes 0 to 255). */
  read(): string | undefined
  /** Sends a text of printable ASCII and the control characters 0x0A and 0x1E. Never waits: what the port cannot take is dropped. */
  write(text: string): void
  /** The firmware has the port, the prompt has not. */
  readonly taken: boolean
  /** Takes the port from the prompt; nothing happens when it is taken already. */
  take(): void
  /** Gives the port back to the prompt; nothing happens when the prompt has it already. */
  giveBack(): void
  /** Bytes dropped because nobody read them in time, since the part was made. */
  readonly lostBytes: number
}

/**
 * Small named texts that outlive a power cut: recipes put on the base, its calibration, what is planned. A name is
 * a-z 0-9 . - and 1 to 26 long, a text printable ASCII and up to 8,000 long; others are a `RangeError` or `TypeError`.
 */
export interface TextFiles extends Part {
  names(): string[]
  /** `undefined` when there is no such file, or what is there is damaged. */
  read(name: string): string | undefined
  /** All or nothing, also when the power fails in the middle: then either the old or the new text is there. Throws an `Error` when it does not fit. */
  write(name: string, text: string): void
  /** Nothing happens when there is no such file. */
  remove(name: string): void
}

/** Why the board started. */
export type ResetCause = 'power' | 'watchdog' | 'software' | 'unknown'

/** A board, opened: every part made, nothing yet moving. */
export interface Board extends Part {
  readonly clock: MonotonicClock
  readonly wallClock: WallClock
  readonly probe: AnalogInput
  /** Present where the base has a second thermistor, in the room's air. */
  readonly room: AnalogInput | undefined
  readonly advance: Button
  readonly hold: Button
  /** The slotted disc at the motor shaft. */
  readonly shaft: RotationCounter | undefined
  /** The magnets on the tank. */
  readonly tank: RotationCounter | undefined
  readonly supply: Supply
  readonly motor: Motor
  readonly screen: Screen
  readonly sounder: Sounder
  readonly watchdog: Watchdog
  readonly store: ByteStore
  readonly files: TextFiles
  readonly line: SerialLine
  readonly resetCause: ResetCause
  /** CRC-32 as in ISO-HDLC (the one of zlib and Ethernet): "123456789" gives 0xCBF43926. */
  crc32(data: Uint8Array): number
}
