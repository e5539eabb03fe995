/**
 * The search: points spread evenly over all programmes, then rounds of small steps from the best ones found so far, then
 * a proof of what is left on evenings that the search has not seen.
 *
 * What is tried depends on the seed and on figures alone, never on how many workers there are or which is quicker.
 */
import type { Agitation } from '../../../firmware/recipe/recipe.ts'
import { createRandom, gaussian, type Random, uniform } from '../../plant/random.ts'
import type { Figures } from './figures.ts'
import { frontOf, spreadOver } from './pareto.ts'
import { sortedByRule } from './rule.ts'
import { evenPoints } from './sequence.ts'
import { DIMENSIONS, programmeAt, type TuneSpace } from './space.ts'
import { isDriven, meetsAll, type Wish } from './wishes.ts'

export interface Candidate {
  point: number[]
  agitation: Agitation
  figures: Figures
}

/** Figures of programmes, in their order: over the evenings of the search, or those of the proof. */
export type Evaluate = (agitations: Agitation[], stage: 'search' | 'proof') => Promise<Figures[]>

export interface SearchOptions {
  space: TuneSpace
  wishes: Wish[]
  wearJoules: number
  seed: number
  tries: number
}

export interface SearchResult {
  /** All that were tried, with the figures of the search. */
  tried: Candidate[]
  /** What was left, with the figures of the proof: those worth looking at, the best by the rule among them. */
  proved: Candidate[]
}

const STREAM = 42
/** So much of the tries is spread evenly; the rest goes into rounds of refinement. Assumed. */
const SPREAD_PART = 0.5
/** Steps of a round, as fractions of each range: one sigma. Assumed. */
const ROUND_SIGMAS = [0.12, 0.08, 0.05, 0.03, 0.02, 0.015]
/** When nothing keeps to the wishes after that, so much is tried again, round the nearest alone, before it is said. Assumed. */
const LAST_ROUND_SIGMAS = [0.06, 0.03, 0.02, 0.01]
export const LAST_ROUNDS_PART = 0.4
/** How many of the best by the rule, and of the front, a round starts from. Assumed. */
const PARENTS_BY_RULE = 12
const PARENTS_OF_FRONT = 40
/** Cheap programmes that miss the wishes by up to this factor are stepped from as well: a small step may mend them. Assumed. */
const NEARLY = 1.25
/** A step changes about this part of the figures of a programme. Assumed. */
const CHANGED_PART = 0.5
/** A step that leads to a programme already tried is drawn anew so many times. */
const DRAWS_AT_MOST = 8
/** How many of each go into the proof, and never more than this part of what was tried. */
const PROVED_OF_FRONT = 30
const PROVED_KEEPING = 30
const PROVED_BY_RULE = 30
/** The search flatters what it chooses: so many more are proved that meet the wishes with some room. Assumed. */
const PROVED_WITH_ROOM = 30
const ROOM = 0.9
const PROVED_PART = 0.1
/** A front is only looked at where it comes near the wishes for evenness and dry spell: within this many times them. Assumed. */
export const FRONT_REACH = 3

/** Runs it all. */
export async function search(options: SearchOptions, evaluate: Evaluate): Promise<SearchResult> {
  const { space, wishes, wearJoules, tries } = options
  const random = createRandom(options.seed, STREAM)
  const tried: Candidate[] = []
  const seen = new Set<string>()
  const tryPoints = async (points: number[][]): Promise<void> => {
    const agitations = points.map(point => programmeAt(space, point))
    const figures = await evaluate(agitations, 'search')
    points.forEach((point, i) => {
      tried.push({ point, agitation: agitations[i] as Agitation, figures: figures[i] as Figures })
    })
  }
  const isNew = (point: number[]): boolean => {
    const key = JSON.stringify(programmeAt(space, point))
    if (seen.has(key)) return false
    seen.add(key)
    return true
  }
  const pointAt = evenPoints(DIMENSIONS, options.seed)
  const spread: number[][] = []
  const wanted = Math.max(1, Math.round(tries * SPREAD_PART))
  // A narrow box has fewer programmes than points; what repeats is passed over, and the search ends sooner.
  for (let i = 0; i < 3 * wanted && spread.length < wanted; i++) {
    const point = pointAt(i)
    if (isNew(point)) spread.push(point)
  }
  await tryPoints(spread)
  const refine = async (parents: Candidate[], sigma: number, many: number): Promise<void> => {
    const children: number[][] = []
    for (let i = 0; i < many && parents.length > 0; i++) {
      const parent = parents[i % parents.length] as Candidate
      const child = newChild(random, parent.point, sigma, isNew)
      if (child !== undefined) children.push(child)
    }
    await tryPoints(children)
  }
  const rounds = sharesOf(tries - wanted, ROUND_SIGMAS.length)
  for (let i = 0; i < rounds.length; i++) {
    await refine(parentsOf(tried, wishes, wearJoules), ROUND_SIGMAS[i] as number, rounds[i] as number)
  }
  const lastRounds = sharesOf(Math.round(tries * LAST_ROUNDS_PART), LAST_ROUND_SIGMAS.length)
  for (let i = 0; i < lastRounds.length && !tried.some(one => meetsAll(wishes, one.figures)); i++) {
    const nearest = sortedByRule(tried, wishes, wearJoules).slice(0, PARENTS_BY_RULE)
    await refine(nearest, LAST_ROUND_SIGMAS[i] as number, lastRounds[i] as number)
  }
  const finalists = finalistsOf(tried, wishes, wearJoules)
  const proofs = await evaluate(
    finalists.map(one => one.agitation),
    'proof',
  )
  return { tried, proved: finalists.map((one, i) => ({ ...one, figures: proofs[i] as Figures })) }
}

