/**
 * The simulated board: the contract of `hal/board.ts` on top of the plant's pins. Knows no Node, so that it can be
 * bundled with the firmware into a rehearsal. The tests reach behind it through the pins, as a hand reaches a button.
 */
import type {
  AnalogInput,
  Board,
  Button,
  ButtonReading,
  ByteStore,
  MonotonicClock,
  Motor,
  ResetCause,
  RotationCounter,
  RotationReading,
  Screen,
  ScreenFrame,
  SerialLine,
  Sounder,
  Supply,
  SupplyReading,
  TextFiles,
  Tone,
  WallClock,
  Watchdog,
} from '../hal/board.ts'
import { closedError, numberOption, objectOption, optionsObject, wordOption } from '../hal/options.ts'
import { crc32 } from './crc32.ts'
import { type Pins, sendFromLine } from './plant/pins.ts'
import { SimulatedStore } from './store.ts'

/** What every simulated part is made with, and the one way it ends. */
class SimulatedPart {
  protected readonly pins: Pins
  private readonly name: string
  private closed = false

  constructor(name: string, options: { pins: Pins }) {
    this.name = name
    this.pins = objectOption<Pins>(name, optionsObject(name, options), 'pins')
  }

  protected mustBeOpen(): void {
    if (this.closed) throw closedError(this.name)
  }

  protected refuse(found: unknown, allowed: string): never {
    const message = `${this.name}: cannot write ${String(found)} (allowed: ${allowed})`
    throw typeof found === 'number' && !isNaN(found) ? new RangeError(message) : new TypeError(message)
  }

  close(): void {
    this.closed = true
  }
}

export class SimulatedClock extends SimulatedPart implements MonotonicClock {
  constructor(options: { pins: Pins }) {
    super('clock', options)
  }

  read(): number {
    this.mustBeOpen()
    return this.pins.seconds
  }
}

export class SimulatedWallClock extends SimulatedPart implements WallClock {
  constructor(options: { pins: Pins }) {
    super('wall clock', options)
  }

  read(): number | undefined {
    this.mustBeOpen()
    const { wallOffsetSeconds, seconds } = this.pins
    return isNaN(wallOffsetSeconds) ? undefined : wallOffsetSeconds + seconds
  }

  write(epochSeconds: number): void {
    this.mustBeOpen()
    if (typeof epochSeconds !== 'number' || !(epochSeconds >= 0 && epochSeconds < 1e11)) {
      this.refuse(epochSeconds, 'seconds since 1970, from 0 to 1e11')
    }
    this.pins.wallOffsetSeconds = epochSeconds - this.pins.seconds
  }
}

export class SimulatedAnalogInput extends SimulatedPart implements AnalogInput {
  readonly bits: number
  private readonly channel: 'probeCounts' | 'roomCounts'

  constructor(options: { pins: Pins; channel: 'probe' | 'room'; bits: number }) {
    super('analog input', options)
    this.bits = numberOption('analog input', options, 'bits', 8, 16)
    const channel = wordOption('analog input', options, 'channel', ['probe', 'room'])
    this.channel = channel === 'probe' ? 'probeCounts' : 'roomCounts'
  }

  read(): number | undefined {
    this.mustBeOpen()
    const counts = this.pins[this.channel]
    return isNaN(counts) ? undefined : counts
  }
}

export class SimulatedButton extends SimulatedPart implements Button {
  private readonly which: 'advance' | 'hold'

  constructor(options: { pins: Pins; which: 'advance' | 'hold' }) {
    super('button', options)
    this.which = wordOption('button', options, 'which', ['advance', 'hold'])
  }

  read(): ButtonReading {
    this.mustBeOpen()
    return this.pins[this.which]
  }
}

export class SimulatedRotationCounter extends SimulatedPart implements RotationCounter {
  private readonly edges: 'shaftEdges' | 'tankEdges'
  private readonly edgeSeconds: 'shaftEdgeSeconds' | 'tankEdgeSeconds'
  private readonly reading: RotationReading = { edges: 0, edgeSeconds: 0 }

  constructor(options: { pins: Pins; at: 'shaft' | 'tank' }) {
    super('rotation counter', options)
    const at = wordOption('rotation counter', options, 'at', ['shaft', 'tank'])
    this.edges = at === 'shaft' ? 'shaftEdges' : 'tankEdges'
    this.edgeSeconds = at === 'shaft' ? 'shaftEdgeSeconds' : 'tankEdgeSeconds'
  }

  read(): RotationReading | undefined {
    this.mustBeOpen()
    const edges = this.pins[this.edges]
    if (edges === this.reading.edges) return undefined
    this.reading.edges = edges
    this.reading.edgeSeconds = this.pins[this.edgeSeconds]
    return this.reading
  }
}

