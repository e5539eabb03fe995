/** The recipes that ship, and the default tank and base. */

import { expect, test } from 'vitest'
import { checkBase } from '../../../firmware/baseFileCheck.ts'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { checkRecipe } from '../../../firmware/recipe/check.ts'
import { findRecipe, SHIPPED_NAMES } from '../../../firmware/recipe/shipped/shipped.ts'
import { defaultTank } from '../../../firmware/tank/defaultTank.ts'
import { checkTank } from '../../../firmware/tank/tankFile.ts'
import { shippedRecipes } from '../../../sim/bench/shippedRecipes.ts'

test('every recipe that ships passes the checker without a warning, also after a trip through JSON', () => {
  expect(shippedRecipes.map(recipe => recipe.name)).toEqual(['colour-negative', 'colour-reversal', 'bw-negative'])
  for (const recipe of shippedRecipes) {
    expect(checkRecipe(recipe)).toEqual([])
    expect(JSON.parse(JSON.stringify(recipe))).toEqual(recipe)
  }
})

test('the default tank and the default base pass their checkers without a warning', () => {
  expect(checkTank(defaultTank)).toEqual([])
  expect(checkBase(defaultBase)).toEqual([])
})

test('recipes are found by name, and only by their own', () => {
  for (const recipe of shippedRecipes) expect(findRecipe(recipe.name)).toEqual(recipe)
  expect(SHIPPED_NAMES).toEqual(shippedRecipes.map(recipe => recipe.name))
  for (const name of ['', 'toString', 'colour', 'COLOUR-NEGATIVE']) expect(findRecipe(name)).toBeUndefined()
})

test('developers turn in staggered two-turn legs with rests of half a second at most', () => {
  for (const recipe of shippedRecipes) {
    for (const bath of recipe.baths.filter(candidate => candidate.kind === 'developed')) {
      const agitation = recipe.agitations[bath.agitation]
      expect(agitation.legTurns).toBe(2)
      expect(agitation.stagger).toBe(true)
      expect(agitation.restSeconds).toBeLessThanOrEqual(0.5)
    }
  }
})

test('the base never gets more than 50 edges a second', () => {
  const { drive, rotation } = defaultBase
  expect((rotation.edgesPerShaftTurn * drive.shaftTurnsPerTankTurn * drive.mostRpm) / 60).toBeLessThanOrEqual(50)
})
