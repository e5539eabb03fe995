/**
 * The parts on the drawing's left, what the base senses: what stands in each box, and which pin of the board each
 * terminal goes to. Values are those
 * of the wiring file and of the thermistor's divider (10 kOhm, as in the base file that ships).
 */
import type { RotationWiring, Wiring } from '../wiring.ts'
import type { BoardFacts } from './boardFacts.ts'
import { capacitor, dot, ground, label, pushButton, resistor, supplyMark, type WireKind, wire } from './strokes.ts'

export interface Terminal {
  /** Height inside the box. */
  y: number
  kind: WireKind
  pin: string
  printed: string
}

export interface Part {
  title: string
  height: number
  terminals: Terminal[]
  draw(x: number, y: number): string
}

export const PART_WIDTH = 300

export function leftParts(wiring: Wiring, facts: BoardFacts): Part[] {
  const parts = [thermistor('Probe in the bath', wiring.probePin, facts)]
  if (wiring.roomPin !== undefined) parts.push(thermistor('Thermistor in the room', wiring.roomPin, facts))
  parts.push(packDivider(wiring, facts))
  if (wiring.shaft !== undefined) parts.push(rotation('Disc at the motor shaft', wiring.shaft, facts))
  if (wiring.tank !== undefined) parts.push(rotation('Hall switch at the tank', wiring.tank, facts))
  parts.push(button('Button: advance', wiring.buttons.advancePin, facts))
  parts.push(button('Button: hold', wiring.buttons.holdPin, facts))
  return parts
}

export function terminal(y: number, kind: WireKind, pin: string, facts: BoardFacts): Terminal {
  return { y: y, kind: kind, pin: pin, printed: facts.printed(pin) }
}

/** Upper resistor, middle to the pin, lower one and a capacitor to ground. */
function divider(x: number, y: number, upper: string, lower: string, isThermistor: boolean): string {
  const at = x + 150
  return (
    resistor(at, y + 34, y + 70, upper, false) +
    resistor(at, y + 70, y + 110, lower, isThermistor) +
    wire('analog', [
      [at, y + 70],
      [x + PART_WIDTH, y + 70],
    ]) +
    dot(at, y + 70, 'analog') +
    dot(x + 205, y + 70, 'analog') +
    capacitor(x + 205, y + 70, y + 110, '100 nF') +
    ground(at, y + 110) +
    ground(x + 205, y + 110)
  )
}

function thermistor(title: string, pin: string, facts: BoardFacts): Part {
  return {
    title: title,
    height: 126,
    terminals: [terminal(70, 'analog', pin, facts)],
    draw: (x, y) =>
      divider(x, y, '10 kOhm, 0.1 %', 'NTC 10 kOhm', true) + supplyMark(x + 150, y + 34, facts.reference, 'start'),
  }
}

function ohms(value: number): string {
  return value >= 1000 ? value / 1000 + ' kOhm' : value + ' Ohm'
}

function packDivider(wiring: Wiring, facts: BoardFacts): Part {
  const { upperOhms, lowerOhms, packPin } = wiring.supply
  return {
    title: 'Pack divider',
    height: 126,
    terminals: [terminal(70, 'analog', packPin, facts)],
    draw: (x, y) =>
      divider(x, y, ohms(upperOhms) + ', 1 %', ohms(lowerOhms) + ', 1 %', false) +
      '<path d="M' +
      (x + 143) +
      ' ' +
      (y + 34) +
      ' h14" stroke="#D55E00" stroke-width="4"/>' +
      label(x + 162, y + 38, 'pack +, switched', 'start', 12, 'fill="#8A3C00"'),
  }
}

function rotation(title: string, sensor: RotationWiring, facts: BoardFacts): Part {
  const through =
    sensor.prescale > 1
      ? 'through a counter that divides by ' + sensor.prescale
      : 'open collector, pulled up on the board'
  return {
    title: title,
    height: 78,
    terminals: [terminal(52, 'watched', sensor.pin, facts)],
    draw: (x, y) =>
      label(x + 12, y + 40, through, 'start', 12, '') +
      label(x + 12, y + 57, 'at most ' + sensor.edgesPerSecondAtMost + ' edges a second', 'start', 12, '') +
      wire('watched', [
        [x + 262, y + 52],
        [x + PART_WIDTH, y + 52],
      ]) +
      label(x + 256, y + 56, 'out', 'end', 12, '') +
      supplyMark(x + 282, y + 18, '3V3', 'end') +
      ground(x + 282, y + 66),
  }
}

function button(title: string, pin: string, facts: BoardFacts): Part {
  return {
    title: title,
    height: 58,
    terminals: [terminal(42, 'watched', pin, facts)],
    draw: (x, y) =>
      pushButton(x + 190, x + 220, y + 42) +
      wire('ground', [
        [x + 150, y + 42],
        [x + 187, y + 42],
      ]) +
      ground(x + 150, y + 42) +
      wire('watched', [
        [x + 223, y + 42],
        [x + PART_WIDTH, y + 42],
      ]),
  }
}
