/**
 * Draws charts: on the laptop into a text, and in the browser into the page. Bundled with what it needs of the chart
 * library by `bundle.ts`; nothing imports it as it stands. A chart that cannot be drawn in the browser keeps its still
 * picture, and the console says why.
 *
 * In the browser a chart that has the focus answers to keys: left and right go from point to point, and what the pointer
 * would show is said aloud; + and - zoom, 0 shows the whole, 1 to 9 hide and show a line, Escape ends the reading.
 */
import { BarChart, BoxplotChart, LineChart, ScatterChart } from 'echarts/charts'
import {
  DatasetComponent,
  DataZoomComponent,
  GridComponent,
  LegendPlainComponent,
  MarkAreaComponent,
  MarkLineComponent,
  MarkPointComponent,
  PolarComponent,
  TooltipComponent,
} from 'echarts/components'
import { type ECharts, init, use } from 'echarts/core'
import { SVGRenderer } from 'echarts/renderers'
import { type Dressed, dress } from './dress.ts'
import type { Palette } from './palette.ts'

use([
  ...[BarChart, BoxplotChart, LineChart, ScatterChart, SVGRenderer],
  ...[DatasetComponent, GridComponent, PolarComponent, LegendPlainComponent, TooltipComponent, DataZoomComponent],
  ...[MarkAreaComponent, MarkLineComponent, MarkPointComponent],
])

/** The picture as text. Ids in it are its own, so that several can stand in one page with live charts. */
export function svgOf(option: object, height: number, width: number, palette: Palette): string {
  const dressed = dress(option, height, { palette, width, live: false, calm: true })
  const chart = init(null, null, { renderer: 'svg', ssr: true, width, height: dressed.height })
  chart.setOption(dressed.option)
  const svg = chart.renderToSVGString({ useViewBox: true })
  chart.dispose()
  return svg.replace(/\bzr(\d+)-/g, 'still$1-')
}

/** What of the browser is used here; the project is checked without a browser's types. */
interface Element {
  textContent: string
  innerText: string
  clientWidth: number
  style: Record<string, string>
  className: string
  classList: { add(name: string): void; contains(name: string): boolean }
  tabIndex: number
  querySelector(selector: string): Element | null
  querySelectorAll(selector: string): Iterable<Element>
  append(child: Element): void
  remove(): void
  setAttribute(name: string, value: string): void
  addEventListener(kind: string, heard: (event: Key) => void): void
}

interface Key {
  key: string
  shiftKey: boolean
  ctrlKey: boolean
  altKey: boolean
  metaKey: boolean
  preventDefault(): void
}

interface MediaQuery {
  matches: boolean
  addEventListener(kind: 'change', heard: () => void): void
}

interface Browser {
  document: Element & { createElement(tag: string): Element; documentElement: Element }
  matchMedia(query: string): MediaQuery
  ResizeObserver: new (seen: () => void) => { observe(element: Element): void }
}

interface Live {
  chart: ECharts
  chartElement: Element
  place: Element
  option: object
  height: number
  width: number
  /** The point that the keys are at. */
  point: number
}

const browser = globalThis as unknown as Browser

/** Makes every chart of the page live. */
export function begin(): void {
  const palettes = JSON.parse(browser.document.querySelector('#palettes')!.textContent)
  const dark = browser.matchMedia('(prefers-color-scheme: dark)')
  const calm = browser.matchMedia('(prefers-reduced-motion: reduce)')
  const look = (): { palette: Palette; calm: boolean } => ({
    palette: dark.matches ? palettes.dark : palettes.light,
    calm: calm.matches,
  })
  const all: Live[] = []
  for (const figure of browser.document.querySelectorAll('figure')) {
    try {
      all.push(enliven(figure, look))
    } catch (thrown) {
      console.error(thrown)
    }
  }
  if (all.length > 0) browser.document.documentElement.classList.add('live')
  for (const media of [dark, calm]) {
    media.addEventListener('change', () => {
      for (const live of all) draw(live, look())
    })
  }
}

type LookNow = () => { palette: Palette; calm: boolean }

