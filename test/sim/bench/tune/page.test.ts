/** The page of a tuning: its figures are those of the document that lies in it, and before and after can be told apart. */
import { mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, test } from 'vitest'
import { defaultBase } from '../../../../firmware/defaultBase.ts'
import { findRecipe } from '../../../../firmware/recipe/shipped/shipped.ts'
import { defaultTank } from '../../../../firmware/tank/defaultTank.ts'
import { mapProgramme } from '../../../../sim/bench/tune/maps.ts'
import { tunePage } from '../../../../sim/bench/tune/page.ts'
import { openPool } from '../../../../sim/bench/tune/pool.ts'
import { questionFrom } from '../../../../sim/bench/tune/question.ts'
import { tune } from '../../../../sim/bench/tune/result.ts'
import { sayMeasure } from '../../../../sim/bench/tune/sayFigures.ts'
import { chartsOf, renderPage } from '../../../../sim/report/page/page.ts'
import { startBrowser } from '../../report/page/browser.ts'

const loadout = { recipe: findRecipe('colour-negative')!, tank: defaultTank, base: defaultBase }
const options = { recipe: 'colour-negative', seed: 1, room: 20, films: 0, mostRpm: 42, bath: 'fixer wash' }
const question = questionFrom(options, loadout, () => {})
const outcome = await tune(question, { wearJoules: 1, tries: 30 }, openPool(question.setup, 1, () => {}).evaluate)
const { report } = outcome
const staggered = mapProgramme(question.setup, { ...question.agitation, stagger: true })
const equal = mapProgramme(question.setup, { ...question.agitation, stagger: false })
const page = tunePage(outcome, [
  ['map-advised', 'advised', staggered],
  ['map-equal-legs', 'equal legs', equal],
])

interface Ranged {
  dataset: { source: Record<string, number[]> }
}

test('the document in the page is the one of --json, and the figures in its text are taken from it', () => {
  const html = renderPage(page)
  const inside = /<script[^>]*id="document"[^>]*>([\s\S]*?)<\/script>/.exec(html)?.[1]
  expect(JSON.parse(inside ?? '')).toEqual(JSON.parse(JSON.stringify(report)))
  for (const programme of [report.advised, report.equalLegs, report.asItStands]) {
    expect(html).toContain(`>${sayMeasure('joules', programme)}<`)
    expect(html).toContain(`>${sayMeasure('immersionCv', programme)}<`)
  }
})

test('every programme of the front is a dot of the picture and a row of the table', () => {
  const energy = chartsOf(page).find(chart => chart.name === 'tune-energy')!
  const series = (energy.option as { series: { name: string; data: { value: number[] }[] }[] }).series
  const dots = series.filter(one => one.name.startsWith('front')).flatMap(one => one.data.map(dot => dot.value[0]))
  expect(dots.sort()).toEqual(report.front.map(one => one.joules).sort())
  expect(page.sections.find(section => section.heading === 'The front')!.table!.rows).toHaveLength(report.front.length)
})

test('the maps show what stagger does: with equal legs the film lies unequally long in the liquid', () => {
  const range = (name: string): number => {
    const { source } = (chartsOf(page).find(chart => chart.name === name)!.option as Ranged).dataset
    return Math.max(...source['inner']!) - Math.min(...source['inner']!)
  }
  expect(range('map-equal-legs')).toBeGreaterThan(3 * range('map-advised'))
  // Half of each turn at the outer turn of a half-filled tank, less further in: here 38 % at the innermost.
  const mean = Array.from(staggered.shares[0]!).reduce((sum, share) => sum + share, 0) / 360
  expect(mean).toBeCloseTo(0.38, 1)
})

test('what lies at a dot is its value: the mark of the advised programme is centred on its figures', () => {
  interface Series {
    name: string
    symbol?: string
    symbolOffset?: unknown
    data: { value: number[] }[]
  }
  for (const chart of chartsOf(page).filter(one => one.name.startsWith('tune-'))) {
    const series = (chart.option as { series: Series[] }).series
    // A pin stands on its point and reaches above it; these lie on it.
    for (const one of series) {
      expect(['circle', 'diamond', undefined]).toContain(one.symbol)
      expect(one.symbolOffset).toBeUndefined()
    }
    const [dot] = series.find(one => one.name === 'advised')!.data
    expect(dot!.value[1]).toBeCloseTo(100 * report.advised.immersionCv, 3)
  }
})

test('the page says to paste what --write writes, and that the other baths keep theirs', () => {
  const { words } = page.sections.find(section => section.heading === 'Into the recipe')!
  expect(words).toContain('"agitation": "fixer wash"')
  expect(words.find(line => line.startsWith('"fixer wash": {'))).toContain(`"rpm": ${report.advised.rpm},`)
  expect(words.join(' ')).toContain('The other baths keep theirs: prewet, developer, ')
  expect(words.join(' ')).not.toContain('"even": {')
})

const browser = startBrowser()
afterAll(() => browser.close())

test('the page opens without a complaint, fetches nothing, and shows every chart, also on a phone', async () => {
  const path = join(mkdtempSync(join(tmpdir(), 'evenbath-page-')), 'tune.html')
  writeFileSync(path, renderPage(page))
  for (const view of [{ width: 1000 }, { width: 360, dark: true }]) {
    const opened = await browser.open(path, view)
    expect(opened.complaints).toEqual([])
    expect(opened.asked).toEqual([])
    const live = await opened.value<number>(`document.querySelectorAll('figure .place svg').length`)
    expect(live).toBe(chartsOf(page).length)
    expect(await opened.value<number>('document.documentElement.scrollWidth')).toBeLessThanOrEqual(view.width)
  }
})
