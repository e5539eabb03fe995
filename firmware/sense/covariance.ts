/**
 * The observer's covariance: eight quantities, packed by rows of the lower triangle into one array, and the few things
 * that happen to it. Written out element by element, because the interpreter pays for every turn of a loop and most
 * elements of a general transition would be zero.
 *
 *          probe bath progress body lnLag lnCond lnHeat pour
 * probe      0
 * bath       1    2
 * progress   3    4     5
 * body       6    7     8      9
 * lnLag     10   11    12     13    14
 * lnCond    15   16    17     18    19    20
 * lnHeat    21   22    23     24    25    26     27
 * pour      28   29    30     31    32    33     34    35
 *
 * Every function keeps it symmetric by construction and a diagonal from falling below zero.
 */
export const COVARIANCE_SIZE = 36

/** All of one quantity's covariances to zero, its variance to `variance`. `row` counts from 0. */
export function isolate(p: Float64Array, row: number, variance: number): void {
  const first = (row * (row + 1)) / 2
  for (let k = 0; k < row; k++) p[first + k] = 0
  for (let k = row + 1; k < 8; k++) p[(k * (k + 1)) / 2 + row] = 0
  p[first + row] = variance
}

/** The bath takes the body's place in every covariance: an empty tank's residue has the wall's temperature. */
export function bathLikeBody(p: Float64Array): void {
  p[1] = p[6]
  p[4] = p[8]
  p[2] = p[9]
  p[7] = p[9]
  p[11] = p[13]
  p[16] = p[18]
  p[22] = p[24]
  p[29] = p[31]
}

/** bath := bath + share × (pour − bath) */
export function mixPour(p: Float64Array, share: number): void {
  const keep = 1 - share
  p[2] = keep * keep * p[2] + 2 * keep * share * p[29] + share * share * p[35]
  p[1] = keep * p[1] + share * p[28]
  p[4] = keep * p[4] + share * p[30]
  p[7] = keep * p[7] + share * p[31]
  p[11] = keep * p[11] + share * p[32]
  p[16] = keep * p[16] + share * p[33]
  p[22] = keep * p[22] + share * p[34]
  p[29] = keep * p[29] + share * p[35]
}

/**
 * bath := bath + a (body − bath) − g lnCond, body := body + c (bath − body) + d lnCond − h lnHeat; `pouring` takes the
 * last row along.
 */
export function exchangeHeat(
  p: Float64Array,
  a: number,
  c: number,
  g: number,
  d: number,
  h: number,
  pouring: boolean,
): void {
  let old = p[1]
  p[1] = old + a * (p[6] - old) - g * p[15]
  p[6] += c * (old - p[6]) + d * p[15] - h * p[21]
  old = p[4]
  p[4] = old + a * (p[8] - old) - g * p[17]
  p[8] += c * (old - p[8]) + d * p[17] - h * p[23]
  old = p[11]
  p[11] = old + a * (p[13] - old) - g * p[19]
  p[13] += c * (old - p[13]) + d * p[19] - h * p[25]
  if (pouring) {
    old = p[29]
    p[29] = old + a * (p[31] - old) - g * p[33]
    p[31] += c * (old - p[31]) + d * p[33] - h * p[34]
  }
  const bathCond = p[16]
  const bodyCond = p[18]
  const bathHeat = p[22]
  const bodyHeat = p[24]
  const newBathCond = bathCond + a * (bodyCond - bathCond) - g * p[20]
  const newBathHeat = bathHeat + a * (bodyHeat - bathHeat) - g * p[26]
  const bathBath = p[2]
  const bathBody = p[7]
  const bodyBody = p[9]
  // Covariances of the new bath and the new body with the old ones, from which the new variances follow.
  const nb = bathBath + a * (bathBody - bathBath) - g * bathCond
  const nw = bathBody + a * (bodyBody - bathBody) - g * bodyCond
  const ww = bodyBody + c * (bathBody - bodyBody) + d * bodyCond - h * bodyHeat
  const wb = bathBody + c * (bathBath - bathBody) + d * bathCond - h * bathHeat
  const newBodyCond = bodyCond + c * (bathCond - bodyCond) + d * p[20] - h * p[26]
  const newBodyHeat = bodyHeat + c * (bathHeat - bodyHeat) + d * p[26] - h * p[27]
  p[2] = nb + a * (nw - nb) - g * newBathCond
  p[7] = nw + c * (nb - nw) + d * newBathCond - h * newBathHeat
  p[9] = ww + c * (wb - ww) + d * newBodyCond - h * newBodyHeat
  p[16] = newBathCond
  p[18] = newBodyCond
  p[22] = newBathHeat
  p[24] = newBodyHeat
}