function enliven(figure: Element, look: LookNow): Live {
  const { option, height } = JSON.parse(figure.querySelector('script.option')!.textContent)
  const chartElement = figure.querySelector('.chart')!
  const place = browser.document.createElement('div')
  place.className = 'place'
  chartElement.append(place)
  const width = chartElement.clientWidth
  const chart = init(place as never, null, { renderer: 'svg', width, height })
  const live: Live = { chart, chartElement, place, option, height, width, point: -1 }
  try {
    draw(live, look())
  } catch (thrown) {
    place.remove()
    throw thrown
  }
  chartElement.classList.add('drawn')
  chartElement.tabIndex = 0
  chartElement.addEventListener('keydown', key => {
    if (!key.ctrlKey && !key.altKey && !key.metaKey && answer(live, key)) key.preventDefault()
  })
  chartElement.addEventListener('blur', () => chart.dispatchAction({ type: 'hideTip' }))
  new browser.ResizeObserver(() => {
    const now = chartElement.clientWidth
    if (now === 0 || now === live.width) return
    live.width = now
    draw(live, look())
  }).observe(chartElement)
  return live
}

/** Draws anew, with the part that was shown and the lines that were hidden as they were. */
function draw(live: Live, look: { palette: Palette; calm: boolean }): void {
  const { chart } = live
  const before = chart.getOption() as { dataZoom?: Zoom[]; legend?: { selected: object }[] } | undefined
  const dressed: Dressed = dress(live.option, live.height, { ...look, width: live.width, live: true })
  live.place.style['height'] = `${dressed.height}px`
  chart.resize({ width: live.width, height: dressed.height })
  chart.setOption(dressed.option, { notMerge: true })
  const selected = before?.legend?.[0]?.selected
  if (selected !== undefined) chart.setOption({ legend: { selected } })
  const zoom = before?.dataZoom?.[0]
  if (zoom !== undefined) chart.dispatchAction({ type: 'dataZoom', start: zoom.start, end: zoom.end })
}

interface Zoom {
  start: number
  end: number
}

/** True when the key meant something. */
function answer(live: Live, { key, shiftKey }: Key): boolean {
  const { chart } = live
  const stride = shiftKey ? 10 : 1
  if (key === 'ArrowRight') return read(live, stride)
  if (key === 'ArrowLeft') return read(live, -stride)
  if (key === '+' || key === '=') return zoomBy(chart, 0.5)
  if (key === '-') return zoomBy(chart, 2)
  if (key === '0') return zoomBy(chart, Infinity)
  if (/^[1-9]$/.test(key)) return toggle(chart, Number(key) - 1)
  if (key !== 'Escape') return false
  chart.dispatchAction({ type: 'hideTip' })
  return true
}

interface Drawn {
  legend?: { data: string[] }[]
  series: { name: string; tooltip?: { show?: boolean } }[]
  dataZoom?: Zoom[]
}

/** Goes on by so many points of the first line that shows, stepping over those that are out of sight. */
function read(live: Live, by: number): boolean {
  const { chart } = live
  // The library's own store of a series' points; its types do not show it.
  const model = (chart as unknown as { getModel(): Model }).getModel()
  const series = model.getSeries().find(one => one.get(['tooltip', 'show']) !== false)
  if (series === undefined) return false
  const data = series.getData()
  if (data.count() === 0) return false
  const last = data.count() - 1
  const now = data.indexOfRawIndex(live.point)
  const next = now < 0 ? (by > 0 ? 0 : last) : Math.min(last, Math.max(0, now + by))
  live.point = data.getRawIndex(next)
  chart.dispatchAction({ type: 'showTip', seriesIndex: series.seriesIndex, dataIndex: live.point })
  // biome-ignore lint/performance/useDomNodeTextContent: it keeps the lines of the tooltip apart.
  const said = [...live.place.querySelectorAll('div')].at(-1)?.innerText ?? ''
  browser.document.querySelector('#spoken')!.textContent = said.replace(/\s*\n\s*/g, ', ')
  return true
}

interface Model {
  getSeries(): {
    seriesIndex: number
    get(path: string[]): unknown
    getData(): { count(): number; indexOfRawIndex(raw: number): number; getRawIndex(index: number): number }
  }[]
}

function zoomBy(chart: ECharts, factor: number): boolean {
  const zoom = (chart.getOption() as unknown as Drawn).dataZoom?.[0]
  if (zoom === undefined) return false
  const middle = (zoom.start + zoom.end) / 2
  const half = Math.min(50, Math.max(0.25, ((zoom.end - zoom.start) / 2) * factor))
  const start = Math.min(Math.max(0, middle - half), 100 - 2 * half)
  chart.dispatchAction({ type: 'dataZoom', start, end: start + 2 * half })
  return true
}

function toggle(chart: ECharts, index: number): boolean {
  const name = (chart.getOption() as unknown as Drawn).legend?.[0]?.data[index]
  if (name === undefined) return false
  chart.dispatchAction({ type: 'legendToggleSelect', name })
  return true
}
