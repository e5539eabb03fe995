/**
 * The recipes that ship, the default first. They pass the checker without a warning. Each is made when it is asked for:
 * on the board a recipe nobody develops by costs no memory.
 */
import type { Recipe } from '../recipe.ts'
import { makeBwNegative } from './bwNegative.ts'
import { makeColourNegative } from './colourNegative.ts'
import { makeColourReversal } from './colourReversal.ts'

export const SHIPPED_NAMES = ['colour-negative', 'colour-reversal', 'bw-negative']

/** A new copy of the shipped recipe of that name, or undefined. */
export function findRecipe(name: string): Recipe | undefined {
  switch (name) {
    case 'colour-negative':
      return makeColourNegative()
    case 'colour-reversal':
      return makeColourReversal()
    case 'bw-negative':
      return makeBwNegative()
    default:
      return undefined
  }
}
