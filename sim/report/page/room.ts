/** The room that the parts of a chart take, in pixels. Pure. */
import { list, over, type Part } from './parts.ts'

/** Of a letter of the legend, on average; and what a legend's sign and the gap after a name take. */
const LETTER_WIDTH = 7
const SIGN_WIDTH = 46
const LEGEND_LINE = 22
/** Above a grid for its axis' name; below it for the labels; below the last for the name and, live, the slider. */
const ABOVE_GRID = 26
export const BELOW_GRID = 26
const AXIS_NAME = 20
const SLIDER = 34
export const LEFT = 50
export const RIGHT = 18

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

/** Grids below each other; the height that the whole takes. */
export function placeGrids(
  option: Part,
  height: number,
  legendLines: number,
  live: boolean,
): { grids: Part[]; height: number } {
  const extra = Math.max(0, legendLines - 1) * LEGEND_LINE
  const slider = live && list(option['dataZoom']).length > 0 ? SLIDER : 0
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
