/**
 * The engine's graphics and a screen on its I2C bus, for tests. The graphics draw into a buffer of eight pixels a byte,
 * top down, as the screen wants them; a letter is drawn as the bits of its code, enough to see where it stands. The
 * screen understands the commands of its data sheet that matter for where bytes land, and may be unplugged.
 */
import type { EngineGraphics, EngineI2C } from '../../../hal/espruino/engine.ts'

export interface FakeGraphics extends EngineGraphics {
  lit(x: number, y: number): boolean
}

export function createFakeGraphics(width: number, height: number, fonts: string[]): FakeGraphics {
  const bytes = new Uint8Array((width * height) / 8)
  let colour = 1
  let cell = 6
  let scale = 1
  const set = (x: number, y: number): void => {
    if (x < 0 || y < 0 || x >= width || y >= height) return
    const at = x + (y >> 3) * width
    if (colour === 1) bytes[at] |= 1 << (y & 7)
    else bytes[at] &= ~(1 << (y & 7))
  }
  const fill = (x1: number, y1: number, x2: number, y2: number): void => {
    for (let y = y1; y <= y2; y++) for (let x = x1; x <= x2; x++) set(x, y)
  }
  const graphics: FakeGraphics = {
    buffer: bytes.buffer as ArrayBuffer,
    lit: (x, y) => (bytes[x + (y >> 3) * width] & (1 << (y & 7))) !== 0,
    clear() {
      bytes.fill(0)
      colour = 1
      return graphics
    },
    setColor(value) {
      colour = value
      return graphics
    },
    setFont(name, size) {
      if (!fonts.includes(name)) throw new Error(`Unknown font ${name}`)
      cell = Number(name[0])
      scale = size
      return graphics
    },
    setFontVector(size) {
      cell = 6
      scale = Math.floor(size / 8)
      return graphics
    },
    getFonts: () => fonts,
    drawString(text, x, y) {
      for (let i = 0; i < text.length; i++) {
        for (let bit = 0; bit < 7; bit++) {
          if ((text.charCodeAt(i) & (1 << bit)) === 0) continue
          const left = x + i * cell * scale
          fill(left, y + bit * scale, left + scale - 1, y + bit * scale + scale - 1)
        }
      }
      return graphics
    },
    fillRect(x1, y1, x2, y2) {
      fill(x1, y1, x2, y2)
      return graphics
    },
    drawRect(x1, y1, x2, y2) {
      fill(x1, y1, x2, y1)
      fill(x1, y2, x2, y2)
      fill(x1, y1, x1, y2)
      fill(x2, y1, x2, y2)
      return graphics
    },
  }
  return graphics
}

export interface FakePanel extends EngineI2C {
  /** Unplugged: whoever speaks to it is thrown at. */
  gone: boolean
  on: boolean
  /** Picture bytes received since the start, and what they show: 132 columns by 8 pages. */
  bytes: number
  readonly memory: Uint8Array
}

/** A screen at `address`; anything else on the bus does not answer. */
export function createFakePanel(address: number): FakePanel {
  let page = 0
  let column = 0
  const columns = 132
  const withArgument = [0xd5, 0xa8, 0xd3, 0x8d, 0xad, 0xda, 0x81, 0xd9, 0xdb]
  const panel: FakePanel = {
    gone: false,
    on: false,
    bytes: 0,
    memory: new Uint8Array(columns * 8),
    setup() {},
    writeTo(to, first, data) {
      if (panel.gone || to !== address) throw new Error('jshI2CWrite failed')
      if (first === 0x40) {
        for (const byte of data) {
          panel.bytes++
          if (column < columns) panel.memory[page * columns + column++] = byte
        }
        return
      }
      if (first !== 0x00) throw new Error(`control byte ${first}`)
      for (let i = 0; i < data.length; i++) {
        const command = data[i]
        if (withArgument.includes(command)) i++
        else if (command === 0xae || command === 0xaf) panel.on = command === 0xaf
        else if (command >= 0xb0 && command <= 0xb7) page = command - 0xb0
        else if (command <= 0x0f) column = (column & 0xf0) | command
        else if (command <= 0x1f) column = (column & 0x0f) | ((command & 0x0f) << 4)
      }
    },
  }
  return panel
}
