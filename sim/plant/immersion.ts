/**
 * What is immersed, and how unevenly, from the time that the tank stood at each angle. Pure.
 *
 * Assumes a level surface. A radius that the liquid never reaches has a variation of 1 by definition, one that it always
 * covers has none.
 */

/** Angles of the tank are counted in so many bins, and the film is looked at in as many places. */
export const BINS = 360

/** Half of the immersed arc at a radius, in radians, with the surface `levelMillimetres` above the axis (negative below). */
export function immersedHalfAngle(radiusMillimetres: number, levelMillimetres: number): number {
  const cosine = -levelMillimetres / radiusMillimetres
  return cosine >= 1 ? 0 : cosine <= -1 ? Math.PI : Math.acos(cosine)
}

/**
 * Standard deviation over mean of the immersed time round the film, for the radius where it is worst: folds the time
 * at each angle with the immersed arc. `seconds` lie in their bins; `sweptSeconds` is a difference array of seconds in
 * every bin from there on; half arcs are in turns.
 */
export function worstVariation(seconds: Float64Array, sweptSeconds: Float64Array, halfTurns: Float64Array): number {
  const upTo = secondsUpToBins(seconds, sweptSeconds)
  let worst = 0
  for (let radius = 0; radius < halfTurns.length; radius++) worst = Math.max(worst, variation(upTo, halfTurns[radius]))
  return worst
}

/** Seconds at angles below each bin's upper end, from the two arrays of a bath. */
function secondsUpToBins(seconds: Float64Array, sweptSeconds: Float64Array): Float64Array {
  const upTo = new Float64Array(BINS + 1)
  let whole = 0
  for (let bin = 0; bin < BINS; bin++) {
    whole += sweptSeconds[bin]
    upTo[bin + 1] = upTo[bin] + whole + seconds[bin]
  }
  return upTo
}

/**
 * The immersed share of the time, 0 to 1, at each of the 360 places round the film, for one half arc in turns: what a
 * map of a bath shows. All 0 when the tank never turned.
 */
export function immersedShares(seconds: Float64Array, sweptSeconds: Float64Array, halfTurns: number): Float64Array {
  const shares = new Float64Array(BINS)
  const upTo = secondsUpToBins(seconds, sweptSeconds)
  const all = upTo[BINS]
  if (all <= 0 || halfTurns <= 0) return shares
  if (halfTurns >= 0.5) return shares.fill(1)
  for (let place = 0; place < BINS; place++) shares[place] = immersedSeconds(upTo, halfTurns, place) / all
  return shares
}

function variation(upTo: Float64Array, halfTurns: number): number {
  if (halfTurns <= 0) return 1
  if (halfTurns >= 0.5) return 0
  let sum = 0
  let squares = 0
  for (let place = 0; place < BINS; place++) {
    const seconds = immersedSeconds(upTo, halfTurns, place)
    sum += seconds
    squares += seconds * seconds
  }
  const mean = sum / BINS
  const variance = squares / BINS - mean * mean
  return variance > 0 ? Math.sqrt(variance) / mean : 0
}

function immersedSeconds(upTo: Float64Array, halfTurns: number, place: number): number {
  return secondsUpTo(upTo, (halfTurns - place / BINS) * BINS) - secondsUpTo(upTo, (-halfTurns - place / BINS) * BINS)
}

/** Integral of the time at angles from 0 to `bins` (any real number; the pattern repeats every turn). */
function secondsUpTo(upTo: Float64Array, bins: number): number {
  const rounds = Math.floor(bins / BINS)
  const within = bins - rounds * BINS
  const bin = Math.min(Math.floor(within), BINS - 1)
  return rounds * upTo[BINS] + upTo[bin] + (upTo[bin + 1] - upTo[bin]) * (within - bin)
}
