/**
 * The drawing of a base's wiring, from its wiring file: parts left and right of the board, each beside its own pins, so
 * that every wire is a straight line and none cross. Pure: the same wiring gives the same text.
 */
import type { Wiring } from '../wiring.ts'
import { boardFacts } from './boardFacts.ts'
import { rightParts } from './doingParts.ts'
import { type Column, drawFoot, drawPower } from './frame.ts'
import { leftParts, type Part } from './parts.ts'
import { box, label, WIRES, wire } from './strokes.ts'

const WIDTH = 1240
const TOP = 84
const GAP = 14
const BOARD_LEFT = 470
const BOARD_RIGHT = 770
const LEFT: Column = { x: 28, width: 300, pinX: BOARD_LEFT, side: 'left' }
const RIGHT: Column = { x: 912, width: 300, pinX: BOARD_RIGHT, side: 'right' }

export function drawWiring(wiring: Wiring): string {
  const facts = boardFacts(wiring)
  const left = placed(leftParts(wiring, facts), LEFT)
  const right = placed(rightParts(wiring, facts), RIGHT)
  const bottom = Math.max(left.bottom, right.bottom)
  const height = bottom + 274
  const title = wiring.board
  return (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ' +
    WIDTH +
    ' ' +
    height +
    '" font-family="DejaVu Sans, Arial, Helvetica, sans-serif" role="img" aria-label="Wiring: ' +
    title +
    '">\n' +
    '<rect width="' +
    WIDTH +
    '" height="' +
    height +
    '" fill="#fff"/>\n' +
    label(28, 38, 'Evenbath base: ' + title, 'start', 24, 'font-weight="bold"') +
    '\n' +
    label(
      28,
      62,
      'wiring "' +
        wiring.name +
        '"; names in bold are the engine\'s, beside them the ones printed on the board; every ground is one ground',
      'start',
      13,
      'fill="#444"',
    ) +
    '\n' +
    box(BOARD_LEFT, TOP, BOARD_RIGHT - BOARD_LEFT, bottom - TOP, '', '#EEF3F7') +
    label((BOARD_LEFT + BOARD_RIGHT) / 2, TOP + 26, title, 'middle', 14, 'font-weight="bold"') +
    '\n' +
    left.svg +
    right.svg +
    drawPower(facts, bottom, right.bottom, RIGHT) +
    drawFoot(wiring, height - 78) +
    '</svg>\n'
  )
}

function placed(parts: Part[], column: Column): { svg: string; bottom: number } {
  let y = TOP
  let svg = ''
  parts.forEach(part => {
    svg += box(column.x, y, column.width, part.height, part.title, '#FBFAF6') + part.draw(column.x, y) + '\n'
    part.terminals.forEach(terminal => {
      svg += terminalWire(column, y + terminal.y, terminal.kind, terminal.pin, terminal.printed) + '\n'
    })
    y += part.height + GAP
  })
  return { svg: svg, bottom: y - GAP }
}

/** From the part's edge to the board's, with the pin's names inside the board. */
function terminalWire(
  column: Column,
  y: number,
  kind: Part['terminals'][0]['kind'],
  pin: string,
  printed: string,
): string {
  const onLeft = column.side === 'left'
  const from = onLeft ? column.x + column.width : column.x
  const inside = onLeft ? 1 : -1
  const textX = column.pinX + 12 * inside
  const line = wire(kind, [
    [from, y],
    [column.pinX, y],
  ])
  const pad =
    '<rect x="' +
    (column.pinX - 5) +
    '" y="' +
    (y - 5) +
    '" width="10" height="10" fill="' +
    WIRES[kind].colour +
    '" stroke="#fff"/>'
  const anchor = onLeft ? 'start' : 'end'
  const bold = '<tspan font-weight="bold">' + pin + '</tspan>'
  const small = '<tspan font-size="11" fill="#333">' + printed + '</tspan>'
  const text = onLeft ? bold + ' ' + small : small + ' ' + bold
  return (
    line +
    pad +
    '<text x="' +
    textX +
    '" y="' +
    (y + 4.5) +
    '" font-size="13.5" text-anchor="' +
    anchor +
    '">' +
    text +
    '</text>'
  )
}
