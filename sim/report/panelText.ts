/**
 * The screen as text for a terminal: a box of 22 columns by 8 rows, one cell for each 6 × 8 pixels. Small text stands
 * as it is; text of 16 and 32 pixels is spread over as many columns as it covers on the screen and underlined once or
 * three times, so that its size can be seen. A row with text dark on light is marked by > and < at the box. Text that
 * would fall off the screen is cut, as on the screen itself.
 */
import type { ScreenBar, ScreenFrame, ScreenLine } from '../../hal/board.ts'

const SCREEN_WIDTH = 128
const SCREEN_HEIGHT = 64
const CELL_WIDTH = 6
const CELL_HEIGHT = 8
const COLUMNS = Math.ceil(SCREEN_WIDTH / CELL_WIDTH)
const ROWS = SCREEN_HEIGHT / CELL_HEIGHT

/** Draws a frame; ten lines that end without a line break. */
export function panelText(frame: ScreenFrame): string {
  const cells: string[][] = []
  for (let row = 0; row < ROWS; row++) cells.push(new Array<string>(COLUMNS).fill(' '))
  const inverse = new Array<boolean>(ROWS).fill(false)
  for (const bar of frame.bars) drawBar(cells, bar)
  for (const line of frame.lines) drawLine(cells, inverse, line)
  const edge = `+${'-'.repeat(COLUMNS)}+`
  const rows = cells.map((row, i) => (inverse[i] ? `>${row.join('')}<` : `|${row.join('')}|`))
  return [edge, ...rows, edge].join('\n')
}

function put(cells: string[][], row: number, column: number, character: string): void {
  const cellsOfRow = cells[row]
  if (cellsOfRow !== undefined && column >= 0 && column < COLUMNS) cellsOfRow[column] = character
}

function drawLine(cells: string[][], inverse: boolean[], line: ScreenLine): void {
  if (line.text === '') return
  const scale = line.size / CELL_HEIGHT
  const row = Math.floor(line.y / CELL_HEIGHT)
  const column = Math.round(line.x / CELL_WIDTH)
  const textRow = row + (scale === 4 ? 1 : 0)
  for (let i = 0; i < line.text.length; i++) {
    const character = line.text.charAt(i)
    const at = column + i * scale
    put(cells, textRow, at, character)
    if (character === ' ') continue
    for (let under = textRow + 1; under < row + scale; under++) {
      for (let k = 0; k < Math.max(1, scale - 1); k++) put(cells, under, at + k, scale === 4 ? '=' : '-')
    }
  }
  for (let i = row; line.inverse && i < row + scale; i++) if (i >= 0 && i < ROWS) inverse[i] = true
}

function drawBar(cells: string[][], bar: ScreenBar): void {
  const first = Math.ceil(bar.x / CELL_WIDTH)
  const columns = Math.floor((bar.x + bar.width) / CELL_WIDTH) - first
  const row = Math.round(bar.y / CELL_HEIGHT)
  const filled = Math.round(bar.filled * (columns - 2))
  put(cells, row, first, '[')
  put(cells, row, first + columns - 1, ']')
  for (let i = 0; i < columns - 2; i++) put(cells, row, first + 1 + i, i < filled ? '#' : '.')
}
