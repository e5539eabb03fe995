/** What a bench command takes for whatever its user did not say: what the plan advises. */

import { defaultBase } from '../../firmware/defaultBase.ts'
import { findRecipe } from '../../firmware/recipe/shipped/shipped.ts'
import { defaultTank } from '../../firmware/tank/defaultTank.ts'
import { planSession } from './plan.ts'
import type { RunOptions } from './run.ts'

export const DEFAULT_RECIPE = 'colour-negative'
export const DEFAULT_ROOM_CELSIUS = 20
/** Charged the evening before. */
const DEFAULT_CHARGE = 0.95

/** A run by the plan: its advised volume, its aimed temperatures, every reel loaded. */
export function runByPlan(said: Partial<RunOptions>): RunOptions {
  const recipe = said.recipe ?? findRecipe(DEFAULT_RECIPE)!
  const tank = said.tank ?? defaultTank
  const base = said.base ?? defaultBase
  const roomCelsius = said.roomCelsius ?? DEFAULT_ROOM_CELSIUS
  const filmsInTank = said.filmsInTank ?? tank.reels
  const filmsThrough = said.filmsThrough ?? 0
  const plan = planSession(recipe, tank, base, { films: filmsInTank, filmsThrough, roomCelsius })
  return {
    seed: 1,
    startCharge: DEFAULT_CHARGE,
    millilitres: recipe.baths.map(() => plan.advisedMillilitres),
    pourCelsius: plan.baths.map(bath => bath.aimPourCelsius),
    ...said,
    recipe,
    tank,
    base,
    roomCelsius,
    filmsInTank,
    filmsThrough,
  }
}
