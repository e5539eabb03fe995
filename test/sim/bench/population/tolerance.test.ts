/** What an error is worth: reckoned by hand from the published figures. */
import { expect, test } from 'vitest'
import type { Recipe } from '../../../../firmware/recipe/recipe.ts'
import { findRecipe } from '../../../../firmware/recipe/shipped/shipped.ts'
import { contrastForDevelopment, contrastPerKelvin } from '../../../../sim/bench/population/published.ts'
import { developersSlope, toleranceOf, toleranceWords } from '../../../../sim/bench/population/tolerance.ts'

const slopeOf = (name: string) => developersSlope(findRecipe(name) as Recipe)!

test('two films of one sheet that differ by a tenth of a degree differ by what the sheet says', () => {
  // 480 s at 30 C and 195 s at 37.8 C: Arrhenius between them, its slope at 37.8 C.
  const kelvin = Math.log(480 / 195) / (1 / 303.15 - 1 / 310.95)
  const slope = slopeOf('colour-negative')
  expect(slope).toMatchObject({ bath: 'developer', atCelsius: 37.8 })
  expect(slope.percentPerCelsius).toBeCloseTo((100 * kelvin) / 310.95 ** 2, 6)
  expect(toleranceOf(slope, slope.percentPerCelsius / 10)).toBeCloseTo(0.1, 9)
})

test('contrast for a degree and for a percent of time are those of the printed tables', () => {
  // FP4 Plus 0.58 to 0.616 and DELTA 400 0.58 to 0.65, from 68 to 70 F.
  expect(contrastPerKelvin()).toEqual([expect.closeTo(0.0324, 4), expect.closeTo(0.063, 4)])
  // HC-110: 40 % less time for 20 % less contrast; T-MAX: a sixth more time for 20 % more.
  const [least, most] = contrastForDevelopment()
  expect(least).toBeCloseTo(Math.log(0.8) / Math.log(0.6), 9)
  expect(most).toBeCloseTo(Math.log(1.2) / Math.log(1.4 / 1.2), 9)
})

test('the statement speaks of a line, of the maker and of density, and does not claim what no source says', () => {
  const colour = toleranceWords(slopeOf('colour-negative'), 1.7, 1.2).join(' ')
  expect(colour).toContain('within +-0.15 C for that')
  expect(colour).toContain("+-0.15 C is the maker's tolerance")
  expect(colour).toContain('No figure for the density of a degree is known')
  const blackAndWhite = toleranceWords(slopeOf('bw-negative'), 1, 0.9).join(' ')
  expect(blackAndWhite).toContain('changes the contrast index by')
  expect(blackAndWhite).toContain('at 20 C')
})

test('a recipe without a developer has no tolerance', () => {
  const recipe = findRecipe('colour-negative') as Recipe
  expect(developersSlope({ ...recipe, baths: recipe.baths.filter(bath => bath.kind !== 'developed') })).toBeUndefined()
})