/** probe := probe + f (bath − probe) − e lnLag, then progress := progress + s bath */
export function followAndCount(p: Float64Array, f: number, e: number, s: number, pouring: boolean): void {
  const probeBath = p[1] + f * (p[2] - p[1]) - e * p[11]
  const probeLag = p[10] + f * (p[11] - p[10]) - e * p[14]
  const same = p[0] + f * (p[1] - p[0]) - e * p[10]
  p[0] = same + f * (probeBath - same) - e * probeLag
  p[3] += f * (p[4] - p[3]) - e * p[12]
  p[6] += f * (p[7] - p[6]) - e * p[13]
  p[15] += f * (p[16] - p[15]) - e * p[19]
  p[21] += f * (p[22] - p[21]) - e * p[25]
  p[1] = probeBath
  p[10] = probeLag
  p[5] += s * (2 * p[4] + s * p[2])
  p[3] += s * p[1]
  p[4] += s * p[2]
  p[8] += s * p[7]
  p[12] += s * p[11]
  p[17] += s * p[16]
  p[23] += s * p[22]
  if (!pouring) return
  p[28] += f * (p[29] - p[28]) - e * p[32]
  p[30] += s * p[29]
}

/** A shock of variance `variance` that moved probe, bath and progress together, by these shares. */
export function addShock(p: Float64Array, variance: number, probeShare: number, progressShare: number): void {
  p[0] += variance * probeShare * probeShare
  p[1] += variance * probeShare
  p[2] += variance
  p[3] += variance * probeShare * progressShare
  p[4] += variance * progressShare
  p[5] += variance * progressShare * progressShare
}

/**
 * What a reading of the probe leaves; `gain` is 1 over the variance of the residual. Without `learning`, lag, conductance
 * and heat keep what they are and how well they are known, and only what hangs on them is corrected (Schmidt 1966).
 */
export function readProbe(p: Float64Array, gain: number, learning: boolean, pouring: boolean): void {
  const c0 = p[0]
  const c1 = p[1]
  const c2 = p[3]
  const c3 = p[6]
  const c4 = p[10]
  const c5 = p[15]
  const c6 = p[21]
  const k1 = c1 * gain
  const k2 = c2 * gain
  const k3 = c3 * gain
  const k4 = c4 * gain
  const k5 = c5 * gain
  const k6 = c6 * gain
  const left = 1 - c0 * gain
  p[2] -= k1 * c1
  p[4] -= k2 * c1
  p[5] -= k2 * c2
  p[7] -= k3 * c1
  p[8] -= k3 * c2
  p[9] -= k3 * c3
  p[11] -= k4 * c1
  p[12] -= k4 * c2
  p[13] -= k4 * c3
  p[16] -= k5 * c1
  p[17] -= k5 * c2
  p[18] -= k5 * c3
  p[22] -= k6 * c1
  p[23] -= k6 * c2
  p[24] -= k6 * c3
  if (learning) {
    p[14] -= k4 * c4
    p[19] -= k5 * c4
    p[20] -= k5 * c5
    p[25] -= k6 * c4
    p[26] -= k6 * c5
    p[27] -= k6 * c6
  }
  if (pouring) {
    const c7 = p[28]
    const k7 = c7 * gain
    p[29] -= k7 * c1
    p[30] -= k7 * c2
    p[31] -= k7 * c3
    p[32] -= k7 * c4
    p[33] -= k7 * c5
    p[34] -= k7 * c6
    p[35] -= k7 * c7
    p[28] = c7 * left
  }
  p[0] = c0 * left
  p[1] = c1 * left
  p[3] = c2 * left
  p[6] = c3 * left
  p[10] = c4 * left
  p[15] = c5 * left
  p[21] = c6 * left
}
