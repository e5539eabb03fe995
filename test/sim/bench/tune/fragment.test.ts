/** What is printed to be pasted is what would be written, and turns no other bath differently. */
import { expect, test } from 'vitest'
import type { Agitation, Recipe } from '../../../../firmware/recipe/recipe.ts'
import { findRecipe, SHIPPED_NAMES } from '../../../../firmware/recipe/shipped/shipped.ts'
import { fragmentFor, pastings, placeFor } from '../../../../sim/bench/tune/fragment.ts'
import { withProgramme } from '../../../../sim/bench/tune/writeRecipe.ts'

const tuned: Agitation = { rpm: 33, legTurns: 4.3, restSeconds: 0.2, rampSeconds: 0.3, stagger: true, leastRpm: 30 }

/** As a careful person pastes it. */
function pasted(recipe: Recipe, bathName: string): Recipe {
  const { agitations, baths } = fragmentFor(placeFor(recipe, bathName), bathName, tuned)
  return {
    ...recipe,
    agitations: { ...recipe.agitations, ...agitations },
    baths: recipe.baths.map(bath => ({ ...bath, ...baths?.find(one => one.name === bath.name) })),
  }
}

/** By what a bath turns. */
function turning(recipe: Recipe, bathName: string): Agitation {
  return recipe.agitations[recipe.baths.find(bath => bath.name === bathName)!.agitation]!
}

test('for every bath of every shipped recipe the lines to paste do what --write does, to that bath alone', () => {
  for (const name of SHIPPED_NAMES) {
    const recipe = findRecipe(name)!
    for (const { name: bathName } of recipe.baths) {
      const after = pasted(recipe, bathName)
      expect(after).toEqual(JSON.parse(withProgramme(JSON.stringify(recipe), bathName, tuned).text))
      expect(turning(after, bathName)).toEqual(tuned)
      for (const other of recipe.baths.filter(bath => bath.name !== bathName)) {
        expect(turning(after, other.name)).toEqual(turning(recipe, other.name))
      }
    }
  }
})

test('the words tell a shared programme from one of the bath alone, and say that the other baths keep theirs', () => {
  const recipe = findRecipe('colour-negative')!
  const place = placeFor(recipe, 'developer')
  const shared = pastings(place, 'developer', tuned)
  expect(shared.steps.map(({ name, value }) => [name, value])).toEqual([
    ['developer', tuned],
    ['agitation', 'developer'],
  ])
  expect(shared.steps[1]!.where).toContain('In the bath "developer", in place of "agitation": "even"')
  expect(shared.others).toContain('The other baths keep theirs:')
  for (const other of place.others) expect(shared.others).toContain(other)

  const own = pastings(placeFor(pasted(recipe, 'developer'), 'developer'), 'developer', tuned)
  expect(own.steps.map(({ name }) => name)).toEqual(['developer'])
  expect(own.steps[0]!.where).toContain('in place of what is called "developer"')
  expect(own.others).toContain('the other baths keep theirs')
})

test('a name that an agitation has already is not taken again', () => {
  const recipe = findRecipe('colour-negative')!
  const taken = { ...recipe, agitations: { ...recipe.agitations, developer: tuned } }
  expect(placeFor(taken, 'developer')).toMatchObject({ key: 'developer 2', isAdded: true })
})
