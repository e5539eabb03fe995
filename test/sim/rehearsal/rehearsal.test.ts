import { describe, expect, test } from 'vitest'
import type { Board, ButtonReading, ScreenFrame } from '../../../hal/board.ts'
import { openSimulatedBoard } from '../../../sim/board.ts'
import { createPins, type Pins, pressButton, releaseButton } from '../../../sim/plant/pins.ts'
import { figure } from '../../../sim/rehearsal/figures.ts'
import { beat, type OnBoard, openOnBoard } from '../../../sim/rehearsal/onBoard.ts'
import { isOver, movePlant, tickFirmware } from '../../../sim/rehearsal/rehearsal.ts'
import { standardRehearsal } from '../../../sim/rehearsal/standard.ts'

test('figures are rounded, never cut off, and what is no number is a dash', () => {
  expect(figure(99.999, 2)).toBe('100.00')
  expect(figure(-0.004, 2)).toBe('0.00')
  expect(figure(-2.5, 0)).toBe('-3')
  expect(figure(0.0625, 3)).toBe('0.063')
  expect(figure(Number.NaN, 3)).toBe('-')
})

/** A real base as a rehearsal sees it: a simulated board whose clock goes on by `step` with every look at it. */
function realBase(step: number): { pins: Pins; on: OnBoard; frames: ScreenFrame[]; duties: number[]; sent: string[] } {
  const pins = createPins()
  pins.seconds = 5
  const frames: ScreenFrame[] = []
  const duties: number[] = []
  const sent: string[] = []
  const opened = openSimulatedBoard({ pins, adcBits: 12, hasRoom: true, hasShaft: true, hasTank: true })
  const real: Board = {
    ...opened,
    clock: { read: () => (pins.seconds += step), close: () => {} },
    screen: {
      write: frame => frames.push({ lines: frame.lines.map(line => ({ ...line })), bars: frame.bars }),
      close: () => {},
    },
    motor: {
      ...opened.motor,
      deadManSeconds: 0.5,
      deadManBy: 'test',
      write: duty => duties.push(duty),
      close: () => {},
    },
    line: {
      taken: false,
      lostBytes: 0,
      read: () => undefined,
      write: text => sent.push(text),
      take: () => {},
      giveBack: () => {},
      close: () => {},
    },
  }
  const identity = {
    version: '0',
    wiring: 'test',
    serial: 'test',
    kind: 'rehearsal' as const,
    slot: '',
    good: () => true,
  }
  const on = openOnBoard(real, identity, (hand, shown, console) => standardRehearsal({ hand, shown, console }))
  return { pins, on, frames, duties, sent }
}

function beats(on: OnBoard, count: number): void {
  for (let i = 0; i < count && !isOver(on.rehearsal); i++) beat(on)
}

function press(pins: Pins, on: OnBoard, which: 'advance' | 'hold'): void {
  pressButton(pins, which)
  beat(on)
  releaseButton(pins, which)
  beat(on)
}

describe('on a real base', () => {
  test('nothing begins by itself, and the real motor is never driven', () => {
    const { on, duties } = realBase(0.01)
    beats(on, 300)
    expect(on.rehearsal.base.session.state).toBe('planned')
    expect(duties.filter(duty => duty !== 0)).toEqual([])
  })

  test('a press on hold begins the one that runs by itself, faster than a clock, to its end; the screen says how fast', () => {
    const { pins, on, frames, duties, sent } = realBase(0.004)
    press(pins, on, 'hold')
    beats(on, 5000)
    expect(on.rehearsal.base.session.state).toBe('finished')
    expect(on.look.factor).toBeGreaterThan(2)
    expect(frames.some(frame => /^Rehearsal x[2-9]/.test(frame.lines[4]?.text ?? ''))).toBe(true)
    expect(sent.some(text => text.includes('"method":"rehearsal"'))).toBe(true)
    expect(duties.filter(duty => duty !== 0)).toEqual([])
  })

  test('a press on advance begins the one in which every press is the person’s, and what is pressed happens to the tank', () => {
    const { pins, on } = realBase(0.01)
    beats(on, 50)
    press(pins, on, 'advance')
    expect(on.rehearsal.base.session.state).toBe('filling')
    expect(on.rehearsal.plant.bath.phase).toBe('filling')
    beats(on, 60)
    press(pins, on, 'advance')
    expect(on.rehearsal.base.session.state).toBe('turning')
    expect(on.rehearsal.plant.bath.phase).toBe('full')
  })

  test('the real motor turns only when that was asked for over the line and pressed within half a minute', () => {
    const { pins, on, duties } = realBase(0.1)
    beats(on, 20)
    const rehearse = on.rehearsal.base.console.options.rehearse
    expect(rehearse?.(on.rehearsal.base, true)).toEqual({ waitsFor: 'advance', seconds: 30 })
    expect(on.rehearsal.hand).toBe('nobody')
    press(pins, on, 'advance')
    beats(on, 500)
    expect(on.rehearsal.base.session.state).toBe('turning')
    expect(duties.some(duty => duty > 0.2)).toBe(true)
  })

  test('a press that comes too late for the motor begins a rehearsal without it', () => {
    const { pins, on, duties } = realBase(0.1)
    on.rehearsal.base.console.options.rehearse?.(on.rehearsal.base, true)
    beats(on, 400)
    press(pins, on, 'advance')
    beats(on, 100)
    expect(on.rehearsal.hand).toBe('person')
    expect(duties.filter(duty => duty !== 0)).toEqual([])
  })
})

test('the plain board and the one that checks everything lead to the same session', () => {
  const plain = standardRehearsal({ hand: 'simulated' })
  const checked = standardRehearsal({ hand: 'simulated' })
  const pins = checked.plant.pins
  checked.base.board = openSimulatedBoard({ pins, adcBits: 12, hasRoom: true, hasShaft: true, hasTank: true })
  for (let i = 0; i < 3000; i++) {
    for (const r of [plain, checked]) {
      tickFirmware(r)
      movePlant(r)
    }
  }
  const got: ButtonReading = checked.plant.pins.advance
  expect(got.presses).toBe(plain.plant.pins.advance.presses)
  expect(checked.base.clock.view).toEqual(plain.base.clock.view)
  expect(checked.base.mishaps).toBe(0)
})
