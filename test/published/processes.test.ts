/** The shipped recipes and what they rest on, against published process steps, pushes, rules and floors. */

import { expect, test } from 'vitest'
import { checkRecipe } from '../../firmware/recipe/check.ts'
import { makeRate, secondsAt, sensitivityAt } from '../../firmware/recipe/rate.ts'
import type { Bath, Recipe } from '../../firmware/recipe/recipe.ts'
import { timedSeconds } from '../../firmware/recipe/reuse.ts'
import { shortTimeRemark } from '../../firmware/recipe/shortTimes.ts'
import { bwNegative, colourNegative, colourReversal, shippedRecipes } from '../../sim/bench/shippedRecipes.ts'

function bathOf(recipe: Recipe, name: string): Bath {
  const bath = recipe.baths.find(candidate => candidate.name === name)
  if (bath === undefined) throw new Error(`${recipe.name} has no ${name}`)
  return bath
}

/** Seconds of a bath at its process temperature, fresh. */
function freshSeconds(bath: Bath, celsius: number): number {
  return bath.kind === 'developed' ? secondsAt(makeRate(bath, 0), celsius) : timedSeconds(bath, 0)
}

/** [bath, celsius of the step, least seconds, most seconds, usable low, usable high] */
type Step = [string, number, number, number, number, number]

function expectSteps(recipe: Recipe, steps: Step[]): void {
  for (const [name, celsius, least, most, low, high] of steps) {
    const bath = bathOf(recipe, name)
    const seconds = freshSeconds(bath, celsius)
    expect(seconds, name).toBeGreaterThan(least - 1e-6)
    expect(seconds, name).toBeLessThan(most + 1e-6)
    expect(bath.usableCelsius?.[0], name).toBeGreaterThanOrEqual(low)
    expect(bath.usableCelsius?.[1], name).toBeLessThanOrEqual(high)
  }
  const order = steps.map(([name]) => recipe.baths.findIndex(bath => bath.name === name))
  expect(order).toEqual([...order].sort((a, b) => a - b))
}

test('colour negative follows KODAK Z-131, table 2-1: steps, order, times and temperature ranges', () => {
  expectSteps(colourNegative, [
    ['developer', 37.8, 195, 195, 24, 41],
    ['bleach', 38, 260, 390, 35, 41],
    ['bleach wash', 38, 65, 65, 24, 41],
    ['fixer', 38, 260, 260, 35, 41],
    ['fixer wash', 38, 195, 195, 24, 41],
    ['final rinse', 38, 65, 65, 24, 41],
  ])
})

test('0.15 C, the tolerance of the colour developer (Z-131), is worth about 1.7 % of its time', () => {
  const rate = makeRate(bathOf(colourNegative, 'developer'), 0)
  expect(100 * 0.15 * sensitivityAt(rate, 37.8)).toBeCloseTo(1.69, 1)
  expect(100 * (secondsAt(rate, 37.65) / secondsAt(rate, 37.8) - 1)).toBeCloseTo(1.7, 1)
})

test('colour reversal follows KODAK Z-119: steps, order, times and temperature ranges', () => {
  expectSteps(colourReversal, [
    ['first developer', 38, 360, 360, 36, 39],
    ['first wash', 38, 120, 120, 36, 39],
    ['reversal bath', 38, 120, 120, 24, 39],
    ['colour developer', 38, 360, 360, 36, 39],
    ['pre-bleach', 38, 120, 120, 24, 39],
    ['bleach', 38, 360, 360, 33, 39],
    ['fixer', 38, 240, 240, 33, 39],
  ])
})

test('colour reversal has nine baths after its prewet, ten steps with drying, and no wash after the reversal bath (US Army SS0514, page 4-3)', () => {
  expect(colourReversal.baths.filter(bath => bath.name !== 'prewet')).toHaveLength(9)
  const reversal = colourReversal.baths.findIndex(bath => bath.name === 'reversal bath')
  expect(colourReversal.baths[reversal + 1].name).toBe('colour developer')
})

test('pushes are time factors: 480 s in E-6 (E-4000), 225 and 255 s in C-41 (Z-131), 1.33 a stop (MACO RETRO 400S)', () => {
  const pushed = (bath: Bath, timeFactor: number, celsius: number) => freshSeconds({ ...bath, timeFactor }, celsius)
  expect(pushed(bathOf(colourReversal, 'first developer'), 1.333, 38)).toBeCloseTo(480, 0)
  expect(pushed(bathOf(colourNegative, 'developer'), 1.154, 37.8)).toBeCloseTo(225, 0)
  expect(pushed(bathOf(colourNegative, 'developer'), 1.308, 37.8)).toBeCloseTo(255, 0)
  const developer = bathOf(bwNegative, 'developer')
  for (const [stops, factor] of [
    [1, 1.33],
    [2, 1.7689],
    [-1, 0.7519],
    [-2, 0.5653],
  ]) {
    expect(pushed(developer, 1.33 ** stops, 20) / 420).toBeCloseTo(factor, 4)
  }
  for (const timeFactor of [1.154, 1.308, 1.333, 1.7689, 0.5653]) {
    const baths = bwNegative.baths.map(bath => ({ ...bath, timeFactor }))
    expect(checkRecipe({ ...bwNegative, baths }).filter(problem => problem.severity === 'refused')).toEqual([])
  }
})

