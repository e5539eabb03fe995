/**
 * Which programmes are tried: a box of speeds, legs, rests, ramps, stagger and openings, each point of the unit cube one
 * programme that recipe checker and base accept.
 *
 * Speeds begin where the recipe and the base allow it; for a bath that develops also above 30 rpm, the one published
 * lower limit for turning with changing direction (MACO/ROLLEI RETRO 80S and 400S data sheets, 2021, page 2). Figures are
 * rounded to what one would write into a recipe. The search ends at rests of 5 s: longer ones leave their own share of
 * unevenness, and a programme begins with its rest.
 */
import type { BaseFile } from '../../../firmware/baseFile.ts'
import type { Agitation } from '../../../firmware/recipe/recipe.ts'

/** "Speed of rotation greater than", with the direction changing: see above. */
export const PUBLISHED_RPM = 30
/** The checker's ranges (`recipeFields.ts`); the ends are from what has a use in a bath of minutes: assumed. */
const LEAST_RECIPE_RPM = 5
const MOST_RECIPE_RPM = 120
const LEAST_LEG_TURNS = 0.6
const MOST_LEG_TURNS = 50
const MOST_REST_SECONDS = 5
const LEAST_RAMP_SECONDS = 0.2
const MOST_RAMP_SECONDS = 3
const LEAST_OPENING_SECONDS = 3
/** As long as the shipped programmes' own. */
const MOST_OPENING_SECONDS = 15
/** Of the programmes so many do without stagger, and without an opening: to be seen beside the others. Assumed. */
const WITHOUT_STAGGER = 0.1
const WITHOUT_OPENING = 0.3

export const DIMENSIONS = 7

export interface TuneSpace {
  rpm: [number, number]
  legTurns: [number, number]
  restSeconds: [number, number]
  rampSeconds: [number, number]
  /** What the recipe fixes and no search changes. */
  leastRpm: number | undefined
  netTurnsAtMost: number | undefined
}

export interface SpaceWishes {
  leastRpm?: number
  mostRpm?: number
  oneWaySeconds: number
}

/** Where the search begins and ends. `mostRpm` below `leastRpm` leaves an empty box: see `question.ts`. */
export function tuneSpace(base: BaseFile, agitation: Agitation, develops: boolean, wishes: SpaceWishes): TuneSpace {
  const { drive } = base
  const published = develops ? PUBLISHED_RPM + 1 : LEAST_RECIPE_RPM
  const asked = wishes.leastRpm ?? published
  const leastRpm = Math.ceil(Math.max(asked, drive.leastRpm, agitation.leastRpm ?? 0, LEAST_RECIPE_RPM))
  const mostRpm = Math.floor(Math.min(wishes.mostRpm ?? Infinity, drive.mostRpm, MOST_RECIPE_RPM))
  const { netTurnsAtMost } = agitation
  const longest = Math.min(MOST_LEG_TURNS, netTurnsAtMost ?? Infinity, (mostRpm / 60) * wishes.oneWaySeconds)
  return {
    rpm: [leastRpm, mostRpm],
    legTurns: [LEAST_LEG_TURNS, Math.max(LEAST_LEG_TURNS, longest)],
    restSeconds: [drive.restSecondsAtLeast, Math.max(drive.restSecondsAtLeast, MOST_REST_SECONDS)],
    rampSeconds: [LEAST_RAMP_SECONDS, MOST_RAMP_SECONDS],
    leastRpm: agitation.leastRpm,
    netTurnsAtMost,
  }
}

function along([low, high]: [number, number], part: number): number {
  return low + (high - low) * part
}

/** Equal steps of the ratio: half of the legs are shorter than the geometric middle. */
function alongRatio([low, high]: [number, number], part: number): number {
  // Rests may begin at 0, which has no logarithm: a tenth of a second is added and taken off again.
  return (low + 0.1) * ((high + 0.1) / (low + 0.1)) ** part - 0.1
}

function tenth(value: number): number {
  return Math.round(value * 10) / 10
}

/** The programme at a point of the unit cube. */
export function programmeAt(space: TuneSpace, point: number[]): Agitation {
  const [a, b, c, d, e, f, g] = point as [number, number, number, number, number, number, number]
  const rpm = Math.round(along(space.rpm, a))
  const legTurns = Math.max(LEAST_LEG_TURNS, tenth(alongRatio(space.legTurns, b)))
  // A leg that is all ramp never reaches its speed; the checker warns of it.
  const longestRamp = Math.floor((legTurns * 600) / rpm) / 10
  const agitation: Agitation = {
    rpm,
    legTurns,
    restSeconds: Math.max(space.restSeconds[0], tenth(alongRatio(space.restSeconds, c))),
    rampSeconds: Math.max(0.1, Math.min(tenth(alongRatio(space.rampSeconds, d)), longestRamp)),
    stagger: e >= WITHOUT_STAGGER,
  }
  if (f >= WITHOUT_OPENING) {
    const seconds = Math.round(
      along([LEAST_OPENING_SECONDS, MOST_OPENING_SECONDS], (f - WITHOUT_OPENING) / (1 - WITHOUT_OPENING)),
    )
    agitation.opening = { rpm: Math.round(along([rpm, space.rpm[1]], g)), seconds }
  }
  if (space.leastRpm !== undefined) agitation.leastRpm = space.leastRpm
  if (space.netTurnsAtMost !== undefined) agitation.netTurnsAtMost = space.netTurnsAtMost
  return agitation
}
