/**
 * Which wiring is for which board, by the name that the engine gives the board (`process.env.BOARD`). A board of a
 * family that is not named here can be used with a wiring said by hand; a named one only with its own.
 */
import { esp32 } from '../../hal/espruino/wiring/esp32.ts'
import { pico } from '../../hal/espruino/wiring/pico.ts'
import { stm32f4 } from '../../hal/espruino/wiring/stm32f4.ts'
import type { Wiring } from '../../hal/espruino/wiring/wiring.ts'
import { unknownBoard, wrongBoard } from './messages.ts'

/** The engine's names, from its list of boards. Other ESP32 chips number their pins otherwise and are left out. */
const BOARDS: { wiring: Wiring; names: RegExp }[] = [
  { wiring: pico, names: /^RP2040_PICO/ },
  { wiring: stm32f4, names: /^(PICO_R1_3|ESPRUINOWIFI|NUCLEOF4\d\dRE|STM32F4\d*\w*)$/ },
  { wiring: esp32, names: /^ESP32(_IDF4)?$/ },
]

export const WIRINGS: string[] = BOARDS.map(one => one.wiring.name)

/** The wiring made for a board; `undefined` when there is none. */
export function wiringOf(board: string): string | undefined {
  return BOARDS.find(one => one.names.test(board))?.wiring.name
}

/** The wiring to use: the one asked for, or the board's own. Throws `LinkError` when they do not go together. */
export function wiringFor(board: string, asked: string | undefined): string {
  const own = wiringOf(board)
  if (asked === undefined) {
    if (own === undefined) throw unknownBoard(board, WIRINGS)
    return own
  }
  if (own !== undefined && own !== asked) throw wrongBoard(asked, board, own)
  return asked
}

/** Firmware slots of a wiring: one on small boards. An unknown wiring is taken for a large one. */
export function slotsOf(wiring: string): number {
  return BOARDS.find(one => one.wiring.name === wiring)?.wiring.slots ?? 2
}