/** So many whole parts of `all`, as equal as they can be. */
function sharesOf(all: number, parts: number): number[] {
  return Array.from({ length: parts }, (_, i) => Math.floor((all * (i + 1)) / parts) - Math.floor((all * i) / parts))
}

/** Those of a front that come near the wishes. */
export function nearWishes<T extends { figures: Figures }>(all: T[], wishes: Wish[]): T[] {
  const limits = wishes.filter(wish => wish.measure === 'immersionCv' || wish.measure === 'longestDrySeconds')
  return all.filter(
    one => isDriven(one.figures) && limits.every(wish => one.figures[wish.measure] <= FRONT_REACH * wish.limit),
  )
}

function parentsOf(tried: Candidate[], wishes: Wish[], wearJoules: number): Candidate[] {
  const nearly = scaled(wishes, NEARLY)
  const groups = [
    sortedByRule(tried, wishes, wearJoules).slice(0, PARENTS_BY_RULE),
    sortedByRule(tried, nearly, wearJoules).slice(0, PARENTS_BY_RULE),
    spreadOver(frontOf(nearWishes(tried, wishes)), PARENTS_OF_FRONT),
  ].filter(group => group.length > 0)
  // One of each in turn, so that all groups get the same number of steps.
  const parents: Candidate[] = []
  for (let i = 0; i < PARENTS_OF_FRONT; i++) {
    for (const group of groups) parents.push(group[i % group.length] as Candidate)
  }
  return parents
}

/** Wishes that leave so many times as much, or as little, room. */
function scaled(wishes: Wish[], factor: number): Wish[] {
  return wishes.map(wish => ({ ...wish, limit: wish.atLeast ? wish.limit / factor : wish.limit * factor }))
}

function newChild(
  random: Random,
  parent: number[],
  sigma: number,
  isNew: (point: number[]) => boolean,
): number[] | undefined {
  for (let draw = 0; draw < DRAWS_AT_MOST; draw++) {
    const child = parent.map(value =>
      uniform(random) < CHANGED_PART ? folded(value + sigma * gaussian(random)) : value,
    )
    if (isNew(child)) return child
  }
  return undefined
}

/** Back into the cube, as from a wall. */
function folded(value: number): number {
  const within = value < 0 ? -value : value > 1 ? 2 - value : value
  return Math.min(1, Math.max(0, within))
}

function finalistsOf(tried: Candidate[], wishes: Wish[], wearJoules: number): Candidate[] {
  const part = Math.ceil(PROVED_PART * tried.length)
  const chosen = new Set<Candidate>([
    ...sortedByRule(tried, wishes, wearJoules).slice(0, Math.min(PROVED_BY_RULE, part)),
    ...sortedByRule(tried, scaled(wishes, ROOM), wearJoules).slice(0, Math.min(PROVED_WITH_ROOM, part)),
    ...spreadOver(frontOf(tried.filter(one => meetsAll(wishes, one.figures))), Math.min(PROVED_KEEPING, part)),
    ...spreadOver(frontOf(nearWishes(tried, wishes)), Math.min(PROVED_OF_FRONT, part)),
  ])
  return tried.filter(one => chosen.has(one))
}
