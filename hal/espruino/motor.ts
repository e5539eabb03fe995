/**
 * The motor behind an H-bridge: two inputs of which one gets the pulses, or one for the pulses and one for the
 * direction. Where the wiring has an enable line behind a retriggerable monostable, each duty also retriggers that.
 *
 * Three things stop it when duties cease: a timer here after `deadManSeconds`; when the interpreter itself hangs, the
 * monostable, or the watchdog and the pull-downs on the driver's inputs; and `close`, `reset()` and `load()` at once.
 */
import type { Motor } from '../board.ts'
import { CHECKS, checkOptions, from, mustBe, mustBeOpen, OBJECT, oneOf, PIN, PIN_OR_NONE } from './checks.ts'
import type { Engine } from './engine.ts'
import type { EspruinoWatchdog } from './watchdog.ts'

/** Long enough for any monostable, short enough to be over before the next duty: the engine queues overlapping pulses. */
const TRIGGER_MILLISECONDS = 5

export interface MotorOptions {
  engine: Engine
  watchdog: EspruinoWatchdog
  driver: 'twoPins' | 'pinAndDirection'
  /** Two pins: pulses forwards. Pin and direction: the pulses. */
  pulsePin: string
  /** Two pins: pulses backwards. Pin and direction: high for backwards. */
  backPin: string
  /** Triggers the monostable that holds the driver's enable input; `undefined` where there is none. */
  triggerPin?: string | undefined
  hertz: number
  deadManSeconds: number
  deadManBy: string
}

export interface EspruinoMotor extends Motor {
  /** Whether the driver gets pulses now. */
  readonly driven: boolean
  /** Pins low, whatever else is: safe to call at any moment, also from an error's handler. */
  rest(): void
}

export function openMotor(options: MotorOptions): EspruinoMotor {
  if (CHECKS) {
    checkOptions('motor', options, {
      watchdog: OBJECT,
      driver: oneOf(['twoPins', 'pinAndDirection']),
      pulsePin: PIN,
      backPin: PIN,
      triggerPin: PIN_OR_NONE,
      hertz: from(50, 50000),
      deadManSeconds: from(0.05, 0.5),
    })
  }
  const { engine, watchdog, pulsePin, backPin, triggerPin, deadManSeconds } = options
  const twoPins = options.driver === 'twoPins'
  const reversePin = twoPins ? backPin : pulsePin
  const pwm = { freq: options.hertz }
  let dutyNow = 0
  let writtenSeconds = 0
  let timer = 0
  let closed = false

  const rest = (): void => {
    motor.driven = false
    dutyNow = 0
    engine.digitalWrite(pulsePin, 0)
    engine.digitalWrite(backPin, 0)
  }
  const stop = (): void => {
    rest()
    watchdog.follow(false)
    if (timer !== 0) engine.clearTimeout(timer)
    timer = 0
  }
  // The dead man's timer: one for many duties, because setting one for each would cost more than the duty.
  const wait = (seconds: number): void => {
    if (timer !== 0) engine.clearTimeout(timer)
    timer = engine.setTimeout(judge, seconds * 1000)
  }
  const judge = (): void => {
    const sinceSeconds = engine.getTime() - writtenSeconds
    timer = 0
    // A clock that was set in between makes it negative or long: then the motor rests until the next duty.
    if (sinceSeconds >= 0 && sinceSeconds < deadManSeconds - 0.001) wait(deadManSeconds - sinceSeconds)
    else stop()
  }
  /** To rest, from rest, or the other way round. */
  const turn = (duty: number): void => {
    if (duty === 0 || !(duty >= -1 && duty <= 1) || closed) {
      if (motor.driven) stop()
      return
    }
    // Both low first: with both inputs high the driver would brake.
    engine.digitalWrite(pulsePin, 0)
    engine.digitalWrite(backPin, !twoPins && duty < 0 ? 1 : 0)
    if (!motor.driven) {
      watchdog.follow(true)
      motor.driven = true
      wait(deadManSeconds)
    }
    dutyNow = duty
    motor.write(duty)
  }
  const motor = {
    deadManSeconds: deadManSeconds,
    deadManBy: options.deadManBy,
    driven: false,
    rest: rest,
    write: (duty: number) => {
      if (CHECKS) mustBeOpen('motor', closed)
      if (CHECKS) mustBe('motor', typeof duty === 'number' && duty >= -1 && duty <= 1, duty, '-1 to 1')
      // On the way that nearly every tick takes there is no call of our own.
      if (duty * dutyNow > 0 && duty >= -1 && duty <= 1) {
        writtenSeconds = engine.getTime()
        if (triggerPin !== undefined) engine.digitalPulse(triggerPin, 1, TRIGGER_MILLISECONDS)
        dutyNow = duty
        if (duty > 0) engine.analogWrite(pulsePin, duty, pwm)
        else engine.analogWrite(reversePin, -duty, pwm)
      } else turn(duty)
    },
    close: () => {
      if (!closed) stop()
      closed = true
    },
  }
  rest()
  if (triggerPin !== undefined) engine.digitalWrite(triggerPin, 0)
  engine.E.on('kill', rest)
  return motor
}
