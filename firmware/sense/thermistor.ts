/**
 * The thermistor and its divider: counts to ohm to degrees Celsius, and back.
 *
 * 1/T = A + B ln R + C (ln R)^3 (Steinhart and Hart 1968), from a part's published coefficients or solved from three
 * points of its table; the beta equation, 0.8 to 1.1 C off at the ends, is the same with C = 0 and serves only as a
 * fallback. Everything is worked out once at the start; a reading costs one logarithm. Counts at or beyond an end of
 * the converter's range, or no number, give NaN.
 */
import type { Thermistor } from '../baseFile.ts'

const ZERO_CELSIUS_KELVIN = 273.15

/** A thermistor with its divider, ready to be read. */
export interface Curve {
  a: number
  b: number
  c: number
  dividerOhms: number
  /** Thermistor between converter and ground: its share of the supply is what is read. */
  atGround: boolean
  offsetCelsius: number
  fullScaleCounts: number
}

export function makeCurve(thermistor: Thermistor, adcBits: number): Curve {
  const coefficients = coefficientsOf(thermistor)
  return {
    a: coefficients[0],
    b: coefficients[1],
    c: coefficients[2],
    dividerOhms: thermistor.dividerOhms,
    atGround: thermistor.thermistorAt === 'ground',
    offsetCelsius: thermistor.offsetCelsius,
    fullScaleCounts: 2 ** adcBits - 1,
  }
}

/** A, B, C of the best description that the file gives. */
export function coefficientsOf(thermistor: Thermistor): [number, number, number] {
  if (thermistor.steinhartHart !== undefined) return thermistor.steinhartHart
  if (thermistor.points !== undefined) return steinhartHartFrom(thermistor.points)
  const beta = thermistor.beta === undefined ? { ohmsAt25: 10000, kelvin: 3950 } : thermistor.beta
  return betaCoefficients(beta.ohmsAt25, beta.kelvin)
}

/** The three coefficients through three [celsius, ohm] of a table, by divided differences in ln R. */
export function steinhartHartFrom(
  points: [[number, number], [number, number], [number, number]],
): [number, number, number] {
  const l1 = Math.log(points[0][1])
  const l2 = Math.log(points[1][1])
  const l3 = Math.log(points[2][1])
  const y1 = 1 / (points[0][0] + ZERO_CELSIUS_KELVIN)
  const y2 = 1 / (points[1][0] + ZERO_CELSIUS_KELVIN)
  const y3 = 1 / (points[2][0] + ZERO_CELSIUS_KELVIN)
  const slope2 = (y2 - y1) / (l2 - l1)
  const slope3 = (y3 - y1) / (l3 - l1)
  const c = (slope3 - slope2) / (l3 - l2) / (l1 + l2 + l3)
  const b = slope2 - c * (l1 * l1 + l1 * l2 + l2 * l2)
  return [y1 - (b + l1 * l1 * c) * l1, b, c]
}

/** 1/T = 1/298.15 + ln(R/R25)/beta, written as coefficients of Steinhart and Hart's equation. */
export function betaCoefficients(ohmsAt25: number, kelvin: number): [number, number, number] {
  return [1 / (25 + ZERO_CELSIUS_KELVIN) - Math.log(ohmsAt25) / kelvin, 1 / kelvin, 0]
}

/** What the part says, without the calibration's offset; NaN for a resistance that is none. */
export function celsiusAt(curve: Curve, ohms: number): number {
  if (!(ohms > 0)) return NaN
  const ln = Math.log(ohms)
  return 1 / (curve.a + ln * (curve.b + curve.c * ln * ln)) - ZERO_CELSIUS_KELVIN
}

/** The resistance at a temperature: Newton's method on ln R, which is so nearly straight that four steps are exact. */
export function ohmsAt(curve: Curve, celsius: number): number {
  const inverse = 1 / (celsius + ZERO_CELSIUS_KELVIN)
  let ln = (inverse - curve.a) / curve.b
  for (let i = 0; i < 6; i++) {
    const error = curve.a + ln * (curve.b + curve.c * ln * ln) - inverse
    ln -= error / (curve.b + 3 * curve.c * ln * ln)
  }
  return Math.exp(ln)
}

/** The thermistor's resistance for what the converter reads; NaN at the ends of its range. */
export function ohmsFromCounts(curve: Curve, counts: number): number {
  const ratio = counts / curve.fullScaleCounts
  if (!(ratio > 0 && ratio < 1)) return NaN
  return curve.atGround ? (curve.dividerOhms * ratio) / (1 - ratio) : (curve.dividerOhms * (1 - ratio)) / ratio
}

/** What the converter reads for a resistance, not rounded. */
export function countsFromOhms(curve: Curve, ohms: number): number {
  const share = curve.atGround ? ohms : curve.dividerOhms
  return (curve.fullScaleCounts * share) / (ohms + curve.dividerOhms)
}

/** A reading in degrees Celsius, calibration counted in; NaN when there is none. */
export function celsiusFromCounts(curve: Curve, counts: number): number {
  return celsiusAt(curve, ohmsFromCounts(curve, counts)) + curve.offsetCelsius
}

/** How many degrees one count is worth at a reading, always positive; NaN at the ends of the range. */
export function kelvinPerCount(curve: Curve, counts: number): number {
  const ratio = counts / curve.fullScaleCounts
  const ohms = ohmsFromCounts(curve, counts)
  if (!(ohms > 0)) return NaN
  const ln = Math.log(ohms)
  const kelvin = 1 / (curve.a + ln * (curve.b + curve.c * ln * ln))
  return (kelvin * kelvin * (curve.b + 3 * curve.c * ln * ln)) / (ratio * (1 - ratio) * curve.fullScaleCounts)
}
