/** The parts of a page one by one: colours, dressing, thinning, tables of figures, places where the tank turned back. */
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { chartTable } from '../../../../sim/report/page/chartTable.ts'
import { type Dressed, dress } from '../../../../sim/report/page/dress.ts'
import { clock, formatNamed } from '../../../../sim/report/page/formats.ts'
import type { Look } from '../../../../sim/report/page/looks.ts'
import { DARK, LIGHT, type Palette, type Role } from '../../../../sim/report/page/palette.ts'
import { keptRows } from '../../../../sim/report/page/session/thin.ts'

/** Relative luminance and contrast as WCAG 2.2 defines them. */
function luminance(colour: string): number {
  const parts = [1, 3, 5].map(at => parseInt(colour.slice(at, at + 2), 16) / 255)
  const [red, green, blue] = parts.map(c => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4))
  return 0.2126 * red! + 0.7152 * green! + 0.0722 * blue!
}

function contrast(one: string, other: string): number {
  const [darker, lighter] = [luminance(one), luminance(other)].sort((a, b) => a - b)
  return (lighter! + 0.05) / (darker! + 0.05)
}

test.each([
  ['light', LIGHT],
  ['dark', DARK],
])('on a %s page words keep 4.5 to 1 against it and the first five lines 3 to 1', (_, palette: Palette) => {
  for (const role of ['ink', 'quiet'] as Role[]) {
    expect(contrast(palette[role], palette.paper), role).toBeGreaterThanOrEqual(4.5)
    expect(contrast(palette[role], palette.shade), role).toBeGreaterThanOrEqual(4.5)
  }
  for (const role of ['1', '2', '3', '4', '5'] as Role[]) {
    expect(contrast(palette[role], palette.paper), role).toBeGreaterThanOrEqual(3)
  }
})

const LOOK: Look = { palette: LIGHT, width: 760, live: false, calm: true }

function seriesOf({ option }: Dressed): Record<string, unknown>[] {
  return option['series'] as Record<string, unknown>[]
}

test('lines differ in dash and symbol as well as colour, and those of one name are alike', () => {
  const names = ['a', 'b', 'c', 'd', 'a']
  const plain = { xAxis: {}, yAxis: {}, series: names.map(name => ({ type: 'line', name, data: [] })) }
  const drawn = seriesOf(dress(plain, 300, LOOK))
  for (const key of ['color', 'symbol']) expect(new Set(drawn.map(one => one[key])).size).toBe(4)
  expect(new Set(drawn.map(one => JSON.stringify((one['lineStyle'] as { type: unknown }).type))).size).toBe(4)
  expect(drawn[4]!['color']).toBe(drawn[0]!['color'])
})

test('bars after the first series are hatched, each at its own angle', () => {
  const plain = { xAxis: {}, yAxis: {}, series: ['a', 'b', 'c'].map(name => ({ type: 'bar', name, data: [] })) }
  const angles = seriesOf(dress(plain, 300, LOOK)).map(
    ({ itemStyle }) => (itemStyle as { decal: { rotation: number } } | undefined)?.decal.rotation,
  )
  expect(angles[0]).toBeUndefined()
  expect(new Set(angles).size).toBe(3)
})

test('names that look like colours or formats stay names', () => {
  const plain = {
    xAxis: { type: 'category', name: '@clock', data: ['@1', '@ink'] },
    yAxis: {},
    series: [{ type: 'bar', name: '@2', color: '@2', data: [{ name: '@3', value: 1, itemStyle: { color: '@3' } }, 2] }],
  }
  const { option } = dress(plain, 300, LOOK)
  const [bar] = option['series'] as [{ name: string; color: string; data: [{ name: string; itemStyle: object }] }]
  expect(option['xAxis']).toMatchObject([{ name: '@clock', data: ['@1', '@ink'] }])
  expect(bar).toMatchObject({ name: '@2', color: LIGHT['2'] })
  expect(bar.data[0]).toMatchObject({ name: '@3', itemStyle: { color: LIGHT['3'] } })
})

test('what an option says itself is left as it is', () => {
  const plain = { xAxis: {}, yAxis: {}, series: [{ type: 'line', name: 'x', data: [], lineStyle: { type: 'dotted' } }] }
  expect(seriesOf(dress(plain, 300, LOOK))[0]!['lineStyle']).toMatchObject({ type: 'dotted', color: LIGHT['1'] })
})

test('a legend that needs more lines makes the chart higher, and a live chart that zooms has room for its slider', () => {
  const names = ['the temperature of the bath', 'what the base reckons', 'what the probe shows']
  const plain = {
    xAxis: { name: 'time' },
    yAxis: { name: 'C' },
    dataZoom: [{}],
    series: names.map(name => ({ type: 'line', name, data: [] })),
  }
  const wide = dress(plain, 300, LOOK)
  const narrow = dress(plain, 300, { ...LOOK, width: 320 })
  const live = dress(plain, 300, { ...LOOK, live: true })
  expect(wide.height).toBe(300)
  expect(narrow.height).toBeGreaterThan(320)
  expect(live.height).toBeGreaterThan(320)
  const top = ({ option }: Dressed): number => (option['grid'] as { top: number }[])[0]!.top
  expect(top(narrow) - top(wide)).toBe(narrow.height - wide.height)
})

