/**
 * Recipes on the base: those that ship, and files `r.<name>` that were put there. A file never stands for a shipped
 * recipe. What was put was checked, here or, where there is no room for the checker, by the laptop that sends it.
 */
import type { Base } from '../base.ts'
import { type Fields, own } from '../recipe/ownKeys.ts'
import { accepted, type Problem, quote } from '../recipe/problem.ts'
import type { Recipe } from '../recipe/recipe.ts'
import { findRecipe, SHIPPED_NAMES } from '../recipe/shipped/shipped.ts'
import { BAD_PARAMS, type Console, fail, REFUSED } from './consoleState.ts'
import { keep, readFields } from './files.ts'

const PREFIX = 'r.'
/** What of a reply the list of problems may take: a port takes four thousand characters or none (assumed). */
const REPLY_CHARACTERS = 3000

/** The recipe of that name, shipped or put; undefined when there is none that can be used. */
export function recipeNamed(_line: Console, base: Base, name: string): Recipe | undefined {
  if (SHIPPED_NAMES.indexOf(name) >= 0) return findRecipe(name)
  if (!/^[a-z0-9-]+$/.test(name)) return undefined
  // Checked when it was put, and the file vouches for its bytes: to check it again takes a board seconds.
  const put = readFields(base.board.files, PREFIX + name)
  const whole = put !== undefined && own(put, 'name') === name && Array.isArray(own(put, 'baths'))
  return whole ? (put as unknown as Recipe) : undefined
}

export function noRecipe(line: Console, name: string): undefined {
  return fail(line, BAD_PARAMS, 'recipe: ' + quote(name) + ' (allowed: a name of recipe.list)')
}

export function listRecipes(_line: Console, base: Base): unknown {
  const put: string[] = []
  const names = base.board.files.names()
  for (let i = 0; i < names.length; i++) if (names[i].indexOf(PREFIX) === 0) put.push(names[i].substr(PREFIX.length))
  return { shipped: SHIPPED_NAMES, put: put }
}

export function getRecipe(line: Console, base: Base, params: Fields): unknown {
  const name = own(params, 'name') as string
  const recipe = recipeNamed(line, base, name)
  return recipe === undefined ? noRecipe(line, name) : { recipe: recipe }
}

export function putRecipe(line: Console, base: Base, params: Fields): unknown {
  const check = line.options.checkRecipe
  const recipe = own(params, 'recipe')
  let listed: unknown[] = []
  if (check !== undefined) {
    // The check of a long recipe takes a slow board seconds: the watchdog is fed at every bath.
    const problems = check(recipe, () => base.board.watchdog.write(true))
    listed = listProblems(problems)
    if (!accepted(problems)) return fail(line, BAD_PARAMS, 'Not a recipe: ' + problems.length + ' problems', listed)
  } else if (own(params, 'checkedBy') !== line.options.identity.version || !isNamed(recipe)) {
    // There is no room for the checker here: the laptop's of the same version has looked, or it is not taken.
    return fail(line, REFUSED, 'Not checked by ' + line.options.identity.version)
  }
  const name = (recipe as Recipe).name
  if (SHIPPED_NAMES.indexOf(name) >= 0) return fail(line, REFUSED, name + ' ships: give yours another name')
  if (!keep(line, base.board.files, PREFIX + name, JSON.stringify(recipe))) return undefined
  return { name: name, warnings: listed }
}

/** So much a file of a recipe must have. */
function isNamed(recipe: unknown): boolean {
  if (typeof recipe !== 'object' || recipe === null || !Array.isArray((recipe as Recipe).baths)) return false
  const name: unknown = (recipe as Recipe).name
  return typeof name === 'string' && name.length <= 24 && /^[a-z0-9-]+$/.test(name)
}

export function removeRecipe(line: Console, base: Base, params: Fields): unknown {
  const name = own(params, 'name') as string
  const files = base.board.files
  if (SHIPPED_NAMES.indexOf(name) >= 0) return fail(line, REFUSED, name + ' ships: it stays')
  if (files.names().indexOf(PREFIX + name) < 0) return noRecipe(line, name)
  files.remove(PREFIX + name)
  return { name: name }
}

/** All problems; where they are more than a reply can carry, the last entry counts the rest. */
function listProblems(problems: Problem[]): unknown[] {
  const listed: unknown[] = []
  let left = REPLY_CHARACTERS
  for (let i = 0; i < problems.length; i++) {
    const one = problems[i]
    const entry = { place: one.place, found: one.found, allowed: one.allowed, hint: one.hint, severity: one.severity }
    left -= JSON.stringify(entry).length
    if (left < 0) {
      listed.push({ place: '', found: problems.length - i + ' more', allowed: 'none', hint: '', severity: 'refused' })
      break
    }
    listed.push(entry)
  }
  return listed
}
