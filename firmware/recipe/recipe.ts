/**
 * What a session should do: the shapes of a recipe file. Nothing here checks; `check.ts` does, and whatever else takes
 * a Recipe relies on its having been checked.
 */

/** How a bath's end is decided: by progress, by exact time, or by a least time after which longer does no harm. */
export type BathKind = 'developed' | 'timed' | 'atLeast'

/** What the sheet's rows were measured with. */
export type RowsFor = 'rotary' | 'intermittent' | 'any'

/** [celsius, seconds] */
export type Row = [number, number]

/** Extension of the time by films that already went through one litre; one of three published forms. */
export type Reuse =
  /** Fraction of the time added per film. */
  | { perFilm: number }
  /** [up to this many films, factor on the time], rising. */
  | { factors: [number, number][] }
  /** [up to this many films, seconds added], rising. */
  | { addSeconds: [number, number][] }

export interface Bath {
  name: string
  kind: BathKind
  note?: string
  source?: string
  /** For `timed` and `atLeast`; for `developed` with `atCelsius` and `coefficientPer10C` in place of rows. */
  seconds?: number
  rows?: Row[]
  atCelsius?: number
  /** Factor on the rate for each 10 °C. */
  coefficientPer10C?: number
  rowsFor?: RowsFor
  rotaryFactor?: number
  startsWhen?: 'contact' | 'full'
  timeFactor?: number
  usableCelsius?: [number, number]
  reuse?: Reuse
  millilitresPerFilm?: number
  /** A key of the recipe's `agitations`. */
  agitation: string
}

export interface Agitation {
  /** Of the tank. */
  rpm: number
  /** Tank turns between two reversals. */
  legTurns: number
  restSeconds: number
  /** From rest to full speed. */
  rampSeconds: number
  stagger: boolean
  opening?: { rpm: number; seconds: number }
  /** How far load shedding may slow it. */
  leastRpm?: number
  /** Bound on net turns, for a base whose probe cable turns with the tank. */
  netTurnsAtMost?: number
}

export interface Recipe {
  name: string
  title: string
  note?: string
  source?: string
  pour: { fillSeconds: number; drainSeconds: number }
  baths: Bath[]
  agitations: { [name: string]: Agitation }
}
