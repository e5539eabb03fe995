/**
 * Figures for the charts of a session: columns thinned together into the dataset of one chart, and the marks that all of
 * them share. Pure.
 */
import type { Recipe } from '../../../../firmware/recipe/recipe.ts'
import type { RunReport } from '../../../bench/runReport.ts'
import type { BathMoments, Kept, SessionRecord } from './record.ts'
import { type Column, keptRows } from './thin.ts'

/** A session as its charts see it. */
export interface Shown {
  report: RunReport
  recipe: Recipe
  record: SessionRecord
}

/** A column of a chart: how it is got from a row, to how many digits, and how far off a left-out point may be. */
export interface Wanted {
  digits: number
  tolerance: number
  value(row: number): number
}

export type Source = Record<string, (number | null)[]>

/** Between these moments of the session, both included. */
export interface Span {
  fromSeconds: number
  toSeconds: number
}

/** The columns in milliseconds (of the span, where there is one) and figures; a gap is null. */
export function sourceOf(record: SessionRecord, wanted: Record<string, Wanted>, span?: Span): { source: Source } {
  const { seconds } = record
  const rows: number[] = []
  for (let row = 0; row < seconds.length; row++) {
    const now = seconds[row] as number
    if (span === undefined || (now >= span.fromSeconds && now <= span.toSeconds)) rows.push(row)
  }
  const names = Object.keys(wanted)
  const columns: Column[] = names.map(name => {
    const { value, tolerance } = wanted[name] as Wanted
    return { values: Float64Array.from(rows, value), tolerance }
  })
  const kept = keptRows(
    Float64Array.from(rows, row => seconds[row] as number),
    columns,
  )
  const zeroSeconds = span?.fromSeconds ?? 0
  const source: Source = { ms: kept.map(i => milliseconds((seconds[rows[i] as number] as number) - zeroSeconds)) }
  names.forEach((name, i) => {
    const digits = (wanted[name] as Wanted).digits
    source[name] = kept.map(at => rounded((columns[i] as Column).values[at] as number, digits))
  })
  return { source }
}

export function milliseconds(seconds: number): number {
  return Math.round(seconds * 1000)
}

/** Null for what does not exist. */
export function rounded(value: number, digits: number): number | null {
  return isFinite(value) ? Number(value.toFixed(digits)) : null
}

/** A column as it was recorded. */
export function recorded(record: SessionRecord, name: Kept, digits: number, tolerance: number, scale = 1): Wanted {
  const values = record.columns[name]
  return { digits, tolerance, value: row => scale * (values[row] as number) }
}

/** The same, only while a bath is in the tank. */
export function inBath(record: SessionRecord, wanted: Wanted): Wanted {
  const bath = record.columns.trueBathCelsius
  return { ...wanted, value: row => (isNaN(bath[row] as number) ? NaN : wanted.value(row)) }
}

export function isDeveloped(recipe: Recipe, index: number): boolean {
  return recipe.baths[index]?.kind === 'developed'
}

/** The bath that a moment belongs to; -1 between two. */
export function bathAt(record: SessionRecord, seconds: number): number {
  return record.baths.findIndex(
    ({ contactSeconds, endSeconds }) => seconds >= contactSeconds && !(seconds > endSeconds),
  )
}

export function spanOf(record: SessionRecord, { contactSeconds, endSeconds }: BathMoments): Span {
  const lastSeconds = record.seconds.at(-1) ?? contactSeconds
  return { fromSeconds: contactSeconds, toSeconds: isNaN(endSeconds) ? lastSeconds : endSeconds }
}

/** The baths shaded and numbered, for a series that carries marks. */
export function bathAreas({ record }: Shown): object {
  const data = record.baths.map((bath, i) => {
    const { fromSeconds, toSeconds } = spanOf(record, bath)
    return [{ name: String(i + 1), xAxis: milliseconds(fromSeconds) }, { xAxis: milliseconds(toSeconds) }]
  })
  return { label: { position: 'insideTop', distance: 3 }, data }
}

/** A line at each call to pour out. */
export function cueLines({ report, record }: Shown): object {
  const cues = report.baths.flatMap(({ pourOutSeconds }, i) =>
    pourOutSeconds === null ? [] : [record.baths[i]!.contactSeconds + pourOutSeconds],
  )
  return { label: { show: false }, data: cues.map(seconds => ({ xAxis: milliseconds(seconds) })) }
}

/** "1 prewet, 2 developer, …": what the numbers in a chart mean. */
export function bathNumbers({ report }: Shown): string {
  return report.baths.map((bath, i) => `${i + 1} ${bath.name}`).join(', ')
}
