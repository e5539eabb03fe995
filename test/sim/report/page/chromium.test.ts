/** The page of a session in a real browser: no complaint, no network, charts that answer, and the figures of the document. */
import { statSync } from 'node:fs'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import type { RunReport } from '../../../../sim/bench/runReport.ts'
import { renderPage } from '../../../../sim/report/page/page.ts'
import { celsius, clockTime, percent } from '../../../../sim/report/words.ts'
import { type Browser, type Opened, startBrowser } from './browser.ts'
import { fileOf, folder, KINDS, reported } from './support.ts'

let browser: Browser
let path: string
let page: Opened

beforeAll(async () => {
  browser = startBrowser()
  path = reported('browser.html').path
  page = await browser.open(path, { width: 1000 })
}, 60_000)

afterAll(() => browser?.close())

const SEEN = `const seen = element => element.getClientRects().length > 0`
/** Pictures that show: still ones and live ones, by figure. */
const PICTURES = `(() => { ${SEEN}; return [...document.querySelectorAll('figure')].map(figure => ({
  still: [...figure.querySelectorAll('.still svg')].filter(seen).length,
  live: [...figure.querySelectorAll('.place svg')].filter(seen).length,
  ways: [...figure.querySelectorAll('.place path')].length,
})) })()`

interface Picture {
  still: number
  live: number
  ways: number
}

/** Until a value is as it should be: the library draws what has changed in a later frame. At last the value as it is. */
async function settled<T>(opened: Opened, expression: string, right: (value: T) => boolean): Promise<T> {
  let value = await opened.value<T>(expression)
  for (let tries = 0; tries < 100 && !right(value); tries++) {
    await pause(50)
    value = await opened.value<T>(expression)
  }
  return value
}

const pause = (milliseconds: number): Promise<void> => new Promise(resolve => setTimeout(resolve, milliseconds))

function quiet(opened: Opened): void {
  expect(opened.complaints).toEqual([])
  expect(opened.asked).toEqual([])
}

test('every chart is live in place of its picture, nothing complains and nothing is fetched', async () => {
  const pictures = await page.value<Picture[]>(PICTURES)
  expect(pictures.length).toBe(13)
  for (const { still, live, ways } of pictures) {
    expect([still, live]).toEqual([0, 1])
    expect(ways).toBeGreaterThan(5)
  }
  quiet(page)
})

test('the policy is in force: no script of another hand runs and nothing can be fetched', async () => {
  const other = await browser.open(path, { width: 1000 })
  const ran = await other.value<boolean>(`(() => {
    const script = document.createElement('script'); script.textContent = 'window.ran = true'
    document.body.append(script); return window.ran === true })()`)
  expect(ran).toBe(false)
  const fetched = await other.value<string>(`fetch('https://example.org/').then(() => 'fetched', () => 'refused')`)
  expect(fetched).toBe('refused')
  expect(other.complaints.join()).toMatch(/Content Security Policy/)
})

test('the figures in the page are those of its document', async () => {
  const report = await page.value<RunReport>(`JSON.parse(document.querySelector('#document').textContent)`)
  const tables = await page.value<string[][][]>(`[...document.querySelectorAll('section > .frame > table')].map(table =>
    [...table.rows].map(row => [...row.cells].map(cell => cell.textContent)))`)
  const words = (text: string): string => text.replace(/ C$/, ' °C')
  const [baths, evenness] = tables
  report.baths.forEach((bath, i) => {
    const even = report.agitation[i]!
    const row = baths![i + 1]!
    expect(row.slice(0, 4)).toEqual([
      `${i + 1} ${bath.name}`,
      clockTime(bath.seconds),
      words(celsius(bath.pourCelsius)),
      words(celsius(bath.meanCelsius)),
    ])
    expect(row[4]).toBe(bath.kind === 'developed' ? percent(bath.trueProgress) : '')
    expect(row[6]).toBe(percent(even.immersionCv))
    expect(row[7]).toBe(`${even.reversals} times`)
    expect(evenness![i + 1]!.slice(1, 4)).toEqual([
      percent(even.immersionCv),
      `${even.longestDrySeconds.toFixed(1)} s`,
      `${even.exchangesPerMinute.toFixed(1)} times a minute`,
    ])
  })
  const figures = await page.value<string[]>(
    `[...document.querySelectorAll('.figures dd')].map(one => one.textContent)`,
  )
  const { startCharge, endCharge } = report.pack
  expect(figures).toEqual([
    percent(report.baths[1]!.trueProgress),
    percent(report.agitation[1]!.immersionCv),
    clockTime(report.seconds),
    percent(startCharge - endCharge),
    String(report.alarms.length),
  ])
})

const box = (selector: string): string => `(() => { const element = document.querySelector('${selector}')
  element.scrollIntoView({ block: 'center', behavior: 'instant' })
  const { x, y, width, height } = element.getBoundingClientRect(); return { x, y, width, height } })()`