export class SimulatedSupply extends SimulatedPart implements Supply {
  private readonly reading: SupplyReading = { packVolts: NaN, motorAmps: NaN }

  constructor(options: { pins: Pins }) {
    super('supply', options)
  }

  read(): SupplyReading | undefined {
    this.mustBeOpen()
    if (isNaN(this.pins.packVolts)) return undefined
    this.reading.packVolts = this.pins.packVolts
    this.reading.motorAmps = this.pins.motorAmps
    return this.reading
  }
}

export class SimulatedMotor extends SimulatedPart implements Motor {
  readonly deadManSeconds: number
  readonly deadManBy = 'the simulated driver'

  constructor(options: { pins: Pins; deadManSeconds: number }) {
    super('motor', options)
    this.deadManSeconds = numberOption('motor', options, 'deadManSeconds', 0.05, 0.5)
  }

  write(duty: number): void {
    this.mustBeOpen()
    if (typeof duty !== 'number' || !(duty >= -1 && duty <= 1)) this.refuse(duty, 'a duty from -1 to 1')
    this.pins.motorDuty = duty
    this.pins.motorGoodUntilSeconds = this.pins.seconds + this.deadManSeconds
  }

  override close(): void {
    this.pins.motorDuty = 0
    super.close()
  }
}

function printable(text: unknown): boolean {
  if (typeof text !== 'string') return false
  for (let i = 0; i < text.length; i++) if (text.charCodeAt(i) < 32 || text.charCodeAt(i) > 126) return false
  return true
}

export class SimulatedScreen extends SimulatedPart implements Screen {
  constructor(options: { pins: Pins }) {
    super('screen', options)
  }

  write(frame: ScreenFrame): void {
    this.mustBeOpen()
    if (typeof frame !== 'object' || frame === null) this.refuse(frame, 'a frame of lines and bars')
    for (const line of frame.lines) {
      if (!printable(line.text)) this.refuse(line.text, 'printable ASCII')
      if (line.size !== 8 && line.size !== 16 && line.size !== 32) this.refuse(line.size, 'a size of 8, 16 or 32')
    }
    for (const bar of frame.bars) if (!(bar.filled >= 0 && bar.filled <= 1)) this.refuse(bar.filled, '0 to 1')
    this.pins.screen = frame
    this.pins.screenWrites++
  }
}

export class SimulatedSounder extends SimulatedPart implements Sounder {
  constructor(options: { pins: Pins }) {
    super('sounder', options)
  }

  write(tones: Tone[]): void {
    this.mustBeOpen()
    if (typeof tones !== 'object' || tones === null) this.refuse(tones, 'a list of tones')
    for (const tone of tones) {
      if (!(tone.hertz >= 0 && tone.hertz <= 20_000)) this.refuse(tone.hertz, '0 to 20000 hertz')
      if (!(tone.seconds >= 0 && tone.seconds <= 60)) this.refuse(tone.seconds, '0 to 60 seconds')
    }
    this.pins.tones = tones
    this.pins.tonesWrites++
  }
}

export class SimulatedWatchdog extends SimulatedPart implements Watchdog {
  readonly limitSeconds: number

  constructor(options: { pins: Pins; limitSeconds: number }) {
    super('watchdog', options)
    this.limitSeconds = numberOption('watchdog', options, 'limitSeconds', 0.1, 8)
  }

  write(fed: boolean): void {
    this.mustBeOpen()
    if (fed !== true) this.refuse(fed, 'true')
    this.pins.watchdogDueSeconds = this.pins.seconds + this.limitSeconds
  }
}

export class SimulatedLine extends SimulatedPart implements SerialLine {
  private readonly lostBefore: number

  constructor(options: { pins: Pins }) {
    super('serial line', options)
    this.lostBefore = this.pins.lineLostBytes
  }

  read(): string | undefined {
    this.mustBeOpen()
    const text = this.pins.lineIn
    if (text === '') return undefined
    this.pins.lineIn = ''
    return text
  }

  write(text: string): void {
    this.mustBeOpen()
    if (!sendable(text)) this.refuse(text, 'printable ASCII, 0x0A and 0x1E')
    sendFromLine(this.pins, text)
  }

  get taken(): boolean {
    return this.pins.lineTaken
  }

  get lostBytes(): number {
    return this.pins.lineLostBytes - this.lostBefore
  }

  take(): void {
    this.mustBeOpen()
    this.pins.lineTaken = true
  }

  giveBack(): void {
    this.mustBeOpen()
    this.pins.lineTaken = false
  }

  override close(): void {
    this.pins.lineTaken = false
    super.close()
  }
}

