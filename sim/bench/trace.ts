/**
 * A temperature trace: a CSV of what a bath really did. Read whole, checked whole, and only then used; every problem
 * is listed with its line.
 */
import { parse } from 'csv-parse/sync'
import { DECIMAL_HINT, hasDecimalComma, pointed } from './decimalComma.ts'
import { InputError } from './inputError.ts'
import { csvText, readWhole } from './readWhole.ts'

/** The bath's temperature over time: linear between the rows, constant before the first and after the last. */
export interface Trace {
  /** Strictly rising; second 0 is the first bath's first contact. */
  seconds: Float64Array
  bathCelsius: Float64Array
  /** The room's, where the file has it. */
  ambientCelsius: Float64Array | undefined
}

/** What water can be, and what a thermometer in a darkroom shows. */
const LOW_CELSIUS = 0
const HIGH_CELSIUS = 60
const PROBLEMS_AT_MOST = 20
const BYTES_AT_MOST = 50_000_000
const HEADER = 'seconds,bathCelsius[,ambientCelsius]'

/** Reads and checks `path`. Throws `InputError` with every problem found. */
export function readTrace(path: string): Trace {
  return parseTrace(csvText(readWhole(path, BYTES_AT_MOST), path), path)
}

/** The same from text; `name` is what the messages call it. */
export function parseTrace(text: string, name: string): Trace {
  if (text.length > BYTES_AT_MOST) throw new InputError([`${name}: over ${BYTES_AT_MOST / 1e6} MB; allowed: less`])
  const rows = rowsOf(text, name)
  const header = rows.shift()
  if (header === undefined) throw new InputError([`${name}: empty; allowed: the header ${HEADER}, then rows`])
  const hasAmbient = checkHeader(header.cells, name)
  const problems: string[] = []
  const columns = hasAmbient ? 3 : 2
  const values = new Float64Array(rows.length * columns)
  for (let row = 0; row < rows.length; row++) {
    const { cells, line } = rows[row] as CsvRow
    const found = checkRow(cells, columns, row > 0 ? (values[(row - 1) * columns] as number) : -Infinity)
    for (const problem of found.problems) problems.push(`${name}:${line}: ${problem}`)
    for (let column = 0; column < columns; column++) values[row * columns + column] = found.values[column] as number
  }
  if (rows.length === 0) problems.push(`${name}: no rows below the header; allowed: at least one`)
  if (problems.length > PROBLEMS_AT_MOST) {
    const more = problems.length - PROBLEMS_AT_MOST
    problems.length = PROBLEMS_AT_MOST
    problems.push(`${name}: and ${more} more problem${more === 1 ? '' : 's'} like these`)
  }
  if (problems.length > 0) throw new InputError(problems)
  const column = (index: number): Float64Array =>
    Float64Array.from(rows, (_, row) => values[row * columns + index] as number)
  return { seconds: column(0), bathCelsius: column(1), ambientCelsius: hasAmbient ? column(2) : undefined }
}

interface CsvRow {
  cells: string[]
  line: number
}

function rowsOf(text: string, name: string): CsvRow[] {
  try {
    const parsed = parse(text, {
      bom: true,
      trim: true,
      skip_empty_lines: true,
      relax_column_count: true,
      relax_quotes: true,
      info: true,
    }) as unknown as { record: string[]; info: { lines: number } }[]
    return parsed.map(({ record, info }) => ({ cells: record, line: info.lines }))
  } catch (cause) {
    throw new InputError([`${name}: not a CSV file (${(cause as Error).message})`])
  }
}

/** True when there is an ambient column. */
function checkHeader(cells: string[], name: string): boolean {
  if (cells[0] === 'seconds' && cells[1] === 'bathCelsius') {
    if (cells.length === 2) return false
    if (cells.length === 3 && cells[2] === 'ambientCelsius') return true
  }
  const hint = cells.some(cell => cell.includes(';')) ? ' (commas between the columns, and points in the numbers)' : ''
  const separator = cells.length === 1 ? /^"?seconds"?\s*([;\t|])/.exec(cells[0] as string)?.[1] : undefined
  if (separator !== undefined) {
    throw new InputError([
      `${name}:1: the columns are separated by ${separator === '\t' ? 'tabs' : `"${separator}"`}; allowed: commas ` +
        'between the columns, and points in the numbers (12.5,23.4)',
    ])
  }
  throw new InputError([`${name}:1: the header is ${quoted(cells.join(','))}; allowed: ${HEADER}${hint}`])
}

function checkRow(cells: string[], columns: number, secondsBefore: number): { values: number[]; problems: string[] } {
  const problems: string[] = []
  const values: number[] = []
  if (cells.length !== columns) {
    const hint = cells.length > columns && cells.some(cell => /^\d+$/.test(cell)) ? ` (${DECIMAL_HINT})` : ''
    problems.push(
      `${cells.length} column${cells.length === 1 ? '' : 's'}; allowed: ${columns}, as in the header${hint}`,
    )
  }
  for (let column = 0; column < Math.min(columns, cells.length); column++) {
    const cell = cells[column] as string
    const value = cell === '' ? NaN : Number(cell)
    values.push(value)
    const key = ['seconds', 'bathCelsius', 'ambientCelsius'][column]
    if (!Number.isFinite(value)) {
      const hint = hasDecimalComma(cell) ? ` (${pointed(cell)})` : ''
      problems.push(`${key} is ${cell === '' ? 'empty' : quoted(cell)}; allowed: a number${hint}`)
    } else if (column > 0 && (value < LOW_CELSIUS || value > HIGH_CELSIUS)) {
      problems.push(`${key} is ${cell}; allowed: ${LOW_CELSIUS} to ${HIGH_CELSIUS} C (is it in Fahrenheit?)`)
    } else if (column === 0 && value <= secondsBefore) {
      problems.push(`seconds is ${cell} after ${secondsBefore}; allowed: more than in the row before (sort the rows)`)
    }
  }
  return { values, problems }
}

function quoted(text: string): string {
  return JSON.stringify(text.length > 40 ? `${text.slice(0, 40)}...` : text)
}

/** A place in a trace that moves along with time, so that no look has to search from the start. */
export interface TraceCursor {
  trace: Trace
  row: number
}

export function traceFrom(trace: Trace): TraceCursor {
  return { trace, row: 0 }
}

export function bathOnTrace(cursor: TraceCursor, seconds: number): number {
  return valueAt(cursor, cursor.trace.bathCelsius, seconds)
}

/** NaN for a trace without an ambient column. */
export function ambientOnTrace(cursor: TraceCursor, seconds: number): number {
  return cursor.trace.ambientCelsius === undefined ? NaN : valueAt(cursor, cursor.trace.ambientCelsius, seconds)
}

/** Linear between rows, constant beyond the ends. */
function valueAt(cursor: TraceCursor, values: Float64Array, seconds: number): number {
  const times = cursor.trace.seconds
  const last = times.length - 1
  let row = cursor.row
  while (row > 0 && (times[row] as number) > seconds) row--
  while (row < last && (times[row + 1] as number) <= seconds) row++
  cursor.row = row
  const from = times[row] as number
  const low = values[row] as number
  if (seconds <= from || row === last) return low
  const part = (seconds - from) / ((times[row + 1] as number) - from)
  return low + part * ((values[row + 1] as number) - low)
}
