/** The rest of the drawing: the way of the power below the board, the legend and what must not be forgotten. */
import { deadManOf } from '../deadMan.ts'
import type { Wiring } from '../wiring.ts'
import type { BoardFacts } from './boardFacts.ts'
import { box, label, WIRES, type WireKind, wire } from './strokes.ts'

export interface Column {
  x: number
  width: number
  /** The board's edge on that side. */
  pinX: number
  side: 'left' | 'right'
}

/** Pack, fuse and switch, step-down converter; and up to the driver. */
export function drawPower(facts: BoardFacts, bottom: number, driverBottom: number, right: Column): string {
  const y = bottom + 62
  const middle = y + 36
  return (
    box(28, y, 212, 84, 'Pack: 2 lithium cells', '#FBF3EE') +
    label(40, y + 40, 'in series, a protection board on', 'start', 12, '') +
    label(40, y + 57, 'them; balancing charger, its plug', 'start', 12, '') +
    label(40, y + 74, 'out while the base runs', 'start', 12, '') +
    wire('pack', [
      [240, middle],
      [258, middle],
    ]) +
    box(258, y, 156, 84, 'Fuse and switch', '#FBF3EE') +
    label(270, y + 40, '3 A, slow; at the', 'start', 12, '') +
    label(270, y + 57, 'pack, before all', 'start', 12, '') +
    wire('pack', [
      [414, middle],
      [470, middle],
    ]) +
    box(470, y, 300, 84, 'Step-down converter to 5 V', '#FBF3EE') +
    label(482, y + 42, '1 A, set to 5.0 V before the board is', 'start', 12, '') +
    label(482, y + 59, 'connected', 'start', 12, '') +
    wire('logic', [
      [620, y],
      [620, bottom],
    ]) +
    label(630, bottom + 24, facts.feed, 'start', 12.5, 'font-weight="bold"') +
    label(630, bottom + 42, '5 V through a Schottky diode', 'start', 12, '') +
    wire('pack', [
      [440, middle],
      [440, y + 100],
      [right.x + 150, y + 100],
      [right.x + 150, driverBottom + 12],
    ]) +
    '<path d="M' +
    (right.x + 150) +
    ' ' +
    (driverBottom + 2) +
    ' l-6 12 h12 z" fill="' +
    WIRES.pack.colour +
    '"/>' +
    label(right.x + 136, y + 60, 'pack + to the driver and', 'end', 12.5, '') +
    label(right.x + 136, y + 78, 'the pack divider', 'end', 12.5, '') +
    '\n'
  )
}

export function drawFoot(wiring: Wiring, y: number): string {
  const kinds: WireKind[] = ['pack', 'logic', 'ground', 'analog', 'pulses', 'watched', 'bus']
  let x = 28
  let svg = ''
  kinds.forEach(kind => {
    svg +=
      wire(kind, [
        [x, y],
        [x + 42, y],
      ]) + label(x + 50, y + 4.5, WIRES[kind].words, 'start', 12.5, '')
    x += 74 + WIRES[kind].words.length * 7.4
  })
  return (
    svg +
    '\n' +
    label(
      28,
      y + 34,
      'When the firmware hangs the motor is stopped by: ' + deadManOf(wiring) + '.',
      'start',
      14,
      'font-weight="bold"',
    ) +
    '\n' +
    label(
      28,
      y + 56,
      'Protection of the cells is hardware and does not depend on the firmware. Never charge below 0 C, nor while the base runs. First power-up: as the guide says, without the pack.',
      'start',
      13,
      '',
    ) +
    '\n'
  )
}
