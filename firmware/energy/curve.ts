/**
 * A cell's resting voltage against its charge, read in both directions, and the energy under it.
 *
 * Assumes points [charge 0-1, volts], both rising, as the base file's checker grants. Straight lines between points; a
 * charge outside 0 to 1 is taken as the nearer end, and so is one that is not a number (as empty: the safe side).
 */

export interface RestingCurve {
  charge: number[]
  volts: number[]
  /** Integral of volts over charge from 0 to each point: volts times a whole charge. */
  area: number[]
}

export function makeCurve(points: [number, number][]): RestingCurve {
  const curve: RestingCurve = { charge: [], volts: [], area: [] }
  let area = 0
  for (let i = 0; i < points.length; i++) {
    if (i > 0) area += ((points[i][1] + points[i - 1][1]) / 2) * (points[i][0] - points[i - 1][0])
    curve.charge.push(points[i][0])
    curve.volts.push(points[i][1])
    curve.area.push(area)
  }
  return curve
}

/** Index of the point below a value in a rising list, from 0 to the last but one. */
function segmentOf(rising: number[], value: number): number {
  let i = 1
  while (i < rising.length - 1 && value > rising[i]) i++
  return i - 1
}

/** Resting volts of one cell at this charge. */
export function voltsAtCharge(curve: RestingCurve, charge: number): number {
  const x = curve.charge
  const last = x.length - 1
  if (!(charge > x[0])) return curve.volts[0]
  if (charge >= x[last]) return curve.volts[last]
  const i = segmentOf(x, charge)
  return curve.volts[i] + ((curve.volts[i + 1] - curve.volts[i]) * (charge - x[i])) / (x[i + 1] - x[i])
}

/** Charge at which a cell rests at these volts: the inverse. */
export function chargeAtVolts(curve: RestingCurve, cellVolts: number): number {
  const v = curve.volts
  const last = v.length - 1
  if (!(cellVolts > v[0])) return curve.charge[0]
  if (cellVolts >= v[last]) return curve.charge[last]
  const i = segmentOf(v, cellVolts)
  return curve.charge[i] + ((curve.charge[i + 1] - curve.charge[i]) * (cellVolts - v[i])) / (v[i + 1] - v[i])
}

/** How far from a charge its slope is taken: over more than one breakpoint, so that a corner does not decide it. */
const SLOPE_REACH = 0.03

/** Volts for a whole charge, at this charge: how much a resting voltage tells. Never below a hundredth of a volt. */
export function slopeAtCharge(curve: RestingCurve, charge: number): number {
  const low = charge > SLOPE_REACH ? charge - SLOPE_REACH : 0
  const high = charge < 1 - SLOPE_REACH ? charge + SLOPE_REACH : 1
  const slope = (voltsAtCharge(curve, high) - voltsAtCharge(curve, low)) / (high - low)
  return slope > 0.01 ? slope : 0.01
}

/** Integral of resting volts over charge, from empty to this charge; times coulombs it is joules. */
export function areaToCharge(curve: RestingCurve, charge: number): number {
  const x = curve.charge
  const last = x.length - 1
  if (!(charge > x[0])) return 0
  if (charge >= x[last]) return curve.area[last]
  const i = segmentOf(x, charge)
  return curve.area[i] + ((curve.volts[i] + voltsAtCharge(curve, charge)) / 2) * (charge - x[i])
}
