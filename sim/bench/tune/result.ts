/** A tuning's outcome: the document of `--json`, and what terminal and page are made from. */
import type { Agitation } from '../../../firmware/recipe/recipe.ts'
import { liquidLevelMillimetres } from '../../../firmware/tank/geometry.ts'
import { explainUnmet, weaknessOf } from './explain.ts'
import type { Figures } from './figures.ts'
import { type Fragment, fragmentFor, type Place, placeFor } from './fragment.ts'
import { frontOf, OBJECTIVES, spreadOver } from './pareto.ts'
import type { Question } from './question.ts'
import { chosenOf, costOf } from './rule.ts'
import { type Candidate, type Evaluate, nearWishes, type SearchOptions, search } from './search.ts'
import { meetsAll, type Wish } from './wishes.ts'

/** A programme's recipe fields and its figures, flat. */
export type Programme = Agitation & Figures & { meetsWishes: boolean }

export interface TuneReport {
  recipe: string
  bath: string
  seed: number
  /** From first contact to the end of the drain, and the part of it in which the tank turns. */
  seconds: number
  turningSeconds: number
  millilitres: number
  /** Of the surface above the axis, negative below. */
  levelMillimetres: number
  /** Programmes that were simulated. */
  tried: number
  objectives: string[]
  wishes: { option: string; measure: string; limit: number; atLeast: boolean }[]
  wearJoules: number
  /** Whether the advised programme keeps every wish; where not, why not. */
  meetsWishes: boolean
  unmet: string[]
  /** What else one should know: a motor that does not follow. */
  remarks: string[]
  advised: Programme
  /** The same speed, turns, rest, ramp and opening without stagger. */
  equalLegs: Programme
  /** The bath's own programme as the recipe has it. */
  asItStands: Programme
  front: Programme[]
  /** What the recipe gets, exactly as `--write` writes it; and where that is. */
  fragment: Fragment
  place: Place
}

/** So many programmes of a front are kept: more nobody looks through. */
const FRONT_AT_MOST = 60

export interface TuneOutcome {
  report: TuneReport
  /** The programme advised. */
  agitation: Agitation
  /** All that were tried, by the figures of the search: for the scatter. */
  tried: Candidate[]
}

/** Searches, proves and chooses. */
export async function tune(
  question: Question,
  options: Pick<SearchOptions, 'wearJoules' | 'tries'>,
  evaluate: Evaluate,
): Promise<TuneOutcome> {
  const { setup, space, wishes, bath } = question
  const { wearJoules, tries } = options
  const { tried, proved } = await search({ space, wishes, wearJoules, tries, seed: setup.seed }, evaluate)
  const advised = chosenOf(proved, wishes, wearJoules)
  const equal: Agitation = { ...advised.agitation, stagger: false }
  const [equalFigures, ownFigures] = (await evaluate([equal, question.agitation], 'proof')) as [Figures, Figures]
  const front = spreadOver(frontOf(nearWishes(proved, wishes)), FRONT_AT_MOST, [advised])
  // One that nobody could tell from it may stand for it; then both are shown.
  if (!front.includes(advised)) front.push(advised)
  const programme = (agitation: Agitation, figures: Figures): Programme => ({
    ...agitation,
    ...figures,
    meetsWishes: meetsAll(wishes, figures),
  })
  const byCost = [...front].sort((a, b) => costOf(a.figures, wearJoules) - costOf(b.figures, wearJoules))
  const weak = weaknessOf(tried)
  const place = placeFor(question.recipe, bath.name)
  const report: TuneReport = {
    recipe: question.recipe.name,
    bath: bath.name,
    seed: setup.seed,
    seconds: question.seconds,
    turningSeconds: setup.turningSeconds,
    millilitres: setup.millilitres,
    levelMillimetres: Math.round(10 * liquidLevelMillimetres(setup.tank, setup.millilitres)) / 10,
    tried: tried.length,
    objectives: OBJECTIVES.map(one => one.measure),
    wishes: wishes.map(({ option, measure, limit, atLeast }: Wish) => ({ option, measure, limit, atLeast })),
    wearJoules,
    meetsWishes: meetsAll(wishes, advised.figures),
    unmet: explainUnmet(tried, wishes, advised),
    remarks: meetsAll(wishes, advised.figures) && weak !== '' ? [weak] : [],
    advised: programme(advised.agitation, advised.figures),
    equalLegs: programme(equal, equalFigures),
    asItStands: programme(question.agitation, ownFigures),
    front: byCost.map(one => programme(one.agitation, one.figures)),
    fragment: fragmentFor(place, bath.name, advised.agitation),
    place,
  }
  return { report, agitation: advised.agitation, tried }
}
