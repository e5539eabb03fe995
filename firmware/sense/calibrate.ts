/**
 * Calibration of a thermistor against a reference thermometer. One or two readings give the offset that the base file
 * keeps; three that lie apart give the part's own coefficients. The reference's own error stays in the result.
 */
import type { Curve } from './thermistor.ts'
import { celsiusAt, ohmsFromCounts, steinhartHartFrom } from './thermistor.ts'

/** One reading beside the reference: what the converter gave and what the reference thermometer said. */
export interface CalibrationReading {
  counts: number
  referenceCelsius: number
}

export interface Calibration {
  /** To be added to what the part says. */
  offsetCelsius: number
  /** Only from three readings: replaces the part's published description, and the offset is then 0. */
  steinhartHart: [number, number, number] | undefined
  /** Largest disagreement left between readings and result; NaN where nothing is left to disagree. */
  restCelsius: number
}

/** Readings nearer than this say nothing of the curve's slope or bend (assumed). */
const APART_CELSIUS = 5

/**
 * The calibration that these readings allow, or `undefined` when none of them can be used. Two readings (or more that
 * do not lie apart) give the mean offset, and what they disagree by around it; three or more that lie at least 5 C
 * apart give coefficients through the coldest, a middle and the warmest.
 */
export function calibrate(curve: Curve, readings: CalibrationReading[]): Calibration | undefined {
  const usable: { ohms: number; offsetCelsius: number; celsius: number }[] = []
  for (let i = 0; i < readings.length; i++) {
    const ohms = ohmsFromCounts(curve, readings[i].counts)
    const celsius = readings[i].referenceCelsius
    if (ohms > 0 && isFinite(celsius)) usable.push({ ohms, celsius, offsetCelsius: celsius - celsiusAt(curve, ohms) })
  }
  if (usable.length === 0) return undefined
  usable.sort((x, y) => x.celsius - y.celsius || x.ohms - y.ohms)
  const low = usable[0]
  const high = usable[usable.length - 1]
  const middle = usable[(usable.length - 1) >> 1]
  if (middle.celsius - low.celsius >= APART_CELSIUS && high.celsius - middle.celsius >= APART_CELSIUS) {
    const steinhartHart = steinhartHartFrom([
      [low.celsius, low.ohms],
      [middle.celsius, middle.ohms],
      [high.celsius, high.ohms],
    ])
    return { offsetCelsius: 0, steinhartHart, restCelsius: NaN }
  }
  let sum = 0
  for (let i = 0; i < usable.length; i++) sum += usable[i].offsetCelsius
  const offsetCelsius = sum / usable.length
  let rest = 0
  for (let i = 0; i < usable.length; i++) rest = Math.max(rest, Math.abs(usable[i].offsetCelsius - offsetCelsius))
  return { offsetCelsius, steinhartHart: undefined, restCelsius: usable.length > 1 ? rest : NaN }
}
