/**
 * The recipe checker, the same on the board and on the laptop. Takes any value, never throws, and lists every problem
 * at once; a recipe with no refused problem may be used as it is.
 */
import { checkSpec } from './fieldCheck.ts'
import { createProblems, listProblems, type Problem } from './problem.ts'
import { recipeSpec } from './recipeFields.ts'
import { checkRelations } from './relations.ts'

export { accepted, type Problem } from './problem.ts'

/**
 * Every problem of `value` as a recipe: refusals and warnings, in the order of the key table, relations last. `onEntry` is
 * called now and then, for whoever must not be kept waiting.
 */
export function checkRecipe(value: unknown, onEntry?: () => void): Problem[] {
  const problems = createProblems(onEntry)
  checkSpec(problems, recipeSpec(), value, '', 'a recipe')
  checkRelations(problems, value)
  return listProblems(problems)
}