const TIP = `[...document.querySelectorAll('#chart-temperature .place > div')].at(-1).textContent`

test('pointing at the temperature reads it', async () => {
  const { x, y, width, height } = await page.value<Box>(box('#chart-temperature .chart'))
  await page.pointAt(x + width / 2, y + height / 2)
  await page.pointAt(x + width / 2 + 1, y + height / 2)
  const tip = await settled<string>(page, TIP, text => /bath, true/.test(text))
  expect(tip).toMatch(/^\d+:\d\d(\.\d)?/)
  expect(tip).toMatch(/bath, true\s*3\d\.\d\d °C/)
  expect(tip).not.toMatch(/series\d/)
  quiet(page)
})

interface Box {
  x: number
  y: number
  width: number
  height: number
}

const SPOKEN = `document.querySelector('#spoken').textContent`
const LABELS = `[...document.querySelectorAll('#chart-temperature .place text')].map(text => text.textContent).sort().join('|')`

test('keys read a chart aloud, zoom it, hide a line and bring it back', async () => {
  const before = await page.value<string>(LABELS)
  const isBefore = (labels: string): boolean => labels === before
  await page.value(`document.querySelector('#chart-temperature .chart').focus({ preventScroll: true })`)
  await page.press('ArrowRight')
  const first = await page.value<string>(SPOKEN)
  await page.press('ArrowRight')
  expect(first).toMatch(/bath, true/)
  expect(await page.value<string>(SPOKEN)).not.toBe(first)
  await page.press('Escape')
  await page.press('+')
  await page.press('+')
  expect(await settled<string>(page, LABELS, labels => !isBefore(labels))).not.toBe(before)
  await page.press('0')
  expect(await settled(page, LABELS, isBefore)).toBe(before)
  const ways = `document.querySelectorAll('#chart-temperature .place path').length`
  const all = await page.value<number>(ways)
  await page.press('1')
  expect(await settled<number>(page, ways, now => now < all)).toBeLessThan(all)
  await page.press('1')
  expect(await settled<number>(page, ways, now => now === all)).toBe(all)
  quiet(page)
})

test('a keyboard reaches the skip link first, and every chart and table', async () => {
  const names = await page.value<string[]>(`[...document.querySelectorAll('a, summary, [tabindex="0"]')]
    .filter(element => element.checkVisibility())
    .map(element => element.className || element.tagName)`)
  expect(names[0]).toBe('skip')
  expect(names.filter(name => name.startsWith('chart')).length).toBe(13)
  expect(names.filter(name => name === 'frame').length).toBe(3)
})

test('without scripts the pictures show, those for a phone on a phone', async () => {
  for (const width of [1000, 320]) {
    const still = await browser.open(path, { width, still: true })
    const widths = await still.value<number[]>(`(() => { ${SEEN}; return [...document.querySelectorAll('.still svg')]
      .filter(seen).map(svg => svg.viewBox.baseVal.width) })()`)
    expect(widths.length).toBe(13)
    expect(widths[0]).toBe(width === 320 ? 360 : 760)
    quiet(still)
  }
})

test('on a phone of 320 pixels nothing is wider than the screen', async () => {
  const phone = await browser.open(path, { width: 320, height: 640 })
  expect(await phone.value('document.documentElement.scrollWidth')).toBe(320)
  expect((await phone.value<Picture[]>(PICTURES)).every(({ live }) => live === 1)).toBe(true)
  quiet(phone)
})

test('on a phone a finger that begins on a chart moves the page', async () => {
  const phone = await browser.open(path, { width: 320, height: 640 })
  const { x, y, width, height } = await phone.value<Box>(box('#chart-temperature .chart'))
  const before = await phone.value<number>('window.scrollY')
  await phone.swipeUp(x + width / 2, y + height / 2, 200)
  expect(await phone.value<number>('window.scrollY')).toBeGreaterThan(before + 100)
  quiet(phone)
})

test('dark is dark, in the page and in its charts', async () => {
  const dark = await browser.open(path, { width: 1000, dark: true, calm: true })
  expect(await dark.value('getComputedStyle(document.body).backgroundColor')).toBe('rgb(20, 24, 28)')
  const strokes = await dark.value<string[]>(
    `[...document.querySelectorAll('#chart-temperature .place path')].map(path => path.getAttribute('stroke'))`,
  )
  expect(strokes).toContain('#56b4e9')
  quiet(dark)
})

test('printed, the page has its pictures and leaves the live charts out', async () => {
  const to = join(folder, 'printed.pdf')
  await page.print(to)
  expect(statSync(to).size).toBeGreaterThan(20_000)
  quiet(page)
})

test('every kind of chart comes to life', async () => {
  const kinds = await browser.open(fileOf('kinds.html', renderPage(KINDS)), { width: 1000 })
  const pictures = await kinds.value<Picture[]>(PICTURES)
  expect(pictures.map(({ live }) => live)).toEqual([1, 1, 1, 1, 1])
  quiet(kinds)
})
