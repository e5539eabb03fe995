/** Where the search looks, what it keeps, and by which rule it chooses. */
import { Command } from 'commander'
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { defaultBase } from '../../../../firmware/defaultBase.ts'
import { checkRecipe } from '../../../../firmware/recipe/check.ts'
import { findRecipe } from '../../../../firmware/recipe/shipped/shipped.ts'
import { addTuneCommand } from '../../../../sim/bench/tune/commands.ts'
import { type Figures, nineteenOfTwenty } from '../../../../sim/bench/tune/figures.ts'
import { frontOf, OBJECTIVES, spreadOver } from '../../../../sim/bench/tune/pareto.ts'
import { chosenOf, SAME_COST } from '../../../../sim/bench/tune/rule.ts'
import { LAST_ROUNDS_PART, search } from '../../../../sim/bench/tune/search.ts'
import { evenPoints, goldenRatioOf } from '../../../../sim/bench/tune/sequence.ts'
import { DIMENSIONS, programmeAt, tuneSpace } from '../../../../sim/bench/tune/space.ts'
import { meetsAll, wishesFor } from '../../../../sim/bench/tune/wishes.ts'
import { figuresWith } from './setups.ts'

const recipe = findRecipe('colour-negative')!
const even = recipe.agitations['even']!
const wishes = wishesFor({}, defaultBase)

test('in one dimension the points are the golden sequence', () => {
  expect(goldenRatioOf(1)).toBeCloseTo(1.6180339887, 9)
})

test('points fill every coordinate evenly, whatever the seed', () => {
  for (const seed of [1, 2, 77]) {
    const pointAt = evenPoints(DIMENSIONS, seed)
    for (let d = 0; d < DIMENSIONS; d++) {
      const counts = new Array<number>(10).fill(0)
      for (let i = 0; i < 500; i++) counts[Math.floor(10 * (pointAt(i)[d] as number))]++
      expect(Math.min(...counts)).toBeGreaterThan(40)
      expect(Math.max(...counts)).toBeLessThan(60)
    }
  }
})

test('every programme of the search is one that the checker takes without a word, within what base and recipe allow', () => {
  const fixed = { ...even, leastRpm: 38, netTurnsAtMost: 8 }
  const spaces = [
    tuneSpace(defaultBase, even, true, { oneWaySeconds: 10 }),
    tuneSpace(defaultBase, fixed, true, { oneWaySeconds: 30, mostRpm: 60 }),
  ]
  const point = fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: DIMENSIONS, maxLength: DIMENSIONS })
  spaces.forEach((space, which) => {
    fc.assert(
      fc.property(point, at => {
        const agitation = programmeAt(space, at)
        const problems = checkRecipe({ ...recipe, agitations: { ...recipe.agitations, even: agitation } })
        // How far an opening turns one way is the net bound's own matter: it ends early there.
        expect(problems.filter(problem => !problem.place.endsWith('opening'))).toEqual([])
        expect(agitation.rpm).toBeGreaterThanOrEqual(which === 0 ? 31 : 38)
        expect(agitation.rpm).toBeLessThanOrEqual(which === 0 ? defaultBase.drive.mostRpm : 60)
        expect(agitation.restSeconds).toBeGreaterThanOrEqual(defaultBase.drive.restSecondsAtLeast)
        expect(agitation.leastRpm).toBe(which === 0 ? even.leastRpm : 38)
        expect(agitation.netTurnsAtMost).toBe(which === 0 ? undefined : 8)
      }),
      { numRuns: 200 },
    )
  })
})

test('a front holds nothing that another beats, and something at least as good as all that it left out', () => {
  const random = fc.array(
    fc.record({
      immersionCv: fc.double({ min: 0.001, max: 0.05, noNaN: true }),
      longestDrySeconds: fc.double({ min: 1, max: 6, noNaN: true }),
      joules: fc.double({ min: 100, max: 300, noNaN: true }),
      reversals: fc.integer({ min: 0, max: 100 }),
    }),
    { minLength: 1, maxLength: 60 },
  )
  fc.assert(
    fc.property(random, list => {
      const all = list.map(one => ({ figures: figuresWith(one) }))
      const front = frontOf(all)
      const boxes = (one: (typeof all)[number]): number[] =>
        OBJECTIVES.map(({ measure, grain }) => Math.floor(one.figures[measure] / grain))
      const nowhereWorse = (a: number[], b: number[]): boolean => a.every((value, i) => value <= b[i]!)
      for (const one of all) expect(front.some(kept => nowhereWorse(boxes(kept), boxes(one)))).toBe(true)
      for (const a of front) for (const b of front) if (a !== b) expect(nowhereWorse(boxes(a), boxes(b))).toBe(false)
    }),
  )
})

