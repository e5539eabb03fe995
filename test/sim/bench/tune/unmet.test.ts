/** What is said when a wish cannot be met, and what is refused before anything is simulated. */
import { expect, test } from 'vitest'
import { defaultBase } from '../../../../firmware/defaultBase.ts'
import { findRecipe } from '../../../../firmware/recipe/shipped/shipped.ts'
import { defaultTank } from '../../../../firmware/tank/defaultTank.ts'
import { InputError } from '../../../../sim/bench/inputError.ts'
import { explainUnmet, unmetBy, weaknessOf } from '../../../../sim/bench/tune/explain.ts'
import type { Figures } from '../../../../sim/bench/tune/figures.ts'
import { type QuestionOptions, questionFrom } from '../../../../sim/bench/tune/question.ts'
import type { Candidate } from '../../../../sim/bench/tune/search.ts'
import { wishesFor } from '../../../../sim/bench/tune/wishes.ts'
import { figuresWith, oneWay } from './setups.ts'

const loadout = { recipe: findRecipe('colour-negative')!, tank: defaultTank, base: defaultBase }
const usual: QuestionOptions = { recipe: 'colour-negative', seed: 1, room: 20, films: 0 }

function tried(...figures: Partial<Figures>[]): Candidate[] {
  return figures.map(one => ({ point: [], agitation: oneWay(45), figures: figuresWith(one) }))
}

function refusal(options: Partial<QuestionOptions>): string {
  try {
    questionFrom({ ...usual, ...options }, loadout, () => {})
  } catch (thrown) {
    if (thrown instanceof InputError) return thrown.problems.join('\n')
    throw thrown
  }
  return ''
}

test('nothing is said where a programme keeps to every wish', () => {
  const all = tried({})
  expect(explainUnmet(all, wishesFor({}, defaultBase), all[0]!)).toEqual([])
})

test('a wish that no programme meets is named with the nearest that was found', () => {
  const all = tried({ longestDrySeconds: 2 }, { longestDrySeconds: 1.6 })
  const said = explainUnmet(all, wishesFor({ dry: 1 }, defaultBase), all[1]!)
  expect(said[0]).toContain('--dry (longest dry spell at most 1.0 s) is met by no programme; the nearest has 1.6 s')
  expect(said.at(-1)).toContain('The nearest of 2 programmes tried: 45 rpm')
})

test('two wishes that exclude each other are named, each with what keeping the other leaves', () => {
  const all = tried(
    { longestDrySeconds: 1, foamMillimetresPerSecond: 250 },
    { longestDrySeconds: 4, foamMillimetresPerSecond: 90 },
  )
  const wishes = wishesFor({ dry: 1.5, foam: 100 }, defaultBase)
  const { alone, conflicts } = unmetBy(all, wishes)
  expect(alone).toEqual([])
  expect(conflicts.map(one => one.wishes.map(wish => wish.option))).toEqual([['--dry', '--foam']])
  const said = explainUnmet(all, wishes, all[0]!).join('\n')
  expect(said).toContain('longest dry spell comes to 4.0 s')
  expect(said).toContain('surface speed comes to 250 mm/s')
})

test('wishes that only all together exclude each other are said as they are', () => {
  const all = tried(
    { longestDrySeconds: 1, joules: 100, reversals: 90 },
    { longestDrySeconds: 1, joules: 250, reversals: 10 },
    { longestDrySeconds: 2.9, joules: 100, reversals: 10 },
  )
  const said = explainUnmet(all, wishesFor({ dry: 1.5, joules: 150, reversals: 20 }, defaultBase), all[2]!)
  expect(said[0]).toContain('All wishes together')
  expect(said[0]).toContain('longest dry spell')
})

test('a motor that is too weak is said, with the speed that it got to', () => {
  const all = tried({ reachedFraction: 0.5 }, { reachedFraction: 0.6 }, { failedFraction: 1, reachedFraction: 0.2 })
  expect(weaknessOf(all)).toContain('too weak for 3 of 3 programmes: 2 never got to their speed, in 1 it stalled')
  expect(weaknessOf(all)).toContain('27 rpm')
  expect(weaknessOf(tried({}, {}))).toBe('')
})

test('a volume whose surface stays below the innermost turn is refused, with how much would do', () => {
  expect(refusal({ volume: 90 })).toMatch(/90 mL stay 10\.3 mm below the innermost turn .* at least 212 mL/)
  expect(refusal({ volume: 2000 })).toContain('what the tank holds lying')
  expect(refusal({ volume: 250 })).toBe('')
})

test('speeds between which there is none are refused, with what stands on either side', () => {
  const said = refusal({ mostRpm: 20 })
  expect(said).toContain('at least 31 rpm')
  expect(said).toContain("the recipe's leastRpm is 30 rpm")
  expect(said).toContain('--most-rpm is 20')
})

test('a bath that is not there, and one over before the tank turns, are refused', () => {
  expect(refusal({ bath: 'developper' })).toContain('did you mean developer?')
  expect(refusal({ seconds: 19 })).toContain('at least 23 s')
})

test('without being asked it takes the first bath that develops, as long and as full as the plan says', () => {
  const question = questionFrom(usual, loadout, () => {})
  expect(question.bath.name).toBe('developer')
  expect(question.setup.millilitres).toBe(280)
  expect(question.setup.turningSeconds).toBeCloseTo(question.seconds - 18, 6)
})
