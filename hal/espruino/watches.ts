/**
 * What is counted by interrupts: presses and rotation. The handlers only count and keep the interrupt's time stamp, so
 * that an edge between two ticks, or during a long one, keeps its time.
 */
import type { Button, ButtonReading, RotationCounter, RotationReading } from '../board.ts'
import { CHECKS, checkOptions, from, mustBeOpen, OBJECT, oneOf, PIN } from './checks.ts'
import type { EspruinoClock } from './clocks.ts'
import type { Engine } from './engine.ts'

export interface ButtonOptions {
  engine: Engine
  clock: EspruinoClock
  /** The button pulls it to ground. */
  pin: string
  /** What lasts shorter is no press. The firmware judges longer bounce; this keeps a storm of edges off the interpreter. */
  debounceMilliseconds: number
}

export function openButton(options: ButtonOptions): Button {
  if (CHECKS) checkOptions('button', options, { clock: OBJECT, pin: PIN, debounceMilliseconds: from(0, 15) })
  const { engine, clock, pin } = options
  const reading: ButtonReading = { down: false, presses: 0, pressedSeconds: 0 }
  let closed = false
  engine.pinMode(pin, 'input_pullup')
  reading.down = !engine.digitalRead(pin)
  const watch = engine.setWatch(
    event => {
      reading.down = !event.state
      if (event.state) return
      reading.presses++
      reading.pressedSeconds = clock.at(event.time)
    },
    pin,
    { repeat: true, edge: 'both', debounce: options.debounceMilliseconds },
  )
  return {
    read: () => {
      if (CHECKS) mustBeOpen('button', closed)
      return reading
    },
    close: () => {
      // The engine throws for a watch that is gone.
      if (!closed) engine.clearWatch(watch)
      closed = true
    },
  }
}

export interface RotationOptions {
  engine: Engine
  clock: EspruinoClock
  pin: string
  /** Which edges are watched: both of a slotted disc count twice. */
  edge: 'rising' | 'falling' | 'both'
  /** Edges of the sensor for one that is watched: 1 without, n behind a counter chip that divides by n. */
  prescale: number
  /** Watched edges a second at full speed. Each interrupts the interpreter, so more than 50 are refused. */
  edgesPerSecondAtMost: number
}

export function openRotationCounter(options: RotationOptions): RotationCounter {
  if (CHECKS) {
    checkOptions('rotation counter', options, {
      clock: OBJECT,
      pin: PIN,
      edge: oneOf(['rising', 'falling', 'both']),
      prescale: from(1, 4096),
      edgesPerSecondAtMost: from(0, 50),
    })
  }
  const { engine, clock, pin, prescale } = options
  const counted: RotationReading = { edges: 0, edgeSeconds: 0 }
  let readEdges = 0
  // Of the engine's clock: turned into ours when it is read, not in each interrupt.
  let edgeSeconds = 0
  let closed = false
  engine.pinMode(pin, 'input_pullup')
  const watch = engine.setWatch(
    event => {
      counted.edges += prescale
      edgeSeconds = event.time
    },
    pin,
    { repeat: true, edge: options.edge, debounce: 0 },
  )
  return {
    read: () => {
      if (CHECKS) mustBeOpen('rotation counter', closed)
      if (counted.edges === readEdges) return undefined
      readEdges = counted.edges
      counted.edgeSeconds = clock.at(edgeSeconds)
      return counted
    },
    close: () => {
      if (!closed) engine.clearWatch(watch)
      closed = true
    },
  }
}
