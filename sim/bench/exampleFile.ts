/**
 * `check --example KIND`: a file to begin with. What the bench takes when no file is named, as JSON: a maker writes it into
 * a file and puts in the measures of their own tank, base or process. Gives 2 for a kind that is none.
 */
import { defaultBase } from '../../firmware/defaultBase.ts'
import { findRecipe } from '../../firmware/recipe/shipped/shipped.ts'
import { defaultTank } from '../../firmware/tank/defaultTank.ts'
import { DEFAULT_RECIPE } from './defaults.ts'
import { shippedRecipes } from './shippedRecipes.ts'

const EXIT_DONE = 0
const EXIT_BAD_INPUT = 2

/** Prints the example to `out`; what to do with it, or what is wrong with `kind`, to `err`. */
export function printExample(kind: string, out: (text: string) => void, err: (text: string) => void): number {
  const value = exampleOf(kind)
  if (value === undefined) {
    const names = shippedRecipes.map(recipe => recipe.name).join(', ')
    err(`--example: ${kind}; allowed: tank, base, recipe, or a recipe that ships: ${names}`)
    return EXIT_BAD_INPUT
  }
  out(asFile(value))
  err('Write this into a file (npm start --silent -- ... > mine.json), change it, then check it.')
  return EXIT_DONE
}

function exampleOf(kind: string): object | undefined {
  if (kind === 'tank') return defaultTank
  if (kind === 'base') return defaultBase
  return findRecipe(kind === 'recipe' ? DEFAULT_RECIPE : kind)
}

/** JSON as a person writes it: a list of plain values in one line. */
function asFile(value: object): string {
  return JSON.stringify(value, null, 2).replace(
    /\[\n([^[\]{}]*?)\n *\]/g,
    (_, inner: string) => `[${inner.trim().replace(/,\n */g, ', ')}]`,
  )
}
