/**
 * Leaves out of a time series what a straight line between its neighbours shows as well: so that a page carries some
 * hundred points and no corner is lost. Pure.
 *
 * A cone for each column: from a point that is kept, as many rows are passed over as a line through it stays within the tolerance
 * of all of them. The row before a gap and the one after it are kept.
 */

export interface Column {
  values: ArrayLike<number>
  /** A value left out lies within this of the line between its neighbours that are kept. */
  tolerance: number
}

/** Places of the rows to keep, rising; the first and the last are among them. `x` rises strictly. */
export function keptRows(x: ArrayLike<number>, columns: Column[]): number[] {
  if (x.length === 0) return []
  const kept = [0]
  const low = columns.map(() => -Infinity)
  const high = columns.map(() => Infinity)
  let from = 0
  for (let row = 1; row < x.length; row++) {
    if (gapBetween(columns, row - 1, row)) {
      if (row - 1 > from) kept.push(row - 1)
      kept.push(row)
      from = row
    } else if (!fits(x, columns, from, row, low, high)) {
      from = row - 1
      kept.push(from)
    } else {
      narrow(x, columns, from, row, low, high)
      continue
    }
    low.fill(-Infinity)
    high.fill(Infinity)
    if (from < row) narrow(x, columns, from, row, low, high)
  }
  if (from < x.length - 1) kept.push(x.length - 1)
  return kept
}

/** A column begins or ends there. */
function gapBetween(columns: Column[], before: number, after: number): boolean {
  return columns.some(({ values }) => isNaN(values[before] as number) !== isNaN(values[after] as number))
}

function slope(x: ArrayLike<number>, values: ArrayLike<number>, from: number, to: number, off: number): number {
  return ((values[to] as number) + off - (values[from] as number)) / ((x[to] as number) - (x[from] as number))
}

function fits(
  x: ArrayLike<number>,
  columns: Column[],
  from: number,
  to: number,
  low: number[],
  high: number[],
): boolean {
  return columns.every(({ values }, i) => {
    const now = slope(x, values, from, to, 0)
    return isNaN(now) || (now >= (low[i] as number) && now <= (high[i] as number))
  })
}

function narrow(
  x: ArrayLike<number>,
  columns: Column[],
  from: number,
  to: number,
  low: number[],
  high: number[],
): void {
  columns.forEach(({ values, tolerance }, i) => {
    const least = slope(x, values, from, to, -tolerance)
    const most = slope(x, values, from, to, tolerance)
    if (isNaN(least)) return
    low[i] = Math.max(low[i] as number, least)
    high[i] = Math.min(high[i] as number, most)
  })
}
