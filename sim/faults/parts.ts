/**
 * The simulated board as a failing base has it: a screen and a sounder that may not answer, flash that lasts over resets,
 * and a monotonic clock that starts anew with every reset. What was really shown and played is kept, for the operator
 * and the checker to see.
 */

import type { BaseFile } from '../../firmware/baseFile.ts'
import type {
  Board,
  Button,
  ByteStore,
  ResetCause,
  RotationCounter,
  ScreenFrame,
  TextFiles,
  Tone,
} from '../../hal/board.ts'
import { openSimulatedBoard } from '../board.ts'
import type { Pins } from '../plant/pins.ts'

/** What a person can see and hear, and since when (seconds of the plant). */
export interface Panels {
  screenGone: boolean
  sounderGone: boolean
  /** Copies of the lines as they were last shown; the panel reuses its own. */
  texts: string[]
  inverse: boolean[]
  /** Counts what was shown and what was played. */
  frames: number
  tunes: number
  tones: Tone[]
  tonesSeconds: number
}

export function createPanels(): Panels {
  return {
    screenGone: false,
    sounderGone: false,
    texts: [],
    inverse: [],
    frames: 0,
    tunes: 0,
    tones: [],
    tonesSeconds: -Infinity,
  }
}

export interface PartsOptions {
  pins: Pins
  file: BaseFile
  store: ByteStore
  files: TextFiles
  panels: Panels
  /** The plant's second at which the board's clock shows 0. */
  zeroSeconds: number
  resetCause: ResetCause
}

/** Opens the board. Made anew for every start of the base. */
export function openFaultyBoard(options: PartsOptions): Board {
  const { pins, file, panels, zeroSeconds } = options
  const board = openSimulatedBoard({
    pins,
    adcBits: file.adcBits,
    hasRoom: file.room !== undefined,
    hasShaft: file.rotation.edgesPerShaftTurn > 0,
    hasTank: file.rotation.magnetsOnTank > 0,
    store: options.store,
    files: options.files,
    resetCause: options.resetCause,
  })
  const seen = { ...board, screen: seenScreen(board, panels), sounder: heardSounder(board, pins, panels) }
  return zeroSeconds === 0 ? seen : { ...seen, ...startedAnew(board, zeroSeconds) }
}

function seenScreen(board: Board, panels: Panels): Board['screen'] {
  return {
    write(frame: ScreenFrame) {
      if (panels.screenGone) throw new Error('screen: no answer')
      board.screen.write(frame)
      panels.frames++
      for (let i = 0; i < frame.lines.length; i++) {
        panels.texts[i] = frame.lines[i].text
        panels.inverse[i] = frame.lines[i].inverse
      }
    },
    close: () => board.screen.close(),
  }
}

function heardSounder(board: Board, pins: Pins, panels: Panels): Board['sounder'] {
  return {
    write(tones: Tone[]) {
      if (panels.sounderGone) throw new Error('sounder: no answer')
      board.sounder.write(tones)
      panels.tunes++
      panels.tones = tones
      panels.tonesSeconds = pins.seconds
    },
    close: () => board.sounder.close(),
  }
}

/** Clock, buttons and counters of a board that has started later than the plant: all on its own clock. */
function startedAnew(board: Board, zeroSeconds: number): Partial<Board> {
  return {
    clock: { read: () => (board.clock.read() as number) - zeroSeconds, close: () => board.clock.close() },
    advance: shifted(board.advance, zeroSeconds),
    hold: shifted(board.hold, zeroSeconds),
    shaft: board.shaft && shiftedCounter(board.shaft, zeroSeconds),
    tank: board.tank && shiftedCounter(board.tank, zeroSeconds),
  }
}

function shifted(button: Button, zeroSeconds: number): Button {
  const reading = { down: false, presses: 0, pressedSeconds: 0 }
  return {
    read() {
      const now = button.read()
      if (now === undefined) return undefined
      reading.down = now.down
      reading.presses = now.presses
      reading.pressedSeconds = now.presses === 0 ? 0 : now.pressedSeconds - zeroSeconds
      return reading
    },
    close: () => button.close(),
  }
}

function shiftedCounter(counter: RotationCounter, zeroSeconds: number): RotationCounter {
  const reading = { edges: 0, edgeSeconds: 0 }
  return {
    read() {
      const now = counter.read()
      if (now === undefined) return undefined
      reading.edges = now.edges
      reading.edgeSeconds = now.edgeSeconds - zeroSeconds
      return reading
    },
    close: () => counter.close(),
  }
}
