/** The session that is planned from afar: started by a press on the base, and kept in the file `planned` over a power cut. */
import type { Base } from '../base.ts'
import { isAtRest, planSession } from '../planning.ts'
import { type Fields, own } from '../recipe/ownKeys.ts'
import type { Recipe } from '../recipe/recipe.ts'
import type { SessionOptions } from '../session/session.ts'
import { AFAR_SECONDS, askStart } from '../session/turnTest.ts'
import { BAD_PARAMS, type Console, fail, REFUSED } from './consoleState.ts'
import { keep, readFields } from './files.ts'
import { checkParams } from './params.ts'
import { noRecipe, recipeNamed } from './recipes.ts'

export const PLANNED_FILE = 'planned'
/** Less wets no film in any tank (assumed). */
const LEAST_MILLILITRES = 20

/** `filmsThrough`: already, through one litre of the solutions. */
export const START_PARAMS = [
  'recipe text 1 to 24',
  'millilitres any',
  'films whole 1 to 20',
  'filmsThrough? number 0 to 1000',
]

/** A press on the base is waited for. */
export function waitsFor(button: 'advance' | 'hold'): unknown {
  return { waitsFor: button, seconds: AFAR_SECONDS }
}

export function startSession(line: Console, base: Base, params: Fields): unknown {
  const name = own(params, 'recipe') as string
  if (base.turnTest.stage !== 'none') return fail(line, REFUSED, 'A test turn waits for that press')
  // A recipe that was put is checked again, which takes its time.
  base.board.watchdog.write(true)
  const recipe = recipeNamed(line, base, name)
  if (recipe === undefined) return noRecipe(line, name)
  const options = optionsOf(base, recipe, params)
  if (typeof options === 'string') return fail(line, BAD_PARAMS, options)
  const kept = {
    recipe: name,
    millilitres: options.millilitres,
    films: options.films,
    filmsThrough: options.filmsPerLitre,
  }
  if (!keep(line, base.board.files, PLANNED_FILE, JSON.stringify(kept))) return undefined
  planSession(base, recipe, options)
  askStart(base.turnTest, base.session, base.estimates.nowSeconds)
  return waitsFor('advance')
}

/** Plans what the file holds. False when there is a file and it cannot be used; then nothing has changed. */
export function planStored(line: Console, base: Base): boolean {
  if (base.board.files.read(PLANNED_FILE) === undefined) return base.board.files.names().indexOf(PLANNED_FILE) < 0
  const kept = readFields(base.board.files, PLANNED_FILE)
  if (kept === undefined || checkParams(START_PARAMS, kept).length > 0 || !isAtRest(base)) return false
  const recipe = recipeNamed(line, base, own(kept, 'recipe') as string)
  if (recipe === undefined) return false
  const options = optionsOf(base, recipe, kept)
  if (typeof options === 'string') return false
  planSession(base, recipe, options)
  return true
}

/** The session's options, or what is wrong with them. Shapes were checked but for `millilitres`. */
function optionsOf(base: Base, recipe: Recipe, params: Fields): SessionOptions | string {
  const most = base.tank.standingMillilitres
  const given = own(params, 'millilitres')
  const list = Array.isArray(given) ? given : [given]
  const baths = recipe.baths.length
  let right = list.length === 1 || list.length === baths
  for (let i = 0; i < baths && i < list.length; i++) {
    right = right && typeof list[i] === 'number' && list[i] >= LEAST_MILLILITRES && list[i] <= most
  }
  if (!right) return 'millilitres (allowed: ' + LEAST_MILLILITRES + ' to ' + most + ', one or ' + baths + ' of them)'
  const films = own(params, 'films') as number
  if (films > base.tank.reels) return 'films (allowed: 1 to ' + base.tank.reels + ')'
  const through = own(params, 'filmsThrough')
  return { millilitres: list as number[], films: films, filmsPerLitre: through === undefined ? 0 : (through as number) }
}
