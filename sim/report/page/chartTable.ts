/**
 * A chart's figures as a table, for readers who cannot see the picture: made from its option. Long series are thinned to
 * every so-manieth row, which the caption says. Pure.
 *
 * Knows data as columns of a dataset, and as pairs or single values of series; a chart with other data says its own table.
 */
import { clock, formatNamed } from './formats.ts'
import type { Chart, Table } from './page.ts'

const ROWS_AT_MOST = 60

interface Axis {
  name?: string
  type?: string
  data?: (string | number)[]
  axisLabel?: { formatter?: string }
}

interface Series {
  name?: string
  data?: unknown[]
  encode?: { x?: string; y?: string; radius?: string; angle?: string }
  tooltip?: { show?: boolean; valueFormatter?: string }
  xAxisIndex?: number
}

interface Option {
  series?: Series | Series[]
  dataset?: { source: Record<string, (number | string | null)[]> }
  xAxis?: Axis | Axis[]
  yAxis?: Axis | Axis[]
  angleAxis?: Axis
}

type Cell = number | string | null | undefined

export function chartTable(chart: Chart): Table {
  const option = chart.option as Option
  const x = first(option.xAxis) ?? option.angleAxis ?? {}
  const y = first(option.yAxis) ?? {}
  // Bars that lie on their side are named along the other axis.
  const along = x.type === 'value' && y.type === 'category' ? y : x
  const shown = all(option.series).filter(series => series.tooltip?.show !== false)
  const points = new Map<string, Cell[]>()
  shown.forEach((series, column) => {
    for (const [at, value] of pointsOf(series, option, along)) {
      const name = nameOf(at, along)
      const row = points.get(name) ?? shown.map(() => undefined)
      row[column] = value
      points.set(name, row)
    }
  })
  const rows = [...points].map(([at, cells]) => [at, ...cells.map((cell, i) => text(cell, shown[i] as Series))])
  const every = Math.max(1, Math.ceil(rows.length / ROWS_AT_MOST))
  return {
    head: [along.name ?? (along.type === 'time' ? 'time' : ''), ...shown.map(series => series.name ?? '')],
    rows: rows.filter((_, i) => i % every === 0),
    ...(every > 1 && { caption: `One row of every ${every} of the chart's points.` }),
  }
}

function all<T>(value: T | T[] | undefined): T[] {
  return value === undefined ? [] : Array.isArray(value) ? value : [value]
}

function first<T>(value: T | T[] | undefined): T | undefined {
  return all(value)[0]
}

function pointsOf(series: Series, option: Option, along: Axis): [Cell, Cell][] {
  const { encode } = series
  const source = option.dataset?.source
  const xName = encode?.x ?? encode?.angle
  const yName = encode?.y ?? encode?.radius
  if (series.data === undefined && source !== undefined && xName !== undefined && yName !== undefined) {
    const values = source[yName] ?? []
    return (source[xName] ?? []).map((at, i): [Cell, Cell] => [at, values[i]]).filter(([, value]) => value !== null)
  }
  return (series.data ?? []).map((item, i): [Cell, Cell] => {
    const value = typeof item === 'object' && item !== null && 'value' in item ? item.value : item
    if (Array.isArray(value)) return [value[0] as Cell, value[1] as Cell]
    return [along.data?.[i] ?? i, value as Cell]
  })
}

function nameOf(at: Cell, axis: Axis): string {
  if (axis.type === 'time' && typeof at === 'number') return clock(at)
  const format = typeof at === 'number' ? formatNamed(axis.axisLabel?.formatter ?? '') : undefined
  return format === undefined ? String(at ?? '') : format(at)
}

function text(cell: Cell, series: Series): string {
  if (cell === undefined || cell === null) return ''
  const format = typeof cell === 'number' ? formatNamed(series.tooltip?.valueFormatter ?? '') : undefined
  return format === undefined ? String(cell) : format(cell)
}
