/** What the console keeps from tick to tick, and what it is told of the bundle that it runs in. */
import type { Base } from '../base.ts'
import type { Fields } from '../recipe/ownKeys.ts'
import type { Problem } from '../recipe/problem.ts'
import type { SessionState } from '../session/table.ts'
import { createFrames, type Frames } from './frames.ts'

/** Who this base is: written into the bundle, and known to what started it. */
export interface Identity {
  version: string
  wiring: string
  /** The board's own, printable and without spaces; two boards never have the same. */
  serial: string
  kind: 'firmware' | 'rehearsal'
  /** The storage file that it was started from; empty where there are no slots. */
  slot: string
  /** This slot has proved itself. */
  good(): boolean
}

export interface ConsoleOptions {
  identity: Identity
  /** Checks a recipe that is put on the base; without it none is taken. */
  checkRecipe?: (recipe: unknown, onEntry: () => void) => Problem[]
  /** What a rehearsal bundle does when asked to rehearse; its result is sent, an `Error` that it throws is refused with its message. */
  rehearse?: (base: Base, motor: boolean) => unknown
}

export interface Console {
  options: ConsoleOptions
  frames: Frames
  /** There is something to look at in the next tick even when nothing comes. */
  busy: boolean
  /** The session's state in the tick before. */
  state: SessionState
  /** Telemetry every so many seconds; 0 for none. When it is due, Infinity for never. */
  everySeconds: number
  dueSeconds: number
  /** The prompt was asked for and is given when the motor is off, up to this moment; NaN when it was not. */
  promptUntilSeconds: number
  /** The prompt has the port in a session, until the motor is to turn again. */
  prompting: boolean
  /** The probe's calibration as it was set here; `undefined` while the base file's holds. */
  calibration: Fields | undefined
  /** Files that were damaged at the start. */
  ignored: string[]
  /** Set by a method that refuses. */
  failure: Failure | undefined
  /** What went wrong inside the console; nothing of it reaches the session. */
  mishaps: number
}

/** A refusal: a code of JSON-RPC, or of the base. */
export interface Failure {
  code: number
  message: string
  data?: unknown
}

export function createConsole(options: ConsoleOptions): Console {
  return {
    options: options,
    frames: createFrames(),
    busy: false,
    state: 'planned',
    everySeconds: 0,
    dueSeconds: Infinity,
    promptUntilSeconds: NaN,
    prompting: false,
    calibration: undefined,
    ignored: [],
    failure: undefined,
    mishaps: 0,
  }
}

/** -31000 minus the number of an alarm; -31000 itself for any other refusal of the base. */
export const REFUSED = -31000
export const BAD_PARAMS = -32602

/** Refuses: what a method gives back after this is not sent. */
export function fail(line: Console, code: number, message: string, data?: unknown): undefined {
  line.failure = { code: code, message: message }
  if (data !== undefined) line.failure.data = data
  return undefined
}
