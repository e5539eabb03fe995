/** Rotary speed with changing direction, against the one published figure: MACO/ROLLEI RETRO data sheets, 2021, page 2. */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { defaultBase } from '../../firmware/defaultBase.ts'
import { findRecipe, SHIPPED_NAMES } from '../../firmware/recipe/shipped/shipped.ts'
import { programmeAt, tuneSpace } from '../../sim/bench/tune/space.ts'

const [entry] = JSON.parse(readFileSync(new URL('./figures/rotation.json', import.meta.url), 'utf8')) as {
  rows: { fact: string; rpm?: number }[]
}[]
const publishedRpm = entry!.rows[0]!.rpm as number

test('programmes that tune tries for a developing bath turn faster than the published lower limit', () => {
  for (const name of SHIPPED_NAMES) {
    const recipe = findRecipe(name)!
    for (const bath of recipe.baths.filter(one => one.kind === 'developed')) {
      const space = tuneSpace(defaultBase, recipe.agitations[bath.agitation]!, true, { oneWaySeconds: 10 })
      const slowest = programmeAt(space, [0, 0, 0, 0, 1, 1, 0])
      expect(slowest.rpm).toBeGreaterThan(publishedRpm)
      expect(slowest.opening!.rpm).toBeGreaterThan(publishedRpm)
    }
  }
})

test('the shipped programmes of developing baths turn faster than the published lower limit, and not slower than it when saving charge', () => {
  for (const name of SHIPPED_NAMES) {
    const recipe = findRecipe(name)!
    for (const bath of recipe.baths.filter(one => one.kind === 'developed')) {
      const { rpm, leastRpm } = recipe.agitations[bath.agitation]!
      expect(rpm).toBeGreaterThan(publishedRpm)
      expect(leastRpm ?? rpm).toBeGreaterThanOrEqual(publishedRpm)
    }
  }
})
