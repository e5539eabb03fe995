/**
 * A 128 x 64 screen with a controller of the SSD1306 or SH1106 kind on an I2C bus, drawn with the engine's own graphics.
 *
 * A frame is drawn at once, in memory; the eight pages of the screen whose bytes have changed then go out one by one
 * from a timer, about 4 ms each at 400 kHz, so that no tick waits for all of them. A screen that does not answer stays
 * dark and is tried again every five seconds: never an error, because the sounder and the motor matter more.
 */
import type { Screen, ScreenFrame } from '../board.ts'
import { numberOption, wordOption } from '../options.ts'
import type { Engine, EngineGraphics, EngineI2C } from './engine.ts'
import { EspruinoPart, pinOption, printable } from './part.ts'

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
function startCommands(sh1106: boolean): number[] {
  const supply = sh1106 ? [0xad, 0x8b] : [0x8d, 0x14]
  return [0xae, 0xd5, 0x80, 0xa8, 0x3f, 0xd3, 0x00, 0x40]
    .concat(supply)
    .concat([0xa1, 0xc8, 0xda, 0x12, 0x81, 0xcf, 0xd9, 0xf1, 0xdb, 0x40, 0xa4, 0xa6, 0xaf])
}

export interface ScreenOptions {
  engine: Engine
  /** The engine's name of the bus. */
  bus: string
  sdaPin: string
  sclPin: string
  bitrate: number
  address: number
  controller: 'SSD1306' | 'SH1106'
}

export class EspruinoScreen extends EspruinoPart implements Screen {
  /** Whether the screen answered when it was last spoken to; `undefined` before that. */
  answers: boolean | undefined = undefined
  private readonly bus: EngineI2C
  private readonly address: number
  private readonly sh1106: boolean
  private readonly graphics: EngineGraphics
  private readonly hasCells: boolean
  private readonly pages: Uint8Array[] = []
  private sent: number[] = []
  private page = 0
  private timer = 0
  private readonly send: () => void

  constructor(options: ScreenOptions) {
    super('screen', options)
    const sda = pinOption('screen', options, 'sdaPin')
    const scl = pinOption('screen', options, 'sclPin')
    const bus = wordOption('screen', options, 'bus', ['I2C1', 'I2C2', 'I2C3'])
    const bitrate = numberOption('screen', options, 'bitrate', 10000, 1000000)
    this.address = numberOption('screen', options, 'address', 8, 119)
    this.sh1106 = wordOption('screen', options, 'controller', ['SSD1306', 'SH1106']) === 'SH1106'
    this.bus = this.engine.i2c(bus)
    this.bus.setup({ sda: sda, scl: scl, bitrate: bitrate })
    this.graphics = this.engine.createGraphics(WIDTH, HEIGHT)
    this.hasCells = this.graphics.getFonts().indexOf('6x8') >= 0
    for (let i = 0; i < PAGES; i++) this.pages.push(new Uint8Array(this.graphics.buffer, i * WIDTH, WIDTH))
    this.send = () => this.sendPage()
  }

  write(frame: ScreenFrame): void {
    this.mustBeOpen()
    this.check(frame)
    this.graphics.clear(true)
    for (let i = 0; i < frame.lines.length; i++) {
      const line = frame.lines[i]
      this.drawLine(line.text, line.x, line.y, line.size, line.inverse)
    }
    for (let i = 0; i < frame.bars.length; i++) {
      const bar = frame.bars[i]
      const right = bar.x + bar.width - 1
      const bottom = bar.y + bar.height - 1
      this.graphics.drawRect(bar.x, bar.y, right, bottom)
      const inner = Math.round((bar.width - 4) * bar.filled)
      if (inner > 0) this.graphics.fillRect(bar.x + 2, bar.y + 2, bar.x + 1 + inner, bottom - 2)
    }
    this.page = 0
    if (this.timer === 0) this.sendPage()
  }

  override close(): void {
    if (this.timer !== 0) this.engine.clearTimeout(this.timer)
    this.timer = 0
    super.close()
  }

  private check(frame: ScreenFrame): void {
    if (typeof frame !== 'object' || frame === null) this.refuse(frame, 'a frame')
    for (let i = 0; i < frame.lines.length; i++) {
      const line = frame.lines[i]
      if (!printable(line.text, '')) this.refuse(line.text, 'printable ASCII')
      if (line.size !== 8 && line.size !== 16 && line.size !== 32) this.refuse(line.size, '8, 16 or 32')
    }
    for (let i = 0; i < frame.bars.length; i++) {
      const filled = frame.bars[i].filled
      if (!(filled >= 0 && filled <= 1)) this.refuse(filled, '0 to 1')
    }
  }

  /** A cell is three quarters as wide as high; engines without the 6 x 8 font have each letter placed on its own. */
  private drawLine(text: string, x: number, y: number, size: number, inverse: boolean): void {
    const graphics = this.graphics
    const cell = size * 0.75
    if (inverse) graphics.fillRect(x, y, x + text.length * cell - 1, y + size - 1).setColor(0)
    if (this.hasCells) graphics.setFont('6x8', size / 8).drawString(text, x, y)
    else {
      if (size === 8) graphics.setFont('4x6', 1)
      else graphics.setFontVector(size)
      for (let i = 0; i < text.length; i++) graphics.drawString(text.charAt(i), x + i * cell, y)
    }
    graphics.setColor(1)
  }

  /** Sends the next page that has changed, and comes back for more. */
  private sendPage(): void {
    this.timer = 0
    try {
      if (this.answers !== true) {
        this.sent = []
        this.page = 0
        this.bus.writeTo(this.address, COMMANDS, startCommands(this.sh1106))
        this.answers = true
      }
      while (this.page < PAGES) {
        const page = this.page++
        const sum = this.engine.E.CRC32(this.pages[page])
        if (this.sent[page] === sum) continue
        // The SH1106 has 132 columns, of which a panel shows the middle 128.
        this.bus.writeTo(this.address, COMMANDS, [0xb0 + page, this.sh1106 ? 2 : 0, 0x10])
        this.bus.writeTo(this.address, PICTURE, this.pages[page])
        this.sent[page] = sum
        this.timer = this.engine.setTimeout(this.send, 5)
        return
      }
    } catch (_) {
      this.answers = false
      this.timer = this.engine.setTimeout(this.send, RETRY_MILLISECONDS)
    }
  }
}
