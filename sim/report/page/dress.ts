/**
 * Dresses a chart's option for where it is shown: colours, dashes, symbols, legend, axes and room for them. Pure, and
 * the same on the laptop and in the browser, so that the still picture and the live one are one chart.
 *
 * What the option says itself stays as it says. Grids lie one below the other in their order: a `height` on each says how high,
 * a single one takes what the chart's height leaves. The legend takes as many lines as its names need at the width.
 */
import { formatNamed } from './formats.ts'
import type { Palette, Role } from './palette.ts'

type Part = Record<string, unknown>

export interface Look {
  palette: Palette
  width: number
  /** It answers to pointer and keys; otherwise it is a picture. */
  live: boolean
  /** The reader's system asks for little motion. */
  calm: boolean
}

export interface Dressed {
  option: Part
  height: number
}

/** No quotes: the library puts it into an attribute as it is. */
const FONT = 'system-ui, -apple-system, Segoe UI, Roboto, Noto Sans, sans-serif'
const FONT_SIZE = 12
/** Of a letter, at that size, on average; and what a legend's sign and the gap after a name take. */
const LETTER_WIDTH = 7
const SIGN_WIDTH = 46
const LEGEND_LINE = 22
/** Above a grid for its axis' name; below it for the labels; below the last for the name and, live, the slider. */
const ABOVE_GRID = 26
const BELOW_GRID = 26
const AXIS_NAME = 20
const SLIDER = 34
const LEFT = 50
const RIGHT = 18

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
  const placed = placeGrids(option, height, legendLines, look)
  return {
    option: {
      ...option,
      animation: false,
      backgroundColor: look.live ? 'transparent' : look.palette.paper,
      textStyle: { fontFamily: FONT, fontSize: FONT_SIZE, color: look.palette.ink },
      legend: over(legend(names, look), (option['legend'] as Part) ?? {}),
      tooltip: over(tooltip(look), (option['tooltip'] as Part) ?? {}),
      ...dressedAxes(option, look),
      ...(option['polar'] !== undefined && { polar: list(option['polar']).map(one => over(polar(legendLines), one)) }),
      ...(placed.grids.length > 0 && { grid: placed.grids }),
      dataZoom: zooms(option, look),
      series,
    },
    height: placed.height,
  }
}

/** One thing, several or none, as a list. */
function list(value: unknown): Part[] {
  return value === undefined ? [] : Array.isArray(value) ? value : [value as Part]
}

function isPart(value: unknown): value is Part {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
}

/** `said` laid over `usual`, part by part. */
function over(usual: Part, said: Part): Part {
  const result = { ...usual }
  for (const [key, value] of Object.entries(said)) {
    const below = result[key]
    result[key] = isPart(value) && isPart(below) ? over(below, value) : value
  }
  return result
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
    default:
      Object.assign(usual, labels)
  }
  const dressed = over(usual, series)
  for (const mark of ['markLine', 'markArea', 'markPoint']) {
    if (isPart(dressed[mark])) dressed[mark] = over(marks(mark, look), dressed[mark])
  }
  return dressed
}

function marks(mark: string, look: Look): Part {
  const { palette } = look
  const label = { color: palette.quiet, fontSize: 11, textBorderColor: 'transparent' }
  const usual: Part = {
    silent: true,
    symbol: mark === 'markPoint' ? 'pin' : 'none',
    label,
    emphasis: { disabled: true },
  }
  if (mark === 'markLine') usual['lineStyle'] = { color: palette.quiet, width: 1, type: [3, 3] }
  if (mark === 'markArea') usual['itemStyle'] = { color: palette.shade }
  return usual
}

function legend(names: string[], look: Look): Part {
  return {
    show: names.length > 1,
    data: names,
    type: 'plain',
    top: 0,
    left: 0,
    itemWidth: 26,
    itemHeight: 10,
    // A picture's letters may be wider where it is seen than where it was drawn.
    itemGap: look.live ? 14 : 22,
    selectedMode: look.live,
    inactiveColor: look.palette.quiet,
    textStyle: { color: look.palette.ink, fontSize: FONT_SIZE },
  }
}

/** Lines that the legend needs: names are laid from left to right until one does not fit. */
export function linesOf(names: string[], width: number): number {
  let lines = 1
  let used = 0
  for (const name of names) {
    const wide = name.length * LETTER_WIDTH + SIGN_WIDTH
    if (used > 0 && used + wide > width) {
      lines++
      used = 0
    }
    used += wide
  }
  return lines
}

