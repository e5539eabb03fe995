/**
 * The parts of the drawing: what stands in each box, and which pin of the board each terminal goes to. Values are those
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

const WIDTH = 300

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

export function rightParts(wiring: Wiring, facts: BoardFacts): Part[] {
  const parts = [screen(wiring, facts), sounder(wiring, facts)]
  if (wiring.motor.triggerPin !== undefined) parts.push(monostable(wiring, facts))
  parts.push(driver(wiring, facts))
  return parts
}

function terminal(y: number, kind: WireKind, pin: string, facts: BoardFacts): Terminal {
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
      [x + WIDTH, y + 70],
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
        [x + WIDTH, y + 52],
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
        [x + WIDTH, y + 42],
      ]),
  }
}

function screen(wiring: Wiring, facts: BoardFacts): Part {
  const { sdaPin, sclPin, controller, address } = wiring.screen
  return {
    title: 'Screen, 128 x 64',
    height: 108,
    terminals: [terminal(46, 'bus', sdaPin, facts), terminal(76, 'bus', sclPin, facts)],
    draw: (x, y) =>
      label(x + 12, y + 50, 'SDA', 'start', 12.5, '') +
      label(x + 12, y + 80, 'SCL', 'start', 12.5, '') +
      label(x + 60, y + 50, controller + ' controller, I2C', 'start', 12, '') +
      label(x + 60, y + 67, 'address 0x' + address.toString(16) + '; its module pulls', 'start', 12, '') +
      label(x + 60, y + 84, 'SDA and SCL up', 'start', 12, '') +
      supplyMark(x + 276, y + 22, '3V3', 'end') +
      ground(x + 276, y + 90),
  }
}

function sounder(wiring: Wiring, facts: BoardFacts): Part {
  return {
    title: 'Sounder',
    height: 84,
    terminals: [terminal(46, 'pulses', wiring.sounderPin, facts)],
    draw: (x, y) =>
      label(x + 12, y + 50, 'piezo disc, 2 to 4 kHz, 100 Ohm in series', 'start', 12, '') +
      label(x + 12, y + 68, 'or a passive buzzer behind a transistor', 'start', 12, '') +
      ground(x + 276, y + 60),
  }
}

function driver(wiring: Wiring, facts: BoardFacts): Part {
  const { motor, supply } = wiring
  const twoPins = motor.driver === 'twoPins'
  const terminals = [terminal(46, 'pulses', motor.pulsePin, facts), terminal(90, 'pulses', motor.backPin, facts)]
  if (supply.ampsPin !== undefined) terminals.push(terminal(134, 'analog', supply.ampsPin, facts))
  return {
    title: 'Driver (H-bridge) and gear motor',
    height: 204,
    terminals: terminals,
    draw: (x, y) =>
      label(x + 12, y + 50, twoPins ? 'IN 1: forwards' : 'PWM', 'start', 12.5, '') +
      label(x + 12, y + 94, twoPins ? 'IN 2: backwards' : 'direction', 'start', 12.5, '') +
      (supply.ampsPin === undefined
        ? ''
        : label(x + 12, y + 138, 'current sense, ' + supply.voltsPerAmp + ' V per ampere', 'start', 12.5, '')) +
      pullDown(x - 92, y + 46) +
      pullDown(x - 92, y + 90) +
      motorCircle(x + 250, y + 78) +
      label(
        x + 12,
        y + 170,
        motor.triggerPin === undefined ? 'enable: to 3V3' : 'enable: from the monostable above',
        'start',
        12.5,
        '',
      ) +
      label(x + 12, y + 190, 'motor supply from the pack, 470 uF beside it', 'start', 12.5, ''),
  }
}

/** A resistor from a wire to ground, outside the box: low when the board starts or hangs. */
function pullDown(x: number, y: number): string {
  return (
    dot(x, y, 'pulses') +
    '<path d="M' +
    x +
    ' ' +
    y +
    ' v24" stroke="#000" stroke-width="1.6"/>' +
    '<rect x="' +
    (x - 4.5) +
    '" y="' +
    (y + 6) +
    '" width="9" height="13" fill="#fff" stroke="#000" stroke-width="1.5"/>' +
    ground(x, y + 24) +
    label(x + 10, y + 17, '4.7 kOhm', 'start', 11.5, '')
  )
}

function motorCircle(x: number, y: number): string {
  return (
    '<circle cx="' +
    x +
    '" cy="' +
    y +
    '" r="25" fill="#fff" stroke="#000" stroke-width="2"/>' +
    label(x, y + 7, 'M', 'middle', 20, 'font-weight="bold"')
  )
}

function monostable(wiring: Wiring, facts: BoardFacts): Part {
  const pin = wiring.motor.triggerPin as string
  return {
    title: 'Monostable, 74HC123 kind',
    height: 112,
    terminals: [terminal(50, 'pulses', pin, facts)],
    draw: (x, y) =>
      label(x + 12, y + 54, 'trigger: rising edge', 'start', 12.5, '') +
      label(x + 12, y + 78, 'holds ' + wiring.motor.holdSeconds + ' s, then its output falls and', 'start', 12, '') +
      label(x + 12, y + 95, 'the motor stops though the chip hangs', 'start', 12, '') +
      wire('pulses', [
        [x + 274, y + 112],
        [x + 274, y + 124],
      ]) +
      '<path d="M' +
      (x + 274) +
      ' ' +
      (y + 126) +
      ' l-5 -9 h10 z" fill="#AA3377"/>' +
      label(x + 282, y + 104, 'out', 'end', 12, ''),
  }
}
