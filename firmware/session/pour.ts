/**
 * What is known of a bath before it is poured: where its temperature is expected, so that the observer starts from
 * something. Only a start: the probe soon says better. Falls back on the recipe's other baths, then on a room.
 */
import type { Bath, Recipe } from '../recipe/recipe.ts'

/** A range says "somewhere in here": the standard deviation of a uniform distribution is its width over the square root of 12. */
const UNIFORM_SIGMA = 1 / Math.sqrt(12)
/** Nobody is known to pour closer than this to what the recipe wants: some compensate for a cold tank, some do not (assumed). */
export const LEAST_POUR_SIGMA_CELSIUS = 4
/** For a bath whose recipe says nothing of temperature: usually that of its neighbours, sometimes of the tap (assumed). */
export const UNSTATED_SIGMA_CELSIUS = 6
/** Solutions at room temperature (assumed). */
const ROOM_CELSIUS = 20

/** The range in which a bath is used, as its recipe says: [low, high], or `undefined` when the recipe says nothing. */
export function statedCelsius(bath: Bath): [number, number] | undefined {
  if (bath.usableCelsius !== undefined) return bath.usableCelsius
  if (bath.rows !== undefined && bath.rows.length > 0) return [bath.rows[0][0], bath.rows[bath.rows.length - 1][0]]
  if (bath.atCelsius !== undefined) return [bath.atCelsius, bath.atCelsius]
  return undefined
}

/** The middle of where a bath's pour is expected, in degrees Celsius. */
export function expectedPourCelsius(recipe: Recipe, bathIndex: number): number {
  let range = statedCelsius(recipe.baths[bathIndex])
  for (let i = 0; range === undefined && i < recipe.baths.length; i++) range = statedCelsius(recipe.baths[i])
  return range === undefined ? ROOM_CELSIUS : (range[0] + range[1]) / 2
}

/** One sigma of that. */
export function expectedPourSigmaCelsius(recipe: Recipe, bathIndex: number): number {
  const range = statedCelsius(recipe.baths[bathIndex])
  if (range === undefined) return UNSTATED_SIGMA_CELSIUS
  return Math.max(LEAST_POUR_SIGMA_CELSIUS, (range[1] - range[0]) * UNIFORM_SIGMA)
}
