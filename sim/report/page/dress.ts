/**
 * Dresses a chart's option for where it is shown: colours, dashes, symbols, legend, axes and room for them. Pure, and
 * the same on the laptop and in the browser, so that the still picture and the live one are one chart.
 *
 * What the option says itself stays as it says. Grids lie one below the other in their order: a `height` on each says how high,
 * a single one takes what the chart's height leaves. The legend takes as many lines as its names need at the width.
 */
import { formatNamed } from './formats.ts'
import { axisLook, FONT_SIZE, type Look, legendLook, marksLook, polarLook, tooltipLook, zooms } from './looks.ts'
import type { Palette, Role } from './palette.ts'
import { isPart, list, over, type Part } from './parts.ts'
import { linesOf, placeGrids } from './room.ts'

export interface Dressed {
  option: Part
  height: number
}

/** No quotes: the library puts it into an attribute as it is. */
const FONT = 'system-ui, -apple-system, Segoe UI, Roboto, Noto Sans, sans-serif'

/** Series tell themselves apart by these, beside their colours. */
const DASHES = ['solid', [7, 4], [2, 3], [10, 3, 2, 3], [4, 2], 'solid']
const SYMBOLS = ['circle', 'triangle', 'rect', 'diamond', 'emptyCircle', 'emptyTriangle']
const SLOTS = 6

/** What is a colour, and what a format, by its key: so that no text of a user is ever taken for one. */
const COLOUR_KEYS = new Set(['color', 'borderColor', 'backgroundColor', 'areaColor', 'textBorderColor'])
const FORMAT_KEYS = new Set(['formatter', 'valueFormatter'])

export function dress(plain: object, height: number, look: Look): Dressed {
  const option = resolved(plain, look.palette) as Part
  const names = legendNames(option)
  const legendLines = names.length > 1 ? linesOf(names, look.width) : 0
  const series = list(option['series']).map((one, i, all) => dressedSeries(one, slotOf(one, i, all), look))
  const placed = placeGrids(option, height, legendLines, look.live)
  return {
    option: {
      ...option,
      animation: false,
      backgroundColor: look.live ? 'transparent' : look.palette.paper,
      textStyle: { fontFamily: FONT, fontSize: FONT_SIZE, color: look.palette.ink },
      legend: over(legendLook(names, look), (option['legend'] as Part) ?? {}),
      tooltip: over(tooltipLook(look), (option['tooltip'] as Part) ?? {}),
      ...dressedAxes(option, look),
      ...(option['polar'] !== undefined && {
        polar: list(option['polar']).map(one => over(polarLook(legendLines), one)),
      }),
      ...(placed.grids.length > 0 && { grid: placed.grids }),
      dataZoom: zooms(option, look),
      series,
    },
    height: placed.height,
  }
}

/** Puts colours and formats for their names. Data is passed by. */
function resolved(value: unknown, palette: Palette, key = ''): unknown {
  if (typeof value === 'string') {
    if (COLOUR_KEYS.has(key) && value.startsWith('@')) return palette[value.slice(1) as Role] ?? value
    if (FORMAT_KEYS.has(key)) return formatNamed(value) ?? value
    return value
  }
  if (key === 'source' || typeof value !== 'object' || value === null) return value
  if (Array.isArray(value)) {
    return value.length > 0 && typeof value[0] !== 'object' ? value : value.map(each => resolved(each, palette, key))
  }
  return Object.fromEntries(Object.entries(value).map(([name, each]) => [name, resolved(each, palette, name)]))
}

/** A series that stays out of the tooltip belongs to another one: half of a band, for instance. */
function isCompanion(series: Part): boolean {
  return isPart(series['tooltip']) && series['tooltip']['show'] === false
}

function namesOf(series: Part[]): string[] {
  const names = series.filter(one => !isCompanion(one)).map(one => String(one['name'] ?? ''))
  return [...new Set(names)].filter(name => name !== '')
}

function legendNames(option: Part): string[] {
  return namesOf(list(option['series']))
}

/** Series of one name look alike, wherever in the chart they are. */
function slotOf(series: Part, index: number, all: Part[]): number {
  const place = namesOf(all).indexOf(String(series['name'] ?? ''))
  return (place < 0 ? index : place) % SLOTS
}

/** Bars of the first series are plain, the others hatched, each at its own angle. */
function hatching(slot: number, look: Look): Part {
  return {
    symbol: 'rect',
    symbolSize: 1,
    color: look.palette.paper,
    dashArrayX: [1, 0],
    dashArrayY: [1.5, 5],
    rotation: (slot * Math.PI) / 4,
  }
}

function dressedSeries(series: Part, slot: number, look: Look): Part {
  const color = look.palette[String(slot + 1) as Role]
  const usual: Part = { color, silent: !look.live, emphasis: { disabled: !look.live } }
  const labels: Part = { label: { color: look.palette.ink, textBorderColor: 'transparent' } }
  switch (series['type']) {
    case 'line':
      Object.assign(usual, { showSymbol: false, symbol: SYMBOLS[slot], symbolSize: 7 })
      usual['lineStyle'] = { width: 1.8, type: DASHES[slot], color: series['color'] ?? color }
      break
    case 'scatter':
      Object.assign(usual, labels, { symbol: SYMBOLS[slot], symbolSize: 7 })
      break
    case 'bar':
      Object.assign(usual, labels)
      if (slot > 0) usual['itemStyle'] = { decal: hatching(slot, look) }
      break
    default:
      Object.assign(usual, labels)
  }
  const dressed = over(usual, series)
  for (const mark of ['markLine', 'markArea', 'markPoint']) {
    if (isPart(dressed[mark])) dressed[mark] = over(marksLook(mark, look), dressed[mark])
  }
  return dressed
}

const AXES = ['xAxis', 'yAxis', 'angleAxis', 'radiusAxis']

function dressedAxes(option: Part, look: Look): Part {
  const dressed: Part = {}
  for (const kind of AXES) {
    const axes = list(option[kind])
    if (axes.length > 0) dressed[kind] = axes.map(axis => over(axisLook(kind, axis, look), axis))
  }
  return dressed
}
