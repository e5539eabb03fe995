/**
 * A 128 x 64 screen with a controller of the SSD1306 or SH1106 kind on an I2C bus, drawn with the engine's own graphics.
 *
 * A frame is drawn at once, in memory; the eight pages of the screen whose bytes have changed then go out one by one
 * from a timer, about 4 ms each at 400 kHz, so that no tick waits for all of them. A screen that does not answer stays
 * dark and is tried again every five seconds: never an error, because the sounder and the motor matter more.
 */
import type { Screen, ScreenBar, ScreenFrame, ScreenLine } from '../board.ts'
import { CHECKS, checkOptions, from, mustBe, mustBeOpen, oneOf, PIN, printable } from './checks.ts'
import type { BusName, Engine, EngineI2C } from './engine.ts'

const WIDTH = 128
const HEIGHT = 64
const PAGES = 8
const RETRY_MILLISECONDS = 5000
/** First byte of each transfer: what follows is commands, or picture bytes. */
const COMMANDS = 0x00
const PICTURE = 0x40

/**
 * Commands of the SSD1306's data sheet (rev 1.5, tables 9-1 and the application example), which the SH1106 shares but
 * for its power supply: off, clock, 64 lines, no offset, first line 0, supply, mirrored as modules are mounted, pins,
 * contrast, precharge, deselect level, show memory, not inverted, on.
 */
const START_BEFORE = [0xae, 0xd5, 0x80, 0xa8, 0x3f, 0xd3, 0x00, 0x40]
const START_AFTER = [0xa1, 0xc8, 0xda, 0x12, 0x81, 0xcf, 0xd9, 0xf1, 0xdb, 0x40, 0xa4, 0xa6, 0xaf]
const SUPPLY_SSD1306 = [0x8d, 0x14]
const SUPPLY_SH1106 = [0xad, 0x8b]

export interface ScreenOptions {
  engine: Engine
  /** The engine's name of the bus. */
  bus: BusName
  sdaPin: string
  sclPin: string
  bitrate: number
  address: number
  controller: 'SSD1306' | 'SH1106'
}

export interface EspruinoScreen extends Screen {
  /** Whether the screen answered when it was last spoken to; `undefined` before that. */
  readonly answers: boolean | undefined
}

export function openScreen(options: ScreenOptions): EspruinoScreen {
  if (CHECKS) {
    checkOptions('screen', options, {
      bus: oneOf(['I2C1', 'I2C2', 'I2C3']),
      sdaPin: PIN,
      sclPin: PIN,
      bitrate: from(10000, 1000000),
      address: from(8, 119),
      controller: oneOf(['SSD1306', 'SH1106']),
    })
  }
  const { engine, address } = options
  const sh1106 = options.controller === 'SH1106'
  const bus = engine[options.bus] as EngineI2C
  const graphics = engine.Graphics.createArrayBuffer(WIDTH, HEIGHT, 1, { vertical_byte: true })
  const hasCells = graphics.getFonts().indexOf('6x8') >= 0
  const pages: Uint8Array[] = []
  let sent: number[] = []
  let page = 0
  let timer = 0
  let closed = false
  bus.setup({ sda: options.sdaPin, scl: options.sclPin, bitrate: options.bitrate })
  for (let i = 0; i < PAGES; i++) pages.push(new Uint8Array(graphics.buffer, i * WIDTH, WIDTH))

  /** A cell is three quarters as wide as high; engines without the 6 x 8 font have each letter placed on its own. */
  const drawLine = (line: ScreenLine): void => {
    const { text, x, y, size } = line
    const cell = size * 0.75
    if (line.inverse) graphics.fillRect(x, y, x + text.length * cell - 1, y + size - 1).setColor(0)
    if (hasCells) graphics.setFont('6x8', size / 8).drawString(text, x, y)
    else {
      if (size === 8) graphics.setFont('4x6', 1)
      else graphics.setFontVector(size)
      for (let i = 0; i < text.length; i++) graphics.drawString(text.charAt(i), x + i * cell, y)
    }
    graphics.setColor(1)
  }
  const drawBar = (bar: ScreenBar): void => {
    const { x, y } = bar
    const bottom = y + bar.height - 1
    const inner = Math.round((bar.width - 4) * bar.filled)
    graphics.drawRect(x, y, x + bar.width - 1, bottom)
    if (inner > 0) graphics.fillRect(x + 2, y + 2, x + 1 + inner, bottom - 2)
  }
  /** Sends the next page that has changed, and comes back for more. */
  const send = (): void => {
    timer = 0
    try {
      if (!screen.answers) {
        sent = []
        page = 0
        bus.writeTo(address, COMMANDS, START_BEFORE.concat(sh1106 ? SUPPLY_SH1106 : SUPPLY_SSD1306, START_AFTER))
        screen.answers = true
      }
      while (page < PAGES) {
        const bytes = pages[page]
        const sum = engine.E.CRC32(bytes)
        if (sent[page] !== sum) {
          // The SH1106 has 132 columns, of which a panel shows the middle 128.
          bus.writeTo(address, COMMANDS, [0xb0 + page, sh1106 ? 2 : 0, 0x10])
          bus.writeTo(address, PICTURE, bytes)
          sent[page] = sum
          timer = engine.setTimeout(send, 5)
          return
        }
        page++
      }
    } catch (_) {
      screen.answers = false
      timer = engine.setTimeout(send, RETRY_MILLISECONDS)
    }
  }
  const screen = {
    answers: undefined as boolean | undefined,
    write: (frame: ScreenFrame) => {
      if (CHECKS) mustBeOpen('screen', closed)
      if (CHECKS) checkFrame(frame)
      graphics.clear(true)
      frame.lines.forEach(drawLine)
      frame.bars.forEach(drawBar)
      page = 0
      if (timer === 0) send()
    },
    close: () => {
      if (timer !== 0) engine.clearTimeout(timer)
      timer = 0
      closed = true
    },
  }
  return screen
}

function checkFrame(frame: ScreenFrame): void {
  mustBe('screen', typeof frame === 'object' && frame !== null, frame, 'a frame')
  for (let i = 0; i < frame.lines.length; i++) {
    const line = frame.lines[i]
    mustBe('screen', printable(line.text, ''), line.text, 'printable ASCII')
    mustBe('screen', line.size === 8 || line.size === 16 || line.size === 32, line.size, '8, 16 or 32')
  }
  for (let i = 0; i < frame.bars.length; i++) {
    mustBe('screen', frame.bars[i].filled >= 0 && frame.bars[i].filled <= 1, frame.bars[i].filled, '0 to 1')
  }
}
