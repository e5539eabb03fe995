/**
 * How much solution a session needs when its tank lies on its side: the least, what is advised, and what the same tank
 * would take standing.
 *
 * Assumes the geometry of `geometry.ts`. Film must be wetted in every turn, and the chemistry must hold enough to finish
 * its work whatever the tank would turn with. A number of films that is none counts as one; nothing here is NaN unless
 * the tank itself is.
 */
import type { Recipe } from '../recipe/recipe.ts'
import { liquidLevelMillimetres, millilitresAtLevel } from './geometry.ts'
import { immersedFraction } from './segment.ts'
import type { Tank } from './tank.ts'

/**
 * How deep the innermost turn must go under at the bottom of its travel: 1 mm because no base stands level (half a degree
 * over half a tank of 120 mm is 0.5 mm), 3 mm so that it stays under for some time and is not only licked. Assumed.
 */
export const LEAST_IMMERSION_MILLIMETRES = 4

/** Advised: the innermost turn spends this part of each turn in the bath. Assumed; at one half every turn gets the same. */
export const ADVISED_IMMERSED_FRACTION = 1 / 3

/** Advised volumes are rounded up to what a graduate shows. */
const GRADUATE_MILLILITRES = 10

export interface LeastVolume {
  millilitres: number
  /** What asks for that much: wetting the innermost turn of film, or the chemistry of one bath. */
  because: 'film' | 'chemistry'
  /** The bath whose chemistry asks for it; -1 when film does, for then every bath needs it. */
  bathIndex: number
}

function filmsCounted(films: number): number {
  return films >= 1 ? films : 1
}

/** What wets the innermost turn in the lying tank, in millilitres: it dips `LEAST_IMMERSION_MILLIMETRES` under. */
export function wettingMillilitres(tank: Tank, reelsInUse?: number): number {
  return millilitresAtLevel(tank, LEAST_IMMERSION_MILLIMETRES - tank.filmInnerDiameterMillimetres / 2, reelsInUse)
}

/** What the chemistry of one bath needs for so many films, in millilitres; 0 when its recipe does not say. */
export function chemistryMillilitres(recipe: Recipe, bathIndex: number, films: number): number {
  const bath = recipe.baths[bathIndex]
  const perFilm = bath === undefined ? undefined : bath.millilitresPerFilm
  return perFilm !== undefined && perFilm > 0 ? perFilm * filmsCounted(films) : 0
}

/** The least that any bath of the recipe may be poured with: the larger of what wets the film and what the chemistry needs. */
export function leastMillilitres(tank: Tank, films: number, recipe: Recipe, reelsInUse?: number): LeastVolume {
  const least: LeastVolume = { millilitres: wettingMillilitres(tank, reelsInUse), because: 'film', bathIndex: -1 }
  for (let i = 0; i < recipe.baths.length; i++) {
    const needed = chemistryMillilitres(recipe, i, films)
    if (needed > least.millilitres) {
      least.millilitres = needed
      least.because = 'chemistry'
      least.bathIndex = i
    }
  }
  return least
}

/** What covers the reels in use when the tank stands, in millilitres: the tank file's figure, in proportion to the reels (assumed). */
export function standingMillilitres(tank: Tank, reelsInUse?: number): number {
  if (reelsInUse === undefined || !(reelsInUse > 0) || !(reelsInUse < tank.reels)) return tank.standingMillilitres
  return (tank.standingMillilitres * reelsInUse) / tank.reels
}

/**
 * The most that a lying tank should hold, in millilitres: surface at the axis. The lid's opening leads through the core,
 * in the middle; above the axis the liquid stands against that opening and only the seal keeps it in (assumed).
 */
export function mostLyingMillilitres(tank: Tank, reelsInUse?: number): number {
  return millilitresAtLevel(tank, 0, reelsInUse)
}

/**
 * What to pour, in millilitres: enough that the innermost turn is in the bath for a third of each turn, or what the
 * chemistry needs, plus what stays behind in the tank (`residueMillilitres`), rounded up to 10 mL. Never more than the
 * standing tank takes or than lies below the axis, and never less than the least.
 */
export function advisedMillilitres(tank: Tank, films: number, recipe: Recipe, reelsInUse?: number): number {
  const least = leastMillilitres(tank, films, recipe, reelsInUse).millilitres
  const inner = tank.filmInnerDiameterMillimetres / 2
  const even = millilitresAtLevel(tank, -inner * Math.cos(Math.PI * ADVISED_IMMERSED_FRACTION), reelsInUse)
  const handled = Math.max(least, even) + tank.residueMillilitres
  const most = Math.min(standingMillilitres(tank, reelsInUse), mostLyingMillilitres(tank, reelsInUse))
  const wanted = Math.max(least, Math.min(handled, most))
  return Math.ceil(wanted / GRADUATE_MILLILITRES - 1e-9) * GRADUATE_MILLILITRES
}

/** Part of each turn that the innermost turn of film spends in a bath of so many millilitres, 0 to 1. */
export function innermostImmersedFraction(tank: Tank, millilitres: number, reelsInUse?: number): number {
  return immersedFraction(tank.filmInnerDiameterMillimetres / 2, liquidLevelMillimetres(tank, millilitres, reelsInUse))
}
