/** Two measures of many programmes as a small picture of characters. Pure; fits 80 columns. */

export interface Mark {
  x: number
  y: number
  sign: string
}

const WIDTH = 60
const HEIGHT = 12
const LEFT = 9

/** Later marks cover earlier ones; a mark that is no number is left out. Empty for fewer than two. */
export function scatterLines(marks: Mark[], xName: string, yName: string, say: (value: number) => string): string[] {
  const shown = marks.filter(mark => isFinite(mark.x) && isFinite(mark.y))
  if (shown.length < 2) return []
  const x = rangeOf(shown.map(mark => mark.x))
  const y = rangeOf(shown.map(mark => mark.y))
  const rows: string[][] = Array.from({ length: HEIGHT }, () => new Array<string>(WIDTH).fill(' '))
  for (const mark of shown) {
    const column = Math.min(WIDTH - 1, Math.floor(((mark.x - x.low) / x.width) * WIDTH))
    const row = Math.min(HEIGHT - 1, Math.floor(((mark.y - y.low) / y.width) * HEIGHT))
    ;(rows[HEIGHT - 1 - row] as string[])[column] = mark.sign
  }
  const lines = rows.map((row, i) => {
    const label = i === 0 ? say(y.low + y.width) : i === HEIGHT - 1 ? say(y.low) : ''
    return `${label.padStart(LEFT - 1)} |${row.join('').trimEnd()}`
  })
  const ends = [x.low.toFixed(0), `${(x.low + x.width).toFixed(0)} ${xName}`]
  return [
    `${' '.repeat(LEFT)}${yName}`,
    ...lines,
    `${' '.repeat(LEFT)}+${'-'.repeat(WIDTH)}`,
    `${' '.repeat(LEFT)}${ends[0]}${(ends[1] as string).padStart(WIDTH + 1 - (ends[0] as string).length)}`,
  ]
}

/** An axis is at least this part of its largest value wide, so that marks at one place do not stretch or crush it. */
const LEAST_WIDTH = 0.1

function rangeOf(values: number[]): { low: number; width: number } {
  const low = Math.min(...values)
  const high = Math.max(...values)
  const least = LEAST_WIDTH * Math.max(Math.abs(low), Math.abs(high)) || 1
  const width = Math.max(high - low, least)
  return { low: low - (width - (high - low)) / 2, width }
}
