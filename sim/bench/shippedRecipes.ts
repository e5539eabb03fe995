/** The recipes that ship, each made once: on the laptop memory is no matter. */
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { makeBwNegative } from '../../firmware/recipe/shipped/bwNegative.ts'
import { makeColourNegative } from '../../firmware/recipe/shipped/colourNegative.ts'
import { makeColourReversal } from '../../firmware/recipe/shipped/colourReversal.ts'

export const colourNegative: Recipe = makeColourNegative()
export const colourReversal: Recipe = makeColourReversal()
export const bwNegative: Recipe = makeBwNegative()

/** The default first. */
export const shippedRecipes: Recipe[] = [colourNegative, colourReversal, bwNegative]
