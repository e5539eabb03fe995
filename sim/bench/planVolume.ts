/**
 * How many films a tank takes lying, and how much it takes at all: what `plan` and `run` hold a load to.
 *
 * Assumes a checked tank and recipe. Without a film that fits the answer is 0 films.
 */
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { millilitresAtLevel } from '../../firmware/tank/geometry.ts'
import type { Tank } from '../../firmware/tank/tank.ts'
import { leastMillilitres, mostLyingMillilitres } from '../../firmware/tank/volume.ts'

/** More films than reels: two share one, back to back. */
export function crowdedReels(films: number, reels: number): string {
  return `${filmsSaid(films)} on ${reels} ${reels === 1 ? 'reel' : 'reels'}: more than one film on a reel.`
}

/** All that the closed tank takes with its reels in, in millilitres: no session can be poured with more. */
export function brimMillilitres(tank: Tank, reels?: number): number {
  return Math.floor(millilitresAtLevel(tank, tank.innerDiameterMillimetres / 2, reels))
}

/** The most films whose least volume lies below the axis; 0 when not even one film's does. */
export function mostFilmsLying(recipe: Recipe, tank: Tank, reels: number, films: number): number {
  let fit = films
  while (fit > 0 && !liesLow(recipe, tank, reels, fit)) fit--
  return fit
}

/** Whether what so many films need lies below the axis, in whole millilitres. */
export function liesLow(recipe: Recipe, tank: Tank, reels: number, films: number): boolean {
  const least = leastMillilitres(tank, films, recipe, reels).millilitres
  return Math.ceil(least - 1e-9) <= Math.floor(mostLyingMillilitres(tank, reels))
}

/** `1 film`, `2 films`. */
export function filmsSaid(films: number): string {
  return `${films} ${films === 1 ? 'film' : 'films'}`
}
