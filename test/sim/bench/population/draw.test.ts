/** Evenings: every input has a stream of its own, so that one may be changed and all else kept. */
import { expect, test } from 'vitest'
import { defaultBase } from '../../../../firmware/defaultBase.ts'
import type { Recipe } from '../../../../firmware/recipe/recipe.ts'
import { findRecipe } from '../../../../firmware/recipe/shipped/shipped.ts'
import { defaultTank } from '../../../../firmware/tank/defaultTank.ts'
import { type Distribution, findDistribution } from '../../../../sim/bench/population/distribution.ts'
import { drawRun, type PopulationSetup } from '../../../../sim/bench/population/draw.ts'
import { INPUTS, type InputName, QUANTITIES } from '../../../../sim/bench/population/inputs.ts'
import { openBench } from '../../../../sim/bench/run.ts'
import type { Evening } from '../../../../sim/plant/evening.ts'

const usual = findDistribution('usual') as Distribution

function setupOf(changed: Partial<Distribution> = {}, recipe = 'colour-negative'): PopulationSetup {
  const distribution = { ...usual, ...changed }
  return {
    recipe: findRecipe(recipe) as Recipe,
    tank: defaultTank,
    base: defaultBase,
    distribution,
    onlyDeveloper: false,
  }
}

/** What really happens on an evening, from the bench itself. */
function evening(setup: PopulationSetup, seedOf: (input: InputName) => number): Evening & { baths: string[] } {
  const run = drawRun(setup, seedOf)
  return { ...openBench(run).plant.evening, baths: run.recipe.baths.map(bath => bath.name) }
}

test('the same seed gives the same evening; another one another', () => {
  const one = evening(setupOf(), () => 5)
  expect(JSON.stringify(evening(setupOf(), () => 5))).toBe(JSON.stringify(one))
  const other = evening(setupOf(), () => 6)
  expect(other.roomCelsius).not.toBe(one.roomCelsius)
  expect(other.probe.errorCelsius).not.toBe(one.probe.errorCelsius)
})

test('no two quantities draw from one stream, and every one belongs to an input', () => {
  const streams = Object.values(QUANTITIES).map(quantity => quantity.stream)
  expect(new Set(streams).size).toBe(streams.length)
  const names = INPUTS.map(input => input.name)
  for (const { input } of Object.values(QUANTITIES)) expect(names).toContain(input)
})

test('an input of another seed changes what belongs to it and nothing else', () => {
  const changed = (input: InputName): string[] => {
    const one = evening(setupOf(), () => 11) as unknown as Record<string, unknown>
    const other = evening(setupOf(), name => (name === input ? 99 : 11)) as unknown as Record<string, unknown>
    return Object.keys(one).filter(key => JSON.stringify(one[key]) !== JSON.stringify(other[key]))
  }
  expect(changed('calibration')).toEqual(['probe'])
  expect(changed('lag')).toEqual(['probe'])
  expect(changed('mounting')).toEqual(['probe'])
  expect(changed('tankHeat')).toEqual(['bath'])
  expect(changed('heatFlow')).toEqual(['bath'])
  expect(changed('reaction')).toEqual(['habits'])
  expect(changed('hands')).toEqual(['habits', 'handsSeed'])
  expect(changed('machine')).toEqual(['seed', 'roomProbe'])
  expect(changed('pour')).toEqual(['pourCelsius'])
  expect(changed('volume')).toEqual(['millilitres'])
  expect(changed('pack')).toEqual(['startCharge', 'pack'])
  // A colder pack gives less.
  expect(changed('room')).toEqual(['roomCelsius', 'pack'])
})

test('the developer is poured alike with a prewet and without', () => {
  const without = evening(setupOf({ withoutPrewet: 1 }), () => 3)
  const prewetted = evening(setupOf({ withoutPrewet: 0 }), () => 3)
  expect(without.baths[0]).toBe('developer')
  expect(prewetted.baths.slice(0, 2)).toEqual(['prewet', 'developer'])
  expect(without.pourCelsius[0]).toBe(prewetted.pourCelsius[1])
})

test('a probe is off by what is drawn, in the sigmas of its base, and evenings stay paired under another base', () => {
  const worse = { ...defaultBase, probe: { ...defaultBase.probe, calibrationSigmaCelsius: 0.2 } }
  const one = evening(setupOf(), () => 8)
  const other = evening({ ...setupOf(), base: worse }, () => 8)
  expect(other.probe.errorCelsius).toBeCloseTo(4 * one.probe.errorCelsius, 9)
  expect(other.probe.lagSeconds).toBe(one.probe.lagSeconds)
  const exact = evening(setupOf({ probeCalibration: { is: 0 }, probeLag: { is: 0 } }), () => 8)
  expect(exact.probe).toMatchObject({ errorCelsius: 0, lagSeconds: defaultBase.probe.lagSeconds })
})

test('a bottle is off by at most what the distribution allows, and an old pack holds less', () => {
  const recipe = findRecipe('colour-negative') as Recipe
  const aims = drawRun(setupOf({ pourOffCelsius: { is: 0 } }), () => 1).pourCelsius
  expect(aims[recipe.baths.length - 7 + 1]).toBe(37.8)
  for (let seed = 0; seed < 30; seed++) {
    const run = drawRun(setupOf({ withoutPrewet: 0 }), () => seed)
    const { pourCelsius } = openBench(run).plant.evening
    pourCelsius.forEach((celsius, i) => {
      expect(Math.abs(celsius - (run.pourCelsius[i] as number))).toBeLessThanOrEqual(2)
    })
  }
  const fresh = evening(setupOf({ packAge: { is: 0 } }), () => 2)
  const old = evening(setupOf({ packAge: { is: 1 } }), () => 2)
  expect(old.pack.capacityCoulombs / fresh.pack.capacityCoulombs).toBeCloseTo(0.8, 9)
  expect(old.pack.resistanceOhms / fresh.pack.resistanceOhms).toBeCloseTo(2, 9)
})
