/**
 * A rehearsal on a real base: its screen, sounder, buttons and line are real, the bath, the probe and the pack are
 * simulated, and the motor turns only where that was asked for and somebody stands there.
 *
 * How it begins: a press on hold lets a simulated hand do everything; a press on advance begins the one in which the
 * person presses; over the line `rehearse` begins the first of these, and with `motor` waits for a press on advance.
 * It runs as fast as the board can, except while a person is to act and while the real motor turns: then as a clock does.
 * Hold, and hold kept down, are the person's at any time.
 *
 * `beat` is to be called ten times a second, as a tick is. It never waits longer than a slice and one step of the
 * simulation, and it feeds the real watchdog. What fails in a step ends with the real motor off, as in a tick.
 */
import type { Base } from '../../firmware/base.ts'
import type { ConsoleOptions } from '../../firmware/console/console.ts'
import type { Board, ButtonReading, ScreenFrame, ScreenLine } from '../../hal/board.ts'
import { drivenDuty, type Pins, pressButton, releaseButton } from '../plant/pins.ts'
import { STEP_SECONDS } from '../plant/plant.ts'
import { ASKED } from './asked.ts'
import { figure } from './figures.ts'
import type { Shown } from './plainBoard.ts'
import { type Hand, isOver, movePlant, type Rehearsal, tickFirmware } from './rehearsal.ts'

/** Of the tenth of a second between two beats so much is used: the rest is the board's, for its line and its buttons. */
const SLICE_SECONDS = 0.07
/** A press on the base is waited for so long. */
const WAIT_SECONDS = 30
/** The factor is reckoned over so many seconds of the real clock. */
const FACTOR_SECONDS = 2

export interface OnBoard {
  real: Board
  rehearsal: Rehearsal
  /** The motor was asked for over the line: a press within this many seconds of the real clock turns it; NaN for none. */
  motorUntilSeconds: number
  motor: boolean
  look: Look
  factorSeconds: number
  factorSteps: number
  advancePresses: number
  holdPresses: number
}

/** Makes the rehearsal; `make` opens it with the parts on which it is shown. Waits for somebody to begin. */
export function openOnBoard(
  real: Board,
  identity: ConsoleOptions['identity'],
  make: (hand: Hand, shown: Shown, console: ConsoleOptions) => Rehearsal,
): OnBoard {
  const look: Look = {
    frame: { lines: [], bars: [] },
    line: { text: '', x: 0, y: 0, size: 8, inverse: false },
    factor: 1,
  }
  const shown: Shown = {
    screen: { write: frame => real.screen.write(withFactor(look, frame)), close: () => {} },
    sounder: real.sounder,
    line: real.line,
  }
  const console: ConsoleOptions = { identity: identity, rehearse: (_base: Base, motor: boolean) => askedFor(on, motor) }
  const nowSeconds = real.clock.read() as number
  const on: OnBoard = {
    real: real,
    rehearsal: make('nobody', shown, console),
    motorUntilSeconds: NaN,
    motor: false,
    look: look,
    factorSeconds: nowSeconds,
    factorSteps: 0,
    advancePresses: pressesOf(real.advance.read()),
    holdPresses: pressesOf(real.hold.read()),
  }
  return on
}

/** The frame that is shown, made once. */
interface Look {
  frame: ScreenFrame
  line: ScreenLine
  /** Simulated seconds for each second of the real clock, as last reckoned. */
  factor: number
}

/** The frame with its last line, which says that all is well, replaced; never an alarm or a refusal. */
function withFactor(look: Look, frame: ScreenFrame): ScreenFrame {
  const last = frame.lines.length - 1
  if (last < 0 || frame.lines[last].inverse) return frame
  look.frame.bars = frame.bars
  for (let i = 0; i < last; i++) look.frame.lines[i] = frame.lines[i]
  look.line.text = 'Rehearsal x' + figure(look.factor, 1)
  look.line.x = frame.lines[last].x
  look.line.y = frame.lines[last].y
  look.line.size = frame.lines[last].size
  look.frame.lines[last] = look.line
  return look.frame
}

