/** What a page keeps of a session, against the session's own report. */
import { expect, test } from 'vitest'
import { findRecipe } from '../../../../firmware/recipe/shipped/shipped.ts'
import { runByPlan } from '../../../../sim/bench/defaults.ts'
import type { Bench } from '../../../../sim/bench/run.ts'
import { runSession } from '../../../../sim/bench/run.ts'
import { chartsOf } from '../../../../sim/report/page/page.ts'
import { spanOf } from '../../../../sim/report/page/session/chartData.ts'
import { recordSession, turningPoints } from '../../../../sim/report/page/session/record.ts'
import { sessionPage } from '../../../../sim/report/page/session/sessionPage.ts'

const recipe = findRecipe('colour-negative')!
const { record, watch } = recordSession()
let last: Bench | undefined
const report = runSession(
  runByPlan({
    seed: 3,
    watch(bench) {
      watch(bench)
      last = bench
    },
  }),
)

function variation(shares: Float64Array): number {
  const mean = shares.reduce((sum, share) => sum + share, 0) / shares.length
  const squares = shares.reduce((sum, share) => sum + (share - mean) ** 2, 0) / shares.length
  return Math.sqrt(squares) / mean
}

test('each bath has its map, and the worst turn of it varies as the report says', () => {
  expect(record.baths.length).toBe(report.baths.length)
  record.baths.forEach((bath, i) => {
    const worst = Math.max(...bath.shares.map(variation))
    expect(worst).toBeCloseTo(report.agitation[i]!.immersionCv, 6)
    const [inner, , outer] = bath.shares.map(shares => shares.reduce((sum, share) => sum + share, 0) / 360)
    expect(outer).toBeGreaterThan(inner!)
    expect(Math.max(...bath.shares.flatMap(shares => [...shares]))).toBeLessThanOrEqual(1)
  })
})

test('the reversals that the page marks are those that the report counts', () => {
  record.baths.forEach((bath, i) => {
    expect(turningPoints(record, bath).length).toBe(report.agitation[i]!.reversals)
  })
})

test('the moments of the baths are those of the report', () => {
  record.baths.forEach((bath, i) => {
    const { fromSeconds, toSeconds } = spanOf(record, bath)
    expect(Math.abs(toSeconds - fromSeconds - report.baths[i]!.seconds)).toBeLessThan(0.15)
    expect(bath.drainSeconds).toBeLessThan(toSeconds)
  })
})

test('what a bath came to is where its lines end', () => {
  const developer = record.baths[1]!
  const row = record.seconds.findIndex(now => now > developer.endSeconds - 0.25)
  expect(record.columns.trueProgress[row]).toBeCloseTo(report.baths[1]!.trueProgress, 2)
  expect(record.columns.progress[row]).toBeCloseTo(report.baths[1]!.progress, 1)
  expect(last!.plant.pack.charge).toBeCloseTo(record.columns.trueCharge.at(-1)!, 4)
})

test('between two baths the base’s clock shows nothing, and a bath begins at nothing done', () => {
  const { progress } = record.columns
  for (const bath of record.baths) {
    const first = record.seconds.findIndex((now, row) => now >= bath.contactSeconds && !isNaN(progress[row]!))
    expect(progress[first]).toBeLessThan(0.05)
  }
})

test('a page has the charts of the whole session, one close by for each developed bath and a map for each bath', () => {
  const page = sessionPage({ report, recipe, record }, [])
  expect(chartsOf(page).map(chart => chart.name)).toEqual([
    ...['temperature', 'bath-2', 'progress', 'legs', 'reversals'],
    ...report.baths.map((_, i) => `immersion-${i + 1}`),
    'charge',
  ])
  expect(page.json).toBe(report)
})
