/**
 * How the shipped recipes turn the tank. Made anew for each recipe, so that no two share an object.
 */
import type { Agitation } from '../recipe.ts'

/**
 * Staggered two-turn legs at 45 rpm with short rests: what keeps the variation of immersion round the film within 1 %
 * in baths of three minutes or more. The opening spell wets every turn of the reel at once. Saving charge may slow it
 * to 30 rpm, the speed above which MACO/ROLLEI ask drums to turn (RETRO 400S, 2021, page 2). Other figures: assumed.
 */
export function evenAgitation(): Agitation {
  return {
    rpm: 45,
    legTurns: 2,
    restSeconds: 0.2,
    rampSeconds: 0.5,
    stagger: true,
    opening: { rpm: 60, seconds: 15 },
    leastRpm: 30,
  }
}

/** Slower and without an opening spell, for baths with a wetting agent that foams when it is beaten. Assumed. */
export function gentleAgitation(): Agitation {
  return { rpm: 30, legTurns: 2, restSeconds: 0.2, rampSeconds: 0.5, stagger: true, leastRpm: 20 }
}