function pressesOf(reading: ButtonReading | undefined): number {
  return reading === undefined ? 0 : reading.presses
}

/** Asked for over the line. The console asks only while nothing is under way. */
function askedFor(on: OnBoard, motor: boolean): object {
  if (on.rehearsal.hand !== 'nobody') throw new Error('One rehearsal a start')
  if (motor) {
    on.motorUntilSeconds = (on.real.clock.read() as number) + WAIT_SECONDS
    return { waitsFor: 'advance', seconds: WAIT_SECONDS }
  }
  on.rehearsal.hand = 'simulated'
  return { hand: 'simulated' }
}

/** Ten times a second. */
export function beat(on: OnBoard): void {
  const real = on.real
  const r = on.rehearsal
  const began = real.clock.read() as number
  takeButtons(on, began)
  try {
    do {
      step(on)
    } while (isFast(r, on.motor) && (real.clock.read() as number) - began < SLICE_SECONDS)
  } catch (_) {
    r.base.mishaps++
    on.motor = false
    real.motor.write(0)
  }
  real.watchdog.write(true)
  reckonFactor(on, began)
}

function step(on: OnBoard): void {
  const r = on.rehearsal
  tickFirmware(r)
  if (isOver(r)) on.motor = false
  // A base that is not driven needs no writing: the real motor's own dead man has let it go.
  if (on.motor || r.base.session.eventCount > 0) on.real.motor.write(on.motor ? drivenDuty(r.plant.pins) : 0)
  movePlant(r)
}

/** Nobody is asked for anything, and nothing real moves. */
function isFast(r: Rehearsal, motor: boolean): boolean {
  if (motor || r.hand === 'nobody' || isOver(r)) return false
  return r.hand === 'simulated' || ASKED[r.base.session.state] === 'wait'
}

function takeButtons(on: OnBoard, nowSeconds: number): void {
  const r = on.rehearsal
  const pins = r.plant.pins
  const advance = on.real.advance.read()
  const hold = on.real.hold.read()
  const isAdvance = pressesOf(advance) !== on.advancePresses && advance !== undefined
  const isHold = pressesOf(hold) !== on.holdPresses && hold !== undefined
  on.advancePresses = pressesOf(advance)
  on.holdPresses = pressesOf(hold)
  if (r.hand === 'nobody') {
    if (isAdvance && nowSeconds <= on.motorUntilSeconds) {
      on.motor = true
      r.hand = 'simulated'
      return
    }
    if (isHold) r.hand = 'simulated'
    if (!isAdvance) return
    r.hand = 'person'
  }
  if (r.hand === 'person') passOn(pins, 'advance', isAdvance, advance)
  passOn(pins, 'hold', isHold, hold)
}

function passOn(pins: Pins, which: 'advance' | 'hold', pressed: boolean, reading: ButtonReading | undefined): void {
  if (pressed) pressButton(pins, which)
  else if (reading !== undefined && !reading.down) releaseButton(pins, which)
}

function reckonFactor(on: OnBoard, nowSeconds: number): void {
  const seconds = nowSeconds - on.factorSeconds
  if (seconds < FACTOR_SECONDS) return
  const steps = on.rehearsal.plant.steps
  on.look.factor = ((steps - on.factorSteps) * STEP_SECONDS) / seconds
  on.factorSeconds = nowSeconds
  on.factorSteps = steps
  say(on)
}

/** The factor for whoever listens on the line, while a rehearsal runs. */
function say(on: OnBoard): void {
  if (on.rehearsal.hand === 'nobody' || isOver(on.rehearsal)) return
  const params = '{"factor":' + figure(on.look.factor, 1) + ',"seconds":' + figure(on.rehearsal.plant.pins.seconds, 0)
  on.real.line.write('\x1e{"jsonrpc":"2.0","method":"rehearsal","params":' + params + '}}\n')
}
