/** The recipes that ship, the default first. They pass the checker without a warning. */
import type { Recipe } from '../recipe.ts'
import { bwNegative } from './bwNegative.ts'
import { colourNegative } from './colourNegative.ts'
import { colourReversal } from './colourReversal.ts'

export const shippedRecipes: Recipe[] = [colourNegative, colourReversal, bwNegative]

/** The shipped recipe of that name, or undefined. */
export function findRecipe(name: string): Recipe | undefined {
  for (let i = 0; i < shippedRecipes.length; i++) {
    if (shippedRecipes[i].name === name) return shippedRecipes[i]
  }
  return undefined
}
