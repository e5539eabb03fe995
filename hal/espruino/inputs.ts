/**
 * What is sensed: the thermistors and the pack through the analogue converter, the buttons and the rotation by watches,
 * whose handlers only count and keep the interrupt's time stamp. A sensor that is missing or broken reads as nonsense,
 * not as an error: the firmware judges it.
 */
import type {
  AnalogInput,
  Button,
  ButtonReading,
  RotationCounter,
  RotationReading,
  Supply,
  SupplyReading,
} from '../board.ts'
import { numberOption, objectOption, wordOption } from '../options.ts'
import type { EspruinoClock } from './clocks.ts'
import type { Engine, WatchEvent } from './engine.ts'
import { EspruinoPart, pinOption } from './part.ts'

/** A reference that has to be measured is measured once in so many readings: at ten a second, every six seconds. */
const READINGS_PER_REFERENCE = 64

export class EspruinoAnalogInput extends EspruinoPart implements AnalogInput {
  readonly bits: number
  private readonly pin: string
  private readonly samples: number

  /** The mean of `samples` conversions. The thermistor's divider hangs on the converter's reference, which so cancels out. */
  constructor(options: { engine: Engine; pin: string; bits: number; samples: number }) {
    super('analog input', options)
    this.pin = pinOption('analog input', options, 'pin')
    this.bits = numberOption('analog input', options, 'bits', 8, 16)
    this.samples = numberOption('analog input', options, 'samples', 1, 64)
  }

  read(): number | undefined {
    this.mustBeOpen()
    const engine = this.engine
    const pin = this.pin
    let sum = 0
    for (let i = this.samples; i > 0; i--) sum += engine.analogRead(pin)
    if (isNaN(sum)) return undefined
    const full = Math.round(2 ** this.bits)
    return Math.max(0, Math.min(full - 1, (sum / this.samples) * full))
  }
}

export interface SupplyOptions {
  engine: Engine
  packPin: string
  /** Volts of the pack for one volt at the pin. */
  packRatio: number
  /** The converter's reference; 0 to have the engine measure it. */
  referenceVolts: number
  /** Of the current sense; left out on a board without. */
  ampsPin?: string | undefined
  /** Volts at that pin for one ampere of the motor. */
  voltsPerAmp: number
}

export class EspruinoSupply extends EspruinoPart implements Supply {
  private readonly packPin: string
  private readonly packRatio: number
  private readonly ampsPin: string | undefined
  private readonly voltsPerAmp: number
  private readonly measured: boolean
  private referenceVolts: number
  private readings = 0
  private readonly reading: SupplyReading = { packVolts: NaN, motorAmps: NaN }

  constructor(options: SupplyOptions) {
    super('supply', options)
    this.packPin = pinOption('supply', options, 'packPin')
    this.packRatio = numberOption('supply', options, 'packRatio', 1, 20)
    this.referenceVolts = numberOption('supply', options, 'referenceVolts', 0, 5)
    this.voltsPerAmp = numberOption('supply', options, 'voltsPerAmp', 0.01, 10)
    this.ampsPin = options.ampsPin === undefined ? undefined : pinOption('supply', options, 'ampsPin')
    this.measured = this.referenceVolts === 0
  }

  read(): SupplyReading | undefined {
    this.mustBeOpen()
    const engine = this.engine
    if (this.measured && this.readings++ % READINGS_PER_REFERENCE === 0) {
      this.referenceVolts = engine.E.getAnalogVRef()
    }
    const volts = engine.analogRead(this.packPin) * this.referenceVolts * this.packRatio
    if (isNaN(volts)) return undefined
    this.reading.packVolts = volts
    if (this.ampsPin !== undefined) {
      this.reading.motorAmps = (engine.analogRead(this.ampsPin) * this.referenceVolts) / this.voltsPerAmp
    }
    return this.reading
  }
}

export interface ButtonOptions {
  engine: Engine
  clock: EspruinoClock
  /** The button pulls it to ground. */
  pin: string
  /** What lasts shorter is no press. The firmware judges longer bounce; this keeps a storm of edges off the interpreter. */
  debounceMilliseconds: number
}

export class EspruinoButton extends EspruinoPart implements Button {
  private readonly pin: string
  private readonly watch: number
  private readonly reading: ButtonReading = { down: false, presses: 0, pressedSeconds: 0 }

  constructor(options: ButtonOptions) {
    super('button', options)
    const clock = objectOption<EspruinoClock>('button', options, 'clock')
    const reading = this.reading
    this.pin = pinOption('button', options, 'pin')
    const debounce = numberOption('button', options, 'debounceMilliseconds', 0, 15)
    this.engine.pinMode(this.pin, 'input_pullup')
    this.watch = this.engine.setWatch(
      (event: WatchEvent) => {
        reading.presses++
        reading.pressedSeconds = clock.at(event.time)
      },
      this.pin,
      { repeat: true, edge: 'falling', debounce: debounce },
    )
  }

  read(): ButtonReading {
    this.mustBeOpen()
    this.reading.down = !this.engine.digitalRead(this.pin)
    return this.reading
  }

  override close(): void {
    stopWatching(this.engine, this.watch)
    super.close()
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

export class EspruinoRotationCounter extends EspruinoPart implements RotationCounter {
  private readonly watch: number
  private readonly counted: RotationReading = { edges: 0, edgeSeconds: 0 }
  private readEdges = 0

  constructor(options: RotationOptions) {
    super('rotation counter', options)
    const clock = objectOption<EspruinoClock>('rotation counter', options, 'clock')
    const counted = this.counted
    const pin = pinOption('rotation counter', options, 'pin')
    const edge = wordOption('rotation counter', options, 'edge', ['rising', 'falling', 'both'])
    const prescale = numberOption('rotation counter', options, 'prescale', 1, 4096)
    numberOption('rotation counter', options, 'edgesPerSecondAtMost', 0, 50)
    this.engine.pinMode(pin, 'input_pullup')
    this.watch = this.engine.setWatch(
      (event: WatchEvent) => {
        counted.edges += prescale
        counted.edgeSeconds = clock.at(event.time)
      },
      pin,
      { repeat: true, edge: edge, debounce: 0 },
    )
  }

  read(): RotationReading | undefined {
    this.mustBeOpen()
    if (this.counted.edges === this.readEdges) return undefined
    this.readEdges = this.counted.edges
    return this.counted
  }

  override close(): void {
    stopWatching(this.engine, this.watch)
    super.close()
  }
}

/** The engine throws for a watch that is gone, as it is after the second `close`. */
function stopWatching(engine: Engine, watch: number): void {
  try {
    engine.clearWatch(watch)
  } catch (_) {}
}