function tooltip(look: Look): Part {
  const { palette } = look
  return {
    show: look.live,
    confine: true,
    backgroundColor: palette.paper,
    borderColor: palette.quiet,
    textStyle: { color: palette.ink, fontSize: 13 },
    transitionDuration: look.calm ? 0 : 0.2,
    axisPointer: {
      animation: false,
      lineStyle: { color: palette.quiet },
      crossStyle: { color: palette.quiet },
      label: { backgroundColor: palette.ink, color: palette.paper },
    },
  }
}

function polar(legendLines: number): Part {
  return { center: ['50%', `${50 + 4 * legendLines}%`], radius: '70%' }
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

function axisLook(kind: string, axis: Part, look: Look): Part {
  const { palette } = look
  const formatter = isPart(axis['axisLabel']) ? axis['axisLabel']['formatter'] : undefined
  const usual: Part = {
    axisLine: { lineStyle: { color: palette.quiet } },
    axisTick: { lineStyle: { color: palette.quiet } },
    axisLabel: { color: palette.quiet, fontSize: 11, hideOverlap: true },
    splitLine: { show: kind !== 'xAxis', lineStyle: { color: palette.line } },
    minorTick: { show: false },
    nameTextStyle: { color: palette.quiet, fontSize: FONT_SIZE },
    axisPointer: { label: { ...(formatter !== undefined && { formatter }) } },
  }
  if (kind === 'radiusAxis') {
    // Its labels lie among the lines.
    usual['axisLabel'] = { color: palette.quiet, fontSize: 10, backgroundColor: palette.paper, padding: [0, 2] }
    Object.assign(usual, { axisLine: { show: false }, axisTick: { show: false }, z: 10 })
  }
  if (kind === 'xAxis') Object.assign(usual, { nameLocation: 'middle', nameGap: BELOW_GRID })
  if (kind === 'yAxis') {
    // The name stands above the axis, flush with the picture's left edge.
    usual['nameTextStyle'] = { color: palette.quiet, fontSize: FONT_SIZE, align: 'left', padding: [0, 0, 0, -LEFT + 6] }
    usual['nameGap'] = 10
  }
  return usual
}

/** Grids below each other; the height that the whole takes. */
function placeGrids(option: Part, height: number, legendLines: number, look: Look): { grids: Part[]; height: number } {
  const extra = Math.max(0, legendLines - 1) * LEGEND_LINE
  const slider = look.live && list(option['dataZoom']).length > 0 ? SLIDER : 0
  if (option['xAxis'] === undefined) return { grids: [], height: height + extra }
  const name = list(option['xAxis']).some(axis => axis['name'] !== undefined) ? AXIS_NAME : 0
  const asked = list(option['grid'] ?? {})
  const above = list(option['yAxis']).some(axis => axis['name'] !== undefined) ? ABOVE_GRID : ABOVE_GRID / 2
  const legendHeight = Math.min(1, legendLines) * LEGEND_LINE
  const room = height - legendHeight - asked.length * (above + BELOW_GRID) - name
  let top = legendHeight + extra
  const grids = asked.map(grid => {
    const gridHeight = typeof grid['height'] === 'number' ? grid['height'] : room / asked.length
    top += above
    const placed = over({ left: LEFT, right: RIGHT, top, height: gridHeight }, grid)
    top += gridHeight + BELOW_GRID
    return placed
  })
  return { grids, height: top + name + slider }
}

/** A picture shows the same part; live, wheel with a key held, drag, and a slider move it. */
function zooms(option: Part, look: Look): Part[] {
  const { palette } = look
  const axes = list(option['xAxis']).map((_, i) => i)
  return list(option['dataZoom']).flatMap(zoom => {
    const both = { xAxisIndex: axes, filterMode: 'filter', ...zoom }
    const inside = { ...both, type: 'inside', zoomOnMouseWheel: 'shift', moveOnMouseWheel: false, disabled: !look.live }
    if (!look.live) return [inside]
    const slider = {
      ...both,
      type: 'slider',
      height: 20,
      bottom: 4,
      left: LEFT,
      right: RIGHT,
      showDataShadow: false,
      showDetail: false,
      brushSelect: false,
      backgroundColor: palette.shade,
      borderColor: palette.line,
      fillerColor: palette.line,
      handleStyle: { color: palette.paper, borderColor: palette.quiet },
      moveHandleStyle: { color: palette.quiet },
      emphasis: { handleStyle: { borderColor: palette.ink }, moveHandleStyle: { color: palette.ink } },
    }
    return [inside, slider]
  })
}
