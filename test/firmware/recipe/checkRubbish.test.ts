/** Rubbish and mutated files at the three checkers: they never throw, and always say what is wrong in plain ASCII. */

import fc from 'fast-check'
import { expect, test } from 'vitest'
import { checkBase } from '../../../firmware/baseFileCheck.ts'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { accepted, checkRecipe, type Problem } from '../../../firmware/recipe/check.ts'
import { makeRate, secondsAt } from '../../../firmware/recipe/rate.ts'
import type { Recipe } from '../../../firmware/recipe/recipe.ts'
import { defaultTank } from '../../../firmware/tank/defaultTank.ts'
import { checkTank } from '../../../firmware/tank/tankFile.ts'
import { shippedRecipes } from '../../../sim/bench/shippedRecipes.ts'
import { mutated } from './mutate.ts'

const checkers: [name: string, check: (value: unknown) => Problem[]][] = [
  ['recipe', checkRecipe],
  ['tank', checkTank],
  ['base', checkBase],
]

function expectPlain(problems: Problem[]): void {
  expect(problems.length).toBeLessThanOrEqual(101)
  for (const problem of problems) {
    expect(`${problem.place}${problem.found}${problem.allowed}${problem.hint}`).toMatch(/^[ -~]+$/)
    expect(problem.found).not.toBe('')
    expect(problem.allowed).not.toBe('')
  }
}

test('no value whatever makes a checker throw', () => {
  const anything = fc.anything({ withBigInt: true, withNullPrototype: true, withMap: true, withSparseArray: true })
  for (const [, check] of checkers) {
    fc.assert(
      fc.property(anything, value => {
        const problems = check(value)
        expect(accepted(problems)).toBe(false)
        expectPlain(problems)
      }),
      { numRuns: 300 },
    )
  }
})

test('an object that cannot become a number, where a pair of rising numbers is asked, is refused like any other', () => {
  const odd = JSON.parse('[[{"toString":1,"valueOf":1},5],[5,{"toString":1,"valueOf":1}]]') as [unknown, unknown]
  for (const pair of odd) {
    for (const [name, check] of checkers) {
      const file = name === 'base' ? defaultBase : name === 'tank' ? defaultTank : shippedRecipes[0]
      let pairs = 0
      const spoilt = JSON.parse(JSON.stringify(file), (_, value) => {
        if (!Array.isArray(value) || value.length !== 2 || !value.every(one => typeof one === 'number')) return value
        pairs++
        return pair
      })
      const problems = check(spoilt)
      expect(accepted(problems)).toBe(pairs === 0)
      expectPlain(problems)
    }
  }
})

test('a value nested a hundred thousand deep is refused like any other', () => {
  let deep: unknown = []
  for (let i = 0; i < 100_000; i++) deep = [deep]
  for (const [, check] of checkers) {
    expect(accepted(check(deep))).toBe(false)
    expectPlain(check({ baths: deep, agitations: { a: deep }, name: deep, probe: deep, reels: deep }))
  }
})

test('a mutated recipe is refused or can be used: an accepted one gives finite rates', () => {
  fc.assert(
    fc.property(
      fc.constantFrom(...shippedRecipes),
      fc.array(fc.nat(), { minLength: 40, maxLength: 40 }),
      (recipe, choices) => {
        const value = mutated(recipe, choices)
        const problems = checkRecipe(value)
        expectPlain(problems)
        if (!accepted(problems)) return
        for (const bath of (value as Recipe).baths) {
          const seconds = secondsAt(makeRate(bath, 3), 30)
          expect(seconds).toBeGreaterThan(0)
          expect(Number.isFinite(seconds)).toBe(true)
        }
      },
    ),
    { numRuns: 500 },
  )
})

test('mutated tanks and bases never make their checkers throw', () => {
  fc.assert(
    fc.property(fc.array(fc.nat(), { minLength: 40, maxLength: 40 }), choices => {
      expectPlain(checkTank(mutated(defaultTank, choices)))
      expectPlain(checkBase(mutated(defaultBase, choices)))
    }),
    { numRuns: 300 },
  )
})