function sendable(text: unknown): boolean {
  if (typeof text !== 'string') return false
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i)
    if ((code < 32 || code > 126) && code !== 0x0a && code !== 0x1e) return false
  }
  return true
}

const hasKey = Object.prototype.hasOwnProperty
const NAME_CHARACTERS = 26
const TEXT_CHARACTERS = 8000

/** Files that last as long as the part: the caller keeps it where they shall outlive a power cut. */
export class SimulatedFiles extends SimulatedPart implements TextFiles {
  private readonly bytes: number
  private readonly texts: { [name: string]: string } = {}

  constructor(options: { pins: Pins; bytes: number }) {
    super('files', options)
    this.bytes = numberOption('files', options, 'bytes', 256, 1_048_576)
  }

  names(): string[] {
    this.mustBeOpen()
    return Object.keys(this.texts)
  }

  read(name: string): string | undefined {
    this.mustBeNamed(name)
    return hasKey.call(this.texts, name) ? this.texts[name] : undefined
  }

  write(name: string, text: string): void {
    this.mustBeNamed(name)
    if (!printable(text)) this.refuse(text, 'printable ASCII')
    if (text.length > TEXT_CHARACTERS) this.refuseLength('a text', text.length, `up to ${TEXT_CHARACTERS} characters`)
    let kept = name.length + text.length
    for (const other of this.names()) if (other !== name) kept += other.length + (this.texts[other] as string).length
    if (kept > this.bytes) throw new Error(`files: ${name} does not fit (${kept} of ${this.bytes} bytes)`)
    this.texts[name] = text
  }

  remove(name: string): void {
    this.mustBeNamed(name)
    delete this.texts[name]
  }

  private mustBeNamed(name: string): void {
    this.mustBeOpen()
    const allowed = `a-z 0-9 . -, 1 to ${NAME_CHARACTERS} long`
    if (typeof name !== 'string') this.refuse(name, `a name of ${allowed}`)
    if (name.length < 1 || name.length > NAME_CHARACTERS) this.refuseLength('a name', name.length, allowed)
    if (!/^[a-z0-9.-]+$/.test(name)) throw new RangeError(`files: cannot take the name "${name}" (allowed: ${allowed})`)
  }

  private refuseLength(what: string, length: number, allowed: string): never {
    throw new RangeError(`files: cannot take ${what} of ${length} characters (allowed: ${allowed})`)
  }
}

export interface SimulatedBoardOptions {
  pins: Pins
  adcBits: number
  /** What this base was built with. */
  hasRoom: boolean
  hasShaft: boolean
  hasTank: boolean
  /** The flash, kept by the caller so that it outlives a power cut; a new one when left out. */
  store?: ByteStore
  files?: TextFiles
  resetCause?: ResetCause
}

/** Opens every part of a simulated board. */
export function openSimulatedBoard(options: SimulatedBoardOptions): Board {
  const { pins } = options
  const clock = new SimulatedClock({ pins })
  const wallClock = new SimulatedWallClock({ pins })
  const probe = new SimulatedAnalogInput({ pins, channel: 'probe', bits: options.adcBits })
  const room = options.hasRoom ? new SimulatedAnalogInput({ pins, channel: 'room', bits: options.adcBits }) : undefined
  const advance = new SimulatedButton({ pins, which: 'advance' })
  const hold = new SimulatedButton({ pins, which: 'hold' })
  const shaft = options.hasShaft ? new SimulatedRotationCounter({ pins, at: 'shaft' }) : undefined
  const tank = options.hasTank ? new SimulatedRotationCounter({ pins, at: 'tank' }) : undefined
  const supply = new SimulatedSupply({ pins })
  const motor = new SimulatedMotor({ pins, deadManSeconds: 0.5 })
  const screen = new SimulatedScreen({ pins })
  const sounder = new SimulatedSounder({ pins })
  const watchdog = new SimulatedWatchdog({ pins, limitSeconds: 1 })
  const store = options.store ?? new SimulatedStore({ pins, bytes: 65_536, blockBytes: 4096 })
  const files = options.files ?? new SimulatedFiles({ pins, bytes: 32_768 })
  const line = new SimulatedLine({ pins })
  const parts = {
    clock,
    wallClock,
    probe,
    room,
    advance,
    hold,
    shaft,
    tank,
    supply,
    motor,
    screen,
    sounder,
    watchdog,
    store,
    files,
    line,
  }
  return {
    ...parts,
    resetCause: options.resetCause ?? 'power',
    crc32,
    close() {
      for (const name in parts) {
        const part = parts[name as keyof typeof parts]
        if (part !== undefined) part.close()
      }
    },
  }
}