test('of a long front the best of each objective and the advised one are shown', () => {
  const all = Array.from({ length: 50 }, (_, i) => ({
    figures: figuresWith({ immersionCv: 0.001 * (50 - i), joules: 100 + 4 * i, reversals: 30 }),
  }))
  const shown = spreadOver(all, 8, [all[17]!])
  expect(shown).toHaveLength(8)
  for (const index of [0, 17, 49]) expect(shown).toContain(all[index])
})

test('the rule takes the most even of the cheapest that keep to the wishes', () => {
  const cheap = { figures: figuresWith({ joules: 180, reversals: 20, immersionCv: 0.0099 }) }
  const nearlyAsCheap = {
    figures: figuresWith({ joules: 180 + 0.9 * SAME_COST * 200, reversals: 20, immersionCv: 0.007 }),
  }
  const dearer = { figures: figuresWith({ joules: 230, reversals: 20, immersionCv: 0.004 }) }
  const uneven = { figures: figuresWith({ joules: 100, reversals: 2, immersionCv: 0.02 }) }
  const all = [uneven, dearer, cheap, nearlyAsCheap]
  expect(chosenOf(all, wishes, 1)).toBe(nearlyAsCheap)
  expect(chosenOf([uneven, dearer, cheap], wishes, 1)).toBe(cheap)
  expect(chosenOf([uneven], wishes, 1)).toBe(uneven)
})

test('reversals count as much as they are said to', () => {
  const fewer = { figures: figuresWith({ joules: 220, reversals: 10 }) }
  const more = { figures: figuresWith({ joules: 200, reversals: 60 }) }
  expect(chosenOf([fewer, more], wishes, 1)).toBe(fewer)
  expect(chosenOf([fewer, more], wishes, 0)).toBe(more)
})

test('a programme that the motor does not follow keeps to no wish', () => {
  expect(meetsAll(wishes, figuresWith({}))).toBe(true)
  expect(meetsAll(wishes, figuresWith({ reachedFraction: 0.9 }))).toBe(false)
  expect(meetsAll(wishes, figuresWith({ failedFraction: 0.1 }))).toBe(false)
  expect(meetsAll(wishes, figuresWith({ peakAmps: defaultBase.limits.motorAmps + 0.1 }))).toBe(false)
})

test('19 evenings in 20 keep to a figure; of few evenings all do', () => {
  expect(nineteenOfTwenty([3, 1, 2])).toBe(3)
  expect(nineteenOfTwenty(Array.from({ length: 40 }, (_, i) => i + 1))).toBe(38)
})

/** How many programmes a search of 100 tries when all of them have these figures. */
async function triedOf(figures: Partial<Figures>): Promise<number> {
  const space = tuneSpace(defaultBase, even, true, { oneWaySeconds: 10 })
  const options = { space, wishes, wearJoules: 1, seed: 1, tries: 100 }
  const { tried } = await search(options, async all => all.map(() => figuresWith(figures)))
  return tried.length
}

test('more is tried than asked for only where no programme keeps to all wishes, and by no more than --help says', async () => {
  expect(await triedOf({})).toBeLessThanOrEqual(100)
  const more = await triedOf({ longestDrySeconds: 4 })
  expect(more).toBeGreaterThan(100)
  expect(more).toBeLessThanOrEqual(100 * (1 + LAST_ROUNDS_PART))
  const top = new Command()
  addTuneCommand(
    top,
    command => command,
    async () => {},
    () => {},
    () => {},
  )
  const help = top.commands[0]!.configureHelp({ helpWidth: 1000 }).helpInformation()
  expect(help).toContain(`up to ${100 * LAST_ROUNDS_PART} % more where no programme keeps to all wishes`)
})
