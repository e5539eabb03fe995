/** What a simulated session comes to: the one document of `run --json`. Others rely on these names. */
import type { BathKind } from '../../firmware/recipe/recipe.ts'

export interface AlarmReport {
  number: number
  name: string
  bath: string
  atSeconds: number
}

export interface BathReport {
  name: string
  kind: BathKind
  /** From first contact to the end of the drain. */
  seconds: number
  /** What the firmware believed at the end of the drain, and what the film had got by then. */
  progress: number
  trueProgress: number
  /** From first contact to the pour-out cue; null when none came. */
  pourOutSeconds: number | null
  /** Of the true bath, from first contact to the end of the drain. */
  meanCelsius: number
  lowCelsius: number
  highCelsius: number
  outsideSheetSeconds: number
  /** The firmware's own: the truth lies within so many percent of `progress`. */
  boundPercent: number
  /** What was in the bottle, and how much of it was poured. */
  pourCelsius: number
  millilitres: number
  /** What clung to the film and acted on until the next bath, in the same measure as `trueProgress`. */
  clingProgress: number
}

export interface AgitationReport {
  bath: string
  immersionCv: number
  longestDrySeconds: number
  exchangesPerMinute: number
  reversals: number
}

export interface RunReport {
  seed: number
  recipe: string
  finished: boolean
  /** Why it was not finished; absent when it was. */
  because?: string
  seconds: number
  roomCelsius: number
  alarms: AlarmReport[]
  baths: BathReport[]
  agitation: AgitationReport[]
  pack: { startCharge: number; endCharge: number; joules: number; sessionsLeft: number }
}
