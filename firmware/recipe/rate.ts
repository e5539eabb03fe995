/**
 * The rate of development at a temperature, from the rows of a data sheet: ln(seconds) is linear in 1/T (kelvin)
 * between rows; beyond the end rows the least-squares slope of all rows goes on from the end row.
 */
import type { Bath } from './recipe.ts'

/** A bath's rate, ready to be evaluated; made once when the bath begins. */
export interface Rate {
  /** Falling, as the rows' temperatures rise. */
  inverseKelvin: number[]
  lnSeconds: number[]
  /** d ln(seconds) / d(1/T) in kelvin, outside the rows: activation energy over the gas constant. */
  endSlopeKelvin: number
  sheetLowCelsius: number
  sheetHighCelsius: number
}

export function makeRate(_bath: Bath, _filmsPerLitre: number): Rate {
  throw new Error('being written')
}

/** How long the bath would last at a constant temperature, in seconds. */
export function secondsAt(_rate: Rate, _celsius: number): number {
  throw new Error('being written')
}

/** d ln(rate) / dT, per kelvin: what a degree is worth. */
export function sensitivityAt(_rate: Rate, _celsius: number): number {
  throw new Error('being written')
}
