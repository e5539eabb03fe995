/**
 * The panel's state: one frame whose lines and bar are made once and reused, and the tune that plays.
 *
 * The upper half says what to do and how long, below it stand the temperature and the bath's progress, and the two
 * lowest lines are small: which bath, and whether all is well. 128 pixels hold 10 characters of the 16-pixel size.
 */
import type { ScreenBar, ScreenFrame, ScreenLine, Tone } from '../../hal/board.ts'
import { type Calls, createCalls } from './calls.ts'
import { TUNES } from './tunes.ts'

export interface Panel {
  frame: ScreenFrame
  /** The frame shows something else than when this was last false. */
  changed: boolean
  tones: Tone[]
  /** In this tick `tones` are to be played from their beginning. */
  tonesChanged: boolean
  /** The screen is left dark to save charge. */
  dark: boolean
  /** The lines by what they are for; all of them stand in `frame.lines`. */
  top: ScreenLine
  second: ScreenLine
  celsius: ScreenLine
  name: ScreenLine
  bottom: ScreenLine
  bar: ScreenBar
  calls: Calls
  /** The charge on the screen. */
  chargeShown: number
  /** Nothing was drawn yet. */
  fresh: boolean
}

function createLine(y: number, size: number): ScreenLine {
  return { text: '', x: 0, y: y, size: size, inverse: false }
}

export function createPanel(): Panel {
  const top = createLine(0, 16)
  const second = createLine(16, 16)
  const celsius = createLine(32, 16)
  const name = createLine(48, 8)
  const bottom = createLine(56, 8)
  const bar = { x: 76, y: 34, width: 52, height: 12, filled: 0 }
  return {
    celsius: celsius,
    changed: false,
    tonesChanged: false,
    dark: false,
    fresh: true,
    chargeShown: NaN,
    name: name,
    top: top,
    bar: bar,
    second: second,
    bottom: bottom,
    calls: createCalls(),
    frame: { lines: [top, second, celsius, name, bottom], bars: [bar] },
    tones: TUNES.silence,
  }
}

/** Shows a text on a line, and remembers whether that is new. */
export function show(panel: Panel, line: ScreenLine, text: string, inverse: boolean): void {
  if (line.text === text && line.inverse === inverse) return
  line.text = text
  line.inverse = inverse
  panel.changed = true
}
