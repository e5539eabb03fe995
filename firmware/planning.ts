/**
 * Plans a session on a base at rest, in place: what was learned of operator, pack and probe stays.
 *
 * Assumes that no session runs and that the recipe was checked; throws what `makeRate` throws for one that was not, and
 * then nothing has changed.
 */
import type { Base } from './base.ts'
import { budgetSession } from './energy/budget.ts'
import type { Recipe } from './recipe/recipe.ts'
import { createSession, type SessionOptions } from './session/session.ts'

/** Nothing is under way: before the first pour, or when all is over. */
export function isAtRest(base: Base): boolean {
  const state = base.session.state
  return state === 'planned' || state === 'finished' || state === 'abandoned'
}

/** The next session of this base: its first press pours in. `base.session` is another object afterwards. */
export function planSession(base: Base, recipe: Recipe, options: SessionOptions): void {
  // What stands stands until a person has acknowledged it.
  const alarms = base.session.alarms
  base.session = createSession(recipe, options)
  base.session.alarms = alarms
  base.panel.fresh = true
  budgetSession(base.energy, recipe, base.tank, 0, NaN)
}
