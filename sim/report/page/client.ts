/**
 * Draws charts: on the laptop into a text, and in the browser into the page. Bundled with what it needs of the chart
 * library by `bundle.ts`; nothing imports it as it stands. A chart that cannot be drawn in the browser keeps its still
 * picture, and the console says why.
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
import { browser, type Element } from './browser.ts'
import { type Dressed, dress } from './dress.ts'
import { answer } from './keys.ts'
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
  // The library fills the lines of a legend, which have no area, with its own black.
  return shortened(svg.replace(/\bzr(\d+)-/g, 'still$1-').replace(/ fill="#000"/g, ' fill="none"'))
}

/** A tenth of a pixel is enough for a way in a picture. */
function shortened(svg: string): string {
  return svg.replace(/ d="[^"]*"/g, way =>
    way.replace(/\d+\.\d\d+/g, figure => String(Number(Number(figure).toFixed(1)))),
  )
}

interface Live {
  chart: ECharts
  place: Element
  option: object
  height: number
  width: number
}

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
  const live: Live = { chart, place, option, height, width }
  try {
    draw(live, look())
  } catch (thrown) {
    place.remove()
    throw thrown
  }
  chartElement.classList.add('drawn')
  chartElement.tabIndex = 0
  const reading = { chart, place, point: -1 }
  chartElement.addEventListener('keydown', key => {
    if (!key.ctrlKey && !key.altKey && !key.metaKey && answer(reading, key)) key.preventDefault()
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
