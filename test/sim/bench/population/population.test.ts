/** Populations as they are counted: parts that add up, comparisons evening by evening, and thresholds. */
import { expect, test } from 'vitest'
import { defaultBase } from '../../../../firmware/defaultBase.ts'
import type { Recipe } from '../../../../firmware/recipe/recipe.ts'
import { findRecipe } from '../../../../firmware/recipe/shipped/shipped.ts'
import { defaultTank } from '../../../../firmware/tank/defaultTank.ts'
import { type Distribution, findDistribution } from '../../../../sim/bench/population/distribution.ts'
import { askedFor, documentOf } from '../../../../sim/bench/population/document.ts'
import type { PopulationSetup } from '../../../../sim/bench/population/draw.ts'
import { loadOther } from '../../../../sim/bench/population/load.ts'
import { populationText } from '../../../../sim/bench/population/text.ts'
import { THRESHOLDS } from '../../../../sim/bench/population/thresholds.ts'
import { toleranceOf } from '../../../../sim/bench/population/tolerance.ts'
import {
  addCount,
  type Counted,
  countedFrom,
  countedRecord,
  emptyCount,
  runEvening,
  startWork,
  type WorkSetup,
} from '../../../../sim/bench/population/work.ts'
import { seedsOfShard } from '../../../../sim/bench/shards.ts'

const setup: PopulationSetup = {
  recipe: findRecipe('colour-negative') as Recipe,
  tank: defaultTank,
  base: defaultBase,
  distribution: findDistribution('usual') as Distribution,
  onlyDeveloper: true,
}

async function counted(work: WorkSetup, seeds: number[]): Promise<Counted> {
  return countedFrom((await startWork(work))(seeds))
}

const seeds = Array.from({ length: 24 }, (_, i) => i + 1)

test('parts add up to the bytes of the whole, in any order', async () => {
  const whole = await counted({ setup }, seeds)
  const parts = [1, 2, 3].map(shard => [...seedsOfShard(1, 24, { shard, of: 3 }, 5)].flat())
  const summed = emptyCount(false)
  for (const part of parts.reverse()) addCount(summed, await counted({ setup }, part))
  expect(JSON.stringify(countedRecord(summed))).toBe(JSON.stringify(countedRecord(whole)))
})

test('the figures are those of the evenings themselves', async () => {
  const outcomes = seeds.map(seed => runEvening(setup, seed))
  const errors = outcomes.map(outcome => Math.abs(outcome.developed[0]?.clockErrorPercent as number))
  const asked = askedFor({ setup }, 1, 24, undefined)
  const document = documentOf(asked, await counted({ setup }, seeds), {})
  expect(document.sessions).toBe(24)
  expect(document.clockErrorPercent.mean).toBeCloseTo(errors.reduce((sum, error) => sum + error, 0) / 24, 5)
  expect(document.clockErrorPercent.max).toBeCloseTo(Math.max(...errors), 5)
  const held = outcomes.filter(({ developed: [bath] }) => Math.abs(bath!.clockErrorPercent) <= bath!.boundPercent)
  expect(document.boundHolds).toBeCloseTo(held.length / 24, 5)
  const tolerance = document.totalErrorPercent.p95! / asked.slope!.percentPerCelsius
  expect(document.toleranceCelsius).toBeCloseTo(tolerance, 5)
  expect(toleranceOf(asked.slope!, 1.7)).toBeGreaterThan(0.145)
  expect(toleranceOf(asked.slope!, 1.7)).toBeLessThan(0.155)
})

test('a population compared with itself differs nowhere; with a worse probe it is surely further off', async () => {
  const few = seeds.slice(0, 16)
  const itself = documentOf(askedFor({ setup }, 1, 16, undefined), await counted({ setup, other: { setup } }, few), {})
  expect(itself.compared?.differences.clockErrorPercent).toMatchObject({ count: 16, mean: 0, interval: [0, 0] })
  expect(itself.compared?.otherNearer).toBeNull()
  const worse = { ...defaultBase, probe: { ...defaultBase.probe, calibrationSigmaCelsius: 0.3 } }
  const work = { setup, other: { setup: { ...setup, base: worse } } }
  const document = documentOf(askedFor(work, 1, 16, undefined, 'a worse probe'), await counted(work, few), {
    mostWorse: 0.05,
  })
  const { mean, interval } = document.compared!.differences.clockErrorPercent
  expect(interval[0]).toBeGreaterThan(0)
  expect(mean).toBeGreaterThan(0.5)
  expect(document.thresholds.map(judged => judged.kept)).toEqual([false])
})

test('every threshold is judged by the figure that it names, and one that cannot be judged is not kept', async () => {
  const all = await counted({ setup }, seeds.slice(0, 8))
  const asked = askedFor({ setup }, 1, 8, undefined)
  const easy = Object.fromEntries(THRESHOLDS.map(({ key, least }) => [key, least ? 0 : 100]))
  const hard = Object.fromEntries(THRESHOLDS.map(({ key, least }) => [key, least ? 101 : -1]))
  const kept = documentOf(asked, all, easy).thresholds
  expect(kept.filter(judged => !judged.kept).map(judged => judged.threshold)).toEqual([
    '--least-sessions-per-charge',
    '--most-worse',
  ])
  expect(documentOf(asked, all, hard).thresholds.every(judged => !judged.kept)).toBe(true)
})

test('the report fits 80 columns and says what it is worth', async () => {
  const work: WorkSetup = { setup, ...loadOtherOf('planned') }
  const all = await counted(work, seeds)
  const text = populationText(
    documentOf(askedFor(work, 1, 24, '1/1', 'planned'), all, { mostErrorP95: 0.01 }),
    all.tally,
  )
  for (const line of text.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80)
  expect(text).toContain('24 evenings of Colour negative')
  expect(text).toMatch(/\+-0\.\d+ C/)
  expect(text).toContain('The same evenings with planned')
  expect(text).toContain('at most 0.01 % asked')
})

function loadOtherOf(name: string): Pick<WorkSetup, 'other'> {
  const { work } = loadOther(name, setup, () => {})
  return work === undefined ? {} : { other: work }
}
