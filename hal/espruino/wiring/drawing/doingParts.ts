/** The parts on the drawing's right, what the base does: screen, sounder, monostable, driver and motor. */
import type { Wiring } from '../wiring.ts'
import type { BoardFacts } from './boardFacts.ts'
import { type Part, terminal } from './parts.ts'
import { dot, ground, label, supplyMark, wire } from './strokes.ts'

export function rightParts(wiring: Wiring, facts: BoardFacts): Part[] {
  const parts = [screen(wiring, facts), sounder(wiring, facts)]
  if (wiring.motor.triggerPin !== undefined) parts.push(monostable(wiring, facts))
  parts.push(driver(wiring, facts))
  return parts
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