test('grids lie below each other without touching', () => {
  const plain = { grid: [{ height: 90 }, { height: 50 }], xAxis: [{}, {}], yAxis: [{}, {}], series: [] }
  const { option, height } = dress(plain, 999, LOOK)
  const [first, second] = option['grid'] as { top: number; height: number }[]
  expect(second!.top).toBeGreaterThan(first!.top + first!.height + 10)
  expect(height).toBeGreaterThan(second!.top + second!.height)
})

test('times are written as minutes and seconds, figures with their digits and unit, and what is none says so', () => {
  expect([0, 5_000, 65_300, 3_605_000].map(clock)).toEqual(['0:00', '0:05', '1:05.3', '1:00:05'])
  expect(formatNamed('@fixed:1: mL')?.(2.345)).toBe('2.3 mL')
  expect(formatNamed('@clock')?.({ value: 61_000 })).toBe('1:01')
  expect(formatNamed('@fixed:1:')?.(null)).toBe('none')
  expect(formatNamed('{b}: {c}')).toBeUndefined()
})

test('a point that is left out of a series lies on the line between its neighbours, within the tolerance', () => {
  const step = fc.double({ min: 0.1, max: 2, noNaN: true })
  const value = fc.oneof({ weight: 9, arbitrary: fc.double({ min: -5, max: 5, noNaN: true }) }, fc.constant(NaN))
  fc.assert(
    fc.property(fc.array(fc.tuple(step, value, value), { maxLength: 60 }), rows => {
      const x: number[] = []
      for (const [by] of rows) x.push((x.at(-1) ?? 0) + by)
      const columns = [
        { values: rows.map(row => row[1]), tolerance: 1.5 },
        { values: rows.map(row => row[2]), tolerance: 0.5 },
      ]
      const kept = keptRows(x, columns)
      expect(kept).toEqual([...new Set(kept)].sort((a, b) => a - b))
      if (x.length > 0) expect([kept[0], kept.at(-1)]).toEqual([0, x.length - 1])
      kept.slice(1).forEach((to, i) => {
        const from = kept[i]!
        for (let row = from + 1; row < to; row++) {
          for (const { values, tolerance } of columns) {
            const part = (x[row]! - x[from]!) / (x[to]! - x[from]!)
            const line = values[from]! + part * (values[to]! - values[from]!)
            if (isNaN(values[row]!)) expect(line).toBeNaN()
            else expect(Math.abs(line - values[row]!)).toBeLessThanOrEqual(tolerance + 1e-9)
          }
        }
      })
    }),
  )
})

test('a straight series is left with its ends', () => {
  const x = Array.from({ length: 1000 }, (_, i) => i)
  expect(keptRows(x, [{ values: x.map(now => 3 * now), tolerance: 0.001 }])).toEqual([0, 999])
})

test('the figures of a chart are those of its option, a column for each line', () => {
  const source = { ms: [0, 60_000], a: [1.25, null], low: [1, 1] }
  const table = chartTable({
    name: 'x',
    says: 'x',
    height: 100,
    option: {
      dataset: { source },
      xAxis: { type: 'time', name: 'minutes' },
      yAxis: {},
      series: [
        { type: 'line', name: 'a', encode: { x: 'ms', y: 'a' }, tooltip: { valueFormatter: '@fixed:1: C' } },
        { type: 'line', encode: { x: 'ms', y: 'low' }, tooltip: { show: false } },
        { type: 'line', name: 'b', data: [[60_000, 7]] },
      ],
    },
  })
  expect(table).toEqual({ head: ['minutes', 'a', 'b'], rows: [['0:00', '1.3 C', ''], ['1:00', '', '7']] }) // biome-ignore format: a table
})

test('a long series is thinned in its table, and that is said', () => {
  const data = Array.from({ length: 1000 }, (_, i) => [i, i])
  const option = { xAxis: {}, yAxis: {}, series: [{ type: 'scatter', name: 'a', data }] }
  const { rows, caption } = chartTable({ name: 'x', says: 'x', height: 100, option })
  expect(rows.length).toBeLessThanOrEqual(60)
  expect(caption).toMatch(/every 17/)
})

test('bars that lie on their side are named along their axis', () => {
  const option = {
    xAxis: { type: 'value' },
    yAxis: { type: 'category', name: 'input', data: ['pour', 'room'] },
    series: [{ type: 'bar', name: 'share', data: [0.6, { value: 0.4 }] }],
  }
  const { head, rows } = chartTable({ name: 'x', says: 'x', height: 100, option })
  expect([head, ...rows]).toEqual([['input', 'share'], ['pour', '0.6'], ['room', '0.4']]) // biome-ignore format: a table
})
