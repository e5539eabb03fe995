/** The page of a population: its figures are those of the document in it, and a browser has nothing to complain of. */
import { mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, test } from 'vitest'
import { defaultBase } from '../../../../firmware/defaultBase.ts'
import type { Recipe } from '../../../../firmware/recipe/recipe.ts'
import { findRecipe } from '../../../../firmware/recipe/shipped/shipped.ts'
import { defaultTank } from '../../../../firmware/tank/defaultTank.ts'
import { type Distribution, findDistribution } from '../../../../sim/bench/population/distribution.ts'
import { askedFor, documentOf } from '../../../../sim/bench/population/document.ts'
import { populationPage } from '../../../../sim/bench/population/page.ts'
import { sensitivityDocument, startRows } from '../../../../sim/bench/population/sensitivity.ts'
import { countedFrom, startWork, type WorkSetup } from '../../../../sim/bench/population/work.ts'
import { chartsOf, renderPage, renderSvg } from '../../../../sim/report/page/page.ts'
import { startBrowser } from '../../report/page/browser.ts'

const setup = {
  recipe: findRecipe('colour-negative') as Recipe,
  tank: defaultTank,
  base: defaultBase,
  distribution: findDistribution('usual') as Distribution,
  onlyDeveloper: true,
}
const other = { setup: { ...setup, distribution: findDistribution('planned') as Distribution } }
const work: WorkSetup = { setup, other }
const counted = countedFrom((await startWork(work))(Array.from({ length: 20 }, (_, i) => i + 1)))
const study = sensitivityDocument(setup, 1, (await startRows(setup))([1, 2]))
const asked = askedFor(work, 1, 20, undefined, 'the population "planned"')
const document = documentOf(asked, counted, { mostErrorP95: 5 }, study)
const page = populationPage(document, counted)

const browser = startBrowser()
afterAll(() => browser.close())

test('the page opens without a complaint, fetches nothing, and shows every chart', async () => {
  const path = join(mkdtempSync(join(tmpdir(), 'evenbath-page-')), 'population.html')
  writeFileSync(path, renderPage(page))
  const opened = await browser.open(path, { width: 1000 })
  expect(opened.complaints).toEqual([])
  expect(opened.asked).toEqual([])
  const drawn = '[...document.querySelectorAll("figure")].filter(figure => figure.querySelector("svg path")).length'
  expect(await opened.value<number>(drawn)).toBe(chartsOf(page).length)
  const inPage = await opened.value<string>('document.getElementById("document").textContent')
  expect(JSON.parse(inPage)).toEqual(JSON.parse(JSON.stringify(document)))
})

test('the figures it shows are those of the document', () => {
  const figures = Object.fromEntries(page.figures ?? [])
  expect(figures['95 of 100 clocks are within']).toBe(`${document.clockErrorPercent.p95!.toFixed(2)} %`)
  expect(figures['of 100 stated bounds hold']).toBe((100 * document.boundHolds!).toFixed(1))
  expect(figures['as a heated line within']).toBe(`±${document.toleranceCelsius!.toFixed(2)} °C`)
  const headings = page.sections.map(section => section.heading)
  for (const heading of ['Error against bound', 'What that is worth', 'What moves the error of the clock', 'Alarms']) {
    expect(headings).toContain(heading)
  }
})

test('every bar and dot is an evening: none is lost and none counted twice', () => {
  const option = (name: string) =>
    chartsOf(page).find(chart => chart.name === name)?.option as { series: { data: (number | number[])[] }[] }
  for (const { data } of option('errors').series) {
    expect((data as number[]).reduce((sum, share) => sum + share, 0)).toBeCloseTo(100, 1)
  }
  expect(option('error-against-bound').series[0]?.data).toHaveLength(20)
})

test('each chart is a picture of its own', () => {
  const names = chartsOf(page).map(chart => chart.name)
  expect(new Set(names).size).toBe(names.length)
  for (const chart of chartsOf(page)) expect(renderSvg(chart)).toContain('</svg>')
})
