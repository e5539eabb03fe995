/** The shape of one line of the table of faults. Types only. */

import type { PromiseName } from './promises/promise.ts'

export type FaultGroup =
  | 'probe'
  | 'rotation'
  | 'rollers'
  | 'motor'
  | 'pack'
  | 'buttons'
  | 'operator'
  | 'board'
  | 'flash'
  | 'line'
  | 'panel'

/** What a base must have for a fault to mean anything to it. */
export type Needs = 'disc' | 'magnets' | 'discAndMagnets' | 'currentSense' | 'room'

/** Where the base stands while a fault must be told: `any` from before the first pour to the end of the session, `still` while the motor is told to rest. */
export type TellsWhile = 'any' | 'driven' | 'still' | 'inBath'

/** An alarm that must stand once the fault has lasted for so long. */
export interface Tells {
  /** Any of these numbers will do. */
  alarms: number[]
  withinSeconds: number
  while: TellsWhile
  /** Only from this strength on; weaker ones may pass unnoticed. */
  fromStrength?: number
  needs?: Needs
}

export interface FaultKind {
  group: FaultGroup
  /** What it does to the simulated base. */
  does: string
  /** What its strength is measured in, and from where to where it is drawn; empty unit: it has none. */
  unit: string
  range: [number, number]
  /** Half of the strengths are drawn from here, of either sign, evenly over the logarithm. */
  oftenWithin?: [number, number]
  /** How long it lasts, in seconds; [0, 0] for a moment, `session` from the start to the end. */
  lasts: [number, number] | 'session'
  /** How often in a session, where it is possible at all. */
  times: [number, number]
  /** What the base must do, in words for the generated page. */
  mustDo: string
  /** Alarms that it may cause, by number, now or for some time after. */
  mayRaise: number[]
  tells?: Tells
  /** Promises that cannot be kept while it lasts, and for so many seconds after; Infinity for the rest of the session. */
  excuses?: { [promise in PromiseName]?: number }
  needs?: Needs
}
