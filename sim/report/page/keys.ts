/**
 * The keys of a chart that has the focus: left and right go from point to point (ten with Shift), and what the pointer
 * would show is said aloud; + and - zoom, 0 shows the whole, 1 to 9 hide and show a line, Escape ends the reading.
 */
import type { ECharts } from 'echarts/core'
import { browser, type Element, type Key } from './browser.ts'

/** Where in a chart the keys are. */
export interface Reading {
  chart: ECharts
  place: Element
  point: number
}

/** True when the key meant something. */
export function answer(reading: Reading, { key, shiftKey }: Key): boolean {
  const { chart } = reading
  const stride = shiftKey ? 10 : 1
  if (key === 'ArrowRight') return read(reading, stride)
  if (key === 'ArrowLeft') return read(reading, -stride)
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
  dataZoom?: { start: number; end: number }[]
}

/** Goes on by so many points of the first line that shows, stepping over those that are out of sight. */
function read(reading: Reading, by: number): boolean {
  const { chart } = reading
  // The library's own store of a series' points; its types do not show it.
  const model = (chart as unknown as { getModel(): Model }).getModel()
  const series = model.getSeries().find(one => one.get(['tooltip', 'show']) !== false)
  if (series === undefined) return false
  const data = series.getData()
  if (data.count() === 0) return false
  const last = data.count() - 1
  const now = data.indexOfRawIndex(reading.point)
  const next = now < 0 ? (by > 0 ? 0 : last) : Math.min(last, Math.max(0, now + by))
  reading.point = data.getRawIndex(next)
  chart.dispatchAction({ type: 'showTip', seriesIndex: series.seriesIndex, dataIndex: reading.point })
  // biome-ignore lint/performance/useDomNodeTextContent: it keeps the lines of the tooltip apart.
  const said = [...reading.place.querySelectorAll(':scope > div')].at(-1)?.innerText ?? ''
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
