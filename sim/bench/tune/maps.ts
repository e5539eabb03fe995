/** How long each place round the film lay in the liquid: one evening of a programme, turn by turn of the film. */
import type { Agitation } from '../../../firmware/recipe/recipe.ts'
import { createEvenness } from '../../plant/evenness.ts'
import { immersedShares } from '../../plant/immersion.ts'
import { turnEvening } from './evening.ts'
import type { TuneSetup } from './setup.ts'
import { PROOF_EVENINGS, SEARCH_EVENINGS } from './work.ts'

/** Inner, middle and outer turn: 360 shares of the time, 0 to 1, each. */
export type FilmMap = ArrayLike<number>[]

export interface MappedEvening {
  shares: FilmMap
  immersionCv: number
}

/** The middle one of the evenings of the proof: a bath as long as planned. */
export function mapProgramme(setup: TuneSetup, agitation: Agitation): MappedEvening {
  const evenness = createEvenness()
  const middle = Math.floor(PROOF_EVENINGS / 2)
  const { immersionCv } = turnEvening(setup, agitation, middle, PROOF_EVENINGS, SEARCH_EVENINGS, evenness)
  const shares = Array.from(evenness.halfTurns, half => immersedShares(evenness.seconds, evenness.sweptSeconds, half))
  return { shares, immersionCv }
}
