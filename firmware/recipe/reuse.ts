/**
 * What a bath adds to its sheet's time: push or pull, rotary instead of intermittent agitation, and the extension for
 * solutions through which films already went, in the three forms that sheets publish. One factor in the end, because
 * exhaustion slows development alike at every temperature.
 *
 * Assumes a checked bath. A count of films that is no number or negative counts as none.
 */
import type { Bath, Reuse } from './recipe.ts'

/** The factor on the sheet's time for a solution through which `filmsPerLitre` films already went. */
export function bathFactor(bath: Bath, filmsPerLitre: number): number {
  const timeFactor = bath.timeFactor === undefined ? 1 : bath.timeFactor
  const rotaryFactor = bath.rotaryFactor === undefined ? 1 : bath.rotaryFactor
  return timeFactor * rotaryFactor * reuseFactor(bath.reuse, primarySeconds(bath), filmsPerLitre)
}

/** The exact or least time of a bath that runs by time, in seconds, reuse and factors counted in; NaN without one. */
export function timedSeconds(bath: Bath, filmsPerLitre: number): number {
  return bath.seconds === undefined ? NaN : bath.seconds * bathFactor(bath, filmsPerLitre)
}

/**
 * The sheet's primary time, to which `addSeconds` adds: the bath's `seconds`, else that of the warmest row. T-MAX
 * developers, whose sheet publishes this form (J-86, page 9), have their primary temperature at 24 C (75 F), where
 * their tables end. NaN for a bath without any time.
 */
export function primarySeconds(bath: Bath): number {
  if (bath.seconds !== undefined) return bath.seconds
  return bath.rows !== undefined && bath.rows.length > 0 ? bath.rows[bath.rows.length - 1][1] : NaN
}

/**
 * The factor for reuse alone. `perFilm`: 1 + f n after n films (ILFORD: 10 % more for every film, and the first none).
 * `factors` and `addSeconds`: bands of the film's own number, so after n films the first band that ends above n (XTOL:
 * films 1 to 5 as fresh, 6 to 10 by 1.15); beyond the last band its figure stays, see `reuseExhausted`. What
 * `addSeconds` adds to the primary time becomes a factor on all times.
 */
export function reuseFactor(reuse: Reuse | undefined, sheetSeconds: number, filmsPerLitre: number): number {
  if (reuse === undefined) return 1
  const films = isFinite(filmsPerLitre) ? Math.max(filmsPerLitre, 0) : 0
  if ('perFilm' in reuse) return 1 + reuse.perFilm * films
  if ('factors' in reuse) return bandValue(reuse.factors, films, 1)
  const added = bandValue(reuse.addSeconds, films, 0)
  return sheetSeconds > 0 ? 1 + added / sheetSeconds : 1
}

/** True when more films went through than the sheet's last band knows; a sheet with `perFilm` states no end. */
export function reuseExhausted(reuse: Reuse | undefined, filmsPerLitre: number): boolean {
  if (reuse === undefined || 'perFilm' in reuse) return false
  const bands = 'factors' in reuse ? reuse.factors : reuse.addSeconds
  return bands.length > 0 && filmsPerLitre >= bands[bands.length - 1][0]
}

function bandValue(bands: [number, number][], filmsPerLitre: number, ifNone: number): number {
  for (let i = 0; i < bands.length; i++) {
    if (filmsPerLitre < bands[i][0]) return bands[i][1]
  }
  return bands.length > 0 ? bands[bands.length - 1][1] : ifNone
}
