/**
 * The motor behind an H-bridge: two inputs of which one gets the pulses, or one for the pulses and one for the
 * direction. Where the wiring has an enable line behind a retriggerable monostable, each duty also retriggers that.
 *
 * Three things stop it when duties cease: a timer here after `deadManSeconds`; when the interpreter itself hangs, the
 * monostable, or the watchdog and the pull-downs on the driver's inputs; and `close`, `reset()` and `load()` at once.
 */
import type { Motor } from '../board.ts'
import { numberOption, objectOption, wordOption } from '../options.ts'
import type { EspruinoClock } from './clocks.ts'
import type { Engine, PwmOptions } from './engine.ts'
import { EspruinoPart, pinOption } from './part.ts'
import type { EspruinoWatchdog } from './watchdog.ts'

/** Long enough for any monostable, short enough to be over before the next duty: the engine queues overlapping pulses. */
const TRIGGER_MILLISECONDS = 5

export interface MotorOptions {
  engine: Engine
  clock: EspruinoClock
  watchdog: EspruinoWatchdog
  driver: 'twoPins' | 'pinAndDirection'
  /** Two pins: pulses forwards. Pin and direction: the pulses. */
  pulsePin: string
  /** Two pins: pulses backwards. Pin and direction: high for backwards. */
  backPin: string
  /** Triggers the monostable that holds the driver's enable input; left out where there is none. */
  triggerPin?: string | undefined
  hertz: number
  deadManSeconds: number
  deadManBy: string
}

export class EspruinoMotor extends EspruinoPart implements Motor {
  readonly deadManSeconds: number
  readonly deadManBy: string
  /** Whether the driver gets pulses now. */
  driven = false
  private readonly clock: EspruinoClock
  private readonly watchdog: EspruinoWatchdog
  private readonly pulsePin: string
  private readonly backPin: string
  private readonly triggerPin: string | undefined
  private readonly twoPins: boolean
  private readonly pwm: PwmOptions
  private duty = 0
  private writtenSeconds = 0
  private timer = 0
  private readonly expire: () => void

  constructor(options: MotorOptions) {
    super('motor', options)
    this.clock = objectOption<EspruinoClock>('motor', options, 'clock')
    this.watchdog = objectOption<EspruinoWatchdog>('motor', options, 'watchdog')
    this.twoPins = wordOption('motor', options, 'driver', ['twoPins', 'pinAndDirection']) === 'twoPins'
    this.pulsePin = pinOption('motor', options, 'pulsePin')
    this.backPin = pinOption('motor', options, 'backPin')
    this.triggerPin = options.triggerPin === undefined ? undefined : pinOption('motor', options, 'triggerPin')
    this.pwm = { freq: numberOption('motor', options, 'hertz', 50, 50000) }
    this.deadManSeconds = numberOption('motor', options, 'deadManSeconds', 0.05, 0.5)
    this.deadManBy = options.deadManBy
    this.expire = () => this.judge()
    this.rest()
    if (this.triggerPin !== undefined) this.engine.digitalWrite(this.triggerPin, 0)
    this.engine.E.on('kill', () => this.rest())
  }

  write(duty: number): void {
    this.mustBeOpen()
    if (typeof duty !== 'number' || !(duty >= -1 && duty <= 1)) this.refuse(duty, '-1 to 1')
    if (duty === 0) {
      if (this.driven) this.stop()
      return
    }
    this.writtenSeconds = this.clock.read()
    if (!this.driven) {
      this.watchdog.follow(true)
      this.driven = true
      this.timer = this.engine.setTimeout(this.expire, this.deadManSeconds * 1000)
    }
    if (this.triggerPin !== undefined) this.engine.digitalPulse(this.triggerPin, 1, TRIGGER_MILLISECONDS)
    if (duty !== this.duty) this.drive(duty)
  }

  override close(): void {
    this.stop()
    super.close()
  }

  /** Pins low, whatever else is: safe to call at any moment, also from an error's handler. */
  rest(): void {
    this.driven = false
    this.duty = 0
    this.engine.digitalWrite(this.pulsePin, 0)
    this.engine.digitalWrite(this.backPin, 0)
  }

  private stop(): void {
    this.rest()
    this.watchdog.follow(false)
    if (this.timer !== 0) this.engine.clearTimeout(this.timer)
    this.timer = 0
  }

  private drive(duty: number): void {
    const backwards = duty < 0
    // The other input first: both high at once would brake.
    if (backwards !== this.duty < 0 || this.duty === 0) {
      if (this.twoPins) this.engine.digitalWrite(backwards ? this.pulsePin : this.backPin, 0)
      else {
        this.engine.digitalWrite(this.pulsePin, 0)
        this.engine.digitalWrite(this.backPin, backwards ? 1 : 0)
      }
    }
    this.duty = duty
    const pin = this.twoPins && backwards ? this.backPin : this.pulsePin
    this.engine.analogWrite(pin, Math.abs(duty), this.pwm)
  }

  /** The dead man's timer: one for many duties, because setting one for each would cost more than the duty. */
  private judge(): void {
    const leftSeconds = this.writtenSeconds + this.deadManSeconds - this.clock.read()
    this.timer = 0
    if (leftSeconds < 0.001) this.stop()
    else this.timer = this.engine.setTimeout(this.expire, leftSeconds * 1000)
  }
}