test('the ILFORD rule of 10 % a degree is a coefficient of 2.59 to 2.87 per 10 C (powder developers 2010, page 4)', () => {
  const bath = (coefficientPer10C: number): Bath => ({
    name: 'developer',
    kind: 'developed',
    seconds: 600,
    atCelsius: 20,
    coefficientPer10C,
    agitation: 'even',
  })
  expect(secondsAt(makeRate(bath(1.1 ** 10), 0), 19)).toBeCloseTo(660, 6)
  expect(secondsAt(makeRate(bath(0.9 ** -10), 0), 21)).toBeCloseTo(540, 6)
  const middle = makeRate(bath(2.7), 0)
  expect(secondsAt(middle, 19) / 600).toBeCloseTo(1.1, 2)
  expect(secondsAt(middle, 21) / 600).toBeCloseTo(0.9, 1)
  // The rule is printed for 20 to 24 C.
  expect(middle.sheetHighCelsius).toBe(24)
})

test('makers advise up to 15 % less time when rotating (ILFORD, AgfaPhoto, MACO): a stated factor or a warning, never a guess', () => {
  const sheet = bathOf(bwNegative, 'developer')
  const { rowsFor: _rowsFor, ...developer } = sheet
  const intermittent: Bath = { ...developer, rowsFor: 'intermittent' }
  const withBath = (bath: Bath): Recipe => ({ ...bwNegative, baths: [bath, ...bwNegative.baths.slice(1)] })
  const unstated = checkRecipe(withBath(intermittent))
  expect(unstated.map(problem => [problem.severity, problem.place])).toEqual([['warning', 'baths[0].rowsFor']])
  expect(unstated[0].hint).toContain('15 %')
  expect(freshSeconds(intermittent, 20)).toBeCloseTo(420, 9)
  expect(checkRecipe(withBath({ ...intermittent, rotaryFactor: 0.85 }))).toEqual([])
  expect(freshSeconds({ ...intermittent, rotaryFactor: 0.85 }, 20)).toBeCloseTo(357, 9)
})

test('black and white follows the rotary-tube rows of KODAK J-109, Table 2, page 8, for TRI-X 400 in XTOL stock', () => {
  const printedMinutes: [number, number][] = [
    [18.33, 8],
    [20, 7],
    [21.11, 6.25],
    [23.89, 4.75],
  ]
  const developer = bathOf(bwNegative, 'developer')
  expect(developer.rowsFor).toBe('rotary')
  for (const [celsius, minutes] of printedMinutes) expect(freshSeconds(developer, celsius)).toBeCloseTo(60 * minutes, 9)
})

test('the steps after the black-and-white developer follow KODAK ED-BWF (2016)', () => {
  const printed: [string, number, number][] = [
    ['stop', 30, 30],
    ['fixer', 120, 240],
    ['rinse', 30, 30],
    ['wash aid', 60, 120],
    ['wash', 300, 300],
    ['wetting agent', 30, 30],
  ]
  expect(bwNegative.baths.slice(1).map(bath => bath.name)).toEqual(printed.map(([name]) => name))
  for (const [name, least, most] of printed) {
    expect(freshSeconds(bathOf(bwNegative, name), 20), name).toBeGreaterThanOrEqual(least)
    expect(freshSeconds(bathOf(bwNegative, name), 20), name).toBeLessThanOrEqual(most)
  }
  expect(bathOf(bwNegative, 'stop').usableCelsius).toEqual([18, 24])
})

test('XTOL asks for 100 mL of stock for a film however little the tube would turn with (KODAK J-109, page 2)', () => {
  expect(bathOf(bwNegative, 'developer').millilitresPerFilm).toBe(100)
})

test('a step contains its drain of 10 s and a fill of 7 to 20 s, counted from first contact (SS0514, ILFORD, KODAK J-109)', () => {
  for (const recipe of shippedRecipes) {
    expect(recipe.pour.drainSeconds).toBe(10)
    expect(recipe.pour.fillSeconds).toBeGreaterThanOrEqual(7)
    expect(recipe.pour.fillSeconds).toBeLessThanOrEqual(20)
    for (const bath of recipe.baths) expect(bath.startsWhen ?? 'contact').toBe('contact')
  }
})

test('the tanks turn faster than 30 rpm with changing direction, and slow to no less (MACO RETRO 400S, 2021, page 2)', () => {
  for (const recipe of shippedRecipes) {
    expect(recipe.agitations.even.rpm).toBeGreaterThan(30)
    expect(recipe.agitations.even.leastRpm).toBeGreaterThanOrEqual(30)
  }
})

test('developers shorter than 3 min (MACO) are warned of, those shorter than 4 min (J-109, rotary tubes) remarked on', () => {
  const developer = bathOf(bwNegative, 'developer')
  const baths = [{ ...developer, timeFactor: 0.6 }, ...bwNegative.baths.slice(1)]
  const problems = checkRecipe({ ...bwNegative, baths })
  expect(problems.map(problem => [problem.severity, problem.place])).toEqual([['warning', 'baths[0].rows']])
  expect(shortTimeRemark(179)).toContain('3 min')
  expect(shortTimeRemark(195)).toContain('4 min')
  expect(shortTimeRemark(240)).toBe('')
})

test('every bath that ships says where its figures come from', () => {
  for (const recipe of shippedRecipes) {
    for (const bath of recipe.baths) expect(bath.source, `${recipe.name} ${bath.name}`).toMatch(/KODAK|from memory/)
  }
})
