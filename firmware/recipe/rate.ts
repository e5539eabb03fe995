/**
 * The rate of development at a temperature, from the rows of a data sheet: ln(seconds) is linear in 1/T (kelvin)
 * between rows; beyond the end rows the least-squares slope of all rows goes on from the end row. A sheet with one time
 * and a coefficient per 10 C is followed as printed: the rate grows by `coefficientPer10C` for every 10 C.
 *
 * Assumes a checked bath. Whatever the bath adds to the sheet's time (push, rotary factor, reuse) is folded in when the
 * rate is made, so that evaluating costs a search over few rows and one exponential. Nothing here throws: a
 * temperature that is no number is taken as the middle of the sheet, an absurd one as the nearest end of a sane range.
 */
import type { Bath } from './recipe.ts'
import { bathFactor } from './reuse.ts'

/** A bath's rate, ready to be evaluated; made once when the bath begins. */
export interface Rate {
  /** Falling, as the rows' temperatures rise. */
  inverseKelvin: number[]
  lnSeconds: number[]
  /** d ln(seconds) / d(1/T) in kelvin, outside the rows: activation energy over the gas constant. */
  endSlopeKelvin: number
  sheetLowCelsius: number
  sheetHighCelsius: number
  /** The same slope before the first row, between each two rows, and after the last: one more than rows. */
  slopesKelvin: number[]
  /** d ln(rate) / dT for a sheet with a coefficient per 10 C; 0 for one with rows. */
  coefficientPerKelvin: number
  /** The one temperature of a sheet with a coefficient; the middle of the rows otherwise. */
  centreCelsius: number
}

const ZERO_CELSIUS_KELVIN = 273.15

/** Water freezes below and no film bath is kept above: outside, the nearer end is taken (assumed). */
const COLDEST_CELSIUS = -5
const WARMEST_CELSIUS = 80

/**
 * Where a coefficient counts as part of the sheet when the bath names no usable range: ILFORD prints its rule of 10 %
 * a degree for the four degrees from 20 to 24 C (powder developers, technical information 2010, page 4).
 */
const COEFFICIENT_REACH_CELSIUS = 4

/**
 * Makes the rate of a bath for a solution through which `filmsPerLitre` films already went. A bath without rows or
 * coefficient gets a constant one from its `seconds`.
 */
export function makeRate(bath: Bath, filmsPerLitre: number): Rate {
  const lnFactor = Math.log(bathFactor(bath, filmsPerLitre))
  if (bath.rows !== undefined && bath.rows.length > 0) return rateFromRows(bath.rows, lnFactor)
  const celsius = bath.atCelsius === undefined ? 20 : bath.atCelsius
  const coefficient = bath.coefficientPer10C === undefined ? 1 : bath.coefficientPer10C
  const usable = bath.usableCelsius
  return {
    inverseKelvin: [1 / (celsius + ZERO_CELSIUS_KELVIN)],
    lnSeconds: [Math.log(bath.seconds === undefined ? 1 : bath.seconds) + lnFactor],
    endSlopeKelvin: 0,
    sheetLowCelsius: usable === undefined ? celsius - COEFFICIENT_REACH_CELSIUS : usable[0],
    sheetHighCelsius: usable === undefined ? celsius + COEFFICIENT_REACH_CELSIUS : usable[1],
    slopesKelvin: [0, 0],
    coefficientPerKelvin: Math.log(coefficient) / 10,
    centreCelsius: celsius,
  }
}

function rateFromRows(rows: [number, number][], lnFactor: number): Rate {
  const inverseKelvin: number[] = []
  const lnSeconds: number[] = []
  for (let i = 0; i < rows.length; i++) {
    inverseKelvin.push(1 / (rows[i][0] + ZERO_CELSIUS_KELVIN))
    lnSeconds.push(Math.log(rows[i][1]) + lnFactor)
  }
  const endSlopeKelvin = leastSquaresSlope(inverseKelvin, lnSeconds)
  const slopesKelvin = [endSlopeKelvin]
  for (let i = 1; i < rows.length; i++) {
    slopesKelvin.push((lnSeconds[i] - lnSeconds[i - 1]) / (inverseKelvin[i] - inverseKelvin[i - 1]))
  }
  slopesKelvin.push(endSlopeKelvin)
  const sheetLowCelsius = rows[0][0]
  const sheetHighCelsius = rows[rows.length - 1][0]
  return {
    inverseKelvin,
    lnSeconds,
    endSlopeKelvin,
    sheetLowCelsius,
    sheetHighCelsius,
    slopesKelvin,
    coefficientPerKelvin: 0,
    centreCelsius: 0.5 * (sheetLowCelsius + sheetHighCelsius),
  }
}

/** Slope of the straight line with the least sum of squares; 0 for a single point. */
function leastSquaresSlope(x: number[], y: number[]): number {
  let meanX = 0
  let meanY = 0
  for (let i = 0; i < x.length; i++) {
    meanX += x[i] / x.length
    meanY += y[i] / x.length
  }
  let xx = 0
  let xy = 0
  for (let i = 0; i < x.length; i++) {
    xx += (x[i] - meanX) * (x[i] - meanX)
    xy += (x[i] - meanX) * (y[i] - meanY)
  }
  return xx > 0 ? xy / xx : 0
}

/** A temperature that can be worked with: the middle of the sheet for no number, the nearer end for an absurd one. */
function saneCelsius(rate: Rate, celsius: number): number {
  if (celsius > COLDEST_CELSIUS && celsius < WARMEST_CELSIUS) return celsius
  if (celsius >= WARMEST_CELSIUS) return WARMEST_CELSIUS
  return celsius <= COLDEST_CELSIUS ? COLDEST_CELSIUS : rate.centreCelsius
}

/** How long the bath would last at a constant temperature, in seconds. */
export function secondsAt(rate: Rate, celsius: number): number {
  const sane = celsius > COLDEST_CELSIUS && celsius < WARMEST_CELSIUS ? celsius : saneCelsius(rate, celsius)
  if (rate.coefficientPerKelvin !== 0) {
    return Math.exp(rate.lnSeconds[0] - rate.coefficientPerKelvin * (sane - rate.centreCelsius))
  }
  const x = 1 / (sane + ZERO_CELSIUS_KELVIN)
  const rows = rate.inverseKelvin
  let i = 0
  while (i < rows.length && x < rows[i]) i++
  const from = i > 0 ? i - 1 : 0
  return Math.exp(rate.lnSeconds[from] + rate.slopesKelvin[i] * (x - rows[from]))
}

/** d ln(rate) / dT, per kelvin: what a degree is worth. On a row, that of the colder side. */
export function sensitivityAt(rate: Rate, celsius: number): number {
  if (rate.coefficientPerKelvin !== 0) return rate.coefficientPerKelvin
  const x = 1 / (saneCelsius(rate, celsius) + ZERO_CELSIUS_KELVIN)
  const rows = rate.inverseKelvin
  let i = 0
  while (i < rows.length && x < rows[i]) i++
  return rate.slopesKelvin[i] * x * x
}
