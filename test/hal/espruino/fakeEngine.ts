/**
 * The engine for tests: time that passes when told, timers and watches run by it, pins that keep their levels, a
 * watchdog and a monostable that stop the motor as the real ones do, and flash with the file store in it.
 *
 * It has two faces: `engine` is what the board's code sees, the rest is the world around the chip. It can hang, as an
 * interpreter in an endless loop: time and hardware go on, code does not.
 */
import type { Engine, EngineSerial, WatchEvent, WatchOptions } from '../../../hal/espruino/engine.ts'
import { crc32 } from '../../../sim/crc32.ts'
import { createFakeFlash, type FakeFlash } from './fakeFlash.ts'
import { createFakeModules, STORE_ADDRESS } from './fakeModules.ts'
import { createFakeGraphics, createFakePanel, type FakeGraphics, type FakePanel } from './fakeScreen.ts'
import { createFakeStorage, type FakeStorage } from './fakeStorage.ts'

/** Where bare pages lie unless the test says otherwise. */
export const BARE_ADDRESS = 0x08004000
/** Bytes of the engine's sending buffer, and how fast the port empties it. */
const SENDING_BYTES = 256
const SENDING_BYTES_PER_SECOND = 11_520

interface Timer {
  id: number
  dueSeconds: number
  everySeconds: number | undefined
  handler: (() => void) | string
}

interface Watch {
  id: number
  pin: string
  options: WatchOptions
  handler: (event: WatchEvent) => void
  stable: boolean
}

type Handler = (argument: never) => void

export interface FakeEngine {
  engine: Engine
  seconds: number
  /** Added to `getTime`, as by somebody who set the clock. */
  jumpSeconds: number
  readonly levels: { [pin: string]: number }
  readonly hertz: { [pin: string]: number }
  readonly modes: { [pin: string]: string }
  readonly analog: { [pin: string]: number }
  /** Every digitalPulse: pin and milliseconds. */
  readonly pulses: [string, number][]
  readonly timers: Timer[]
  /** Code does not run: timers and watches wait, hardware goes on. */
  hung: boolean
  /** What restarted the chip, in order; once it did, every pin floats and no timer is left. */
  readonly restarts: ('watchdog' | 'reboot')[]
  /** Seconds of the watchdog now; undefined before it is armed. */
  watchdogSeconds: number | undefined
  watchdogAuto: boolean
  freeVariables: number
  /** The engine tells how full its sending buffer is. */
  tellsSending: boolean
  /** The host reads what is sent. */
  hostReads: boolean
  /** More was sent than the buffer takes: the real engine would have waited, with the control loop. */
  waited: boolean
  registers: { [address: number]: number }
  readonly flash: FakeFlash
  readonly storage: FakeStorage
  /** Bare pages outside the store. */
  readonly bare: FakeFlash
  readonly panel: FakePanel
  graphics: FakeGraphics | undefined
  fonts: string[]
  console: string | null
  /** What was sent on the port, and the way to send to it. */
  sent: string
  receive(data: string): void
  printed: string[]
  pass(seconds: number): void
  /** A hand on a pin. */
  setLevel(pin: string, level: number): void
  emit(event: string, argument: unknown): void
  /** The monostable of the driver's enable input, where the test wires one up. */
  monostable: { pin: string; holdSeconds: number } | undefined
  /** Duty at the motor behind a two-input driver: what monostable, reset and pull-downs leave of it. */
  duty(forwardPin: string, backPin: string): number
}

export function createFakeEngine(bareAddress = BARE_ADDRESS, bareBlockBytes = 16_384): FakeEngine {
  const flash = createFakeFlash()
  const storage = createFakeStorage(flash)
  const bare = createFakeFlash(65_536, bareBlockBytes)
  const handlers: { event: string; handler: Handler }[] = []
  const watches: Watch[] = []
  let ids = 0
  const modules = createFakeModules(flash, storage, bare, bareAddress)
  let kickedSeconds = 0
  let triggeredSeconds = -Infinity
  let flags: string[] = []
  let inBuffer = 0

  const emitter = (kind: string) => ({
    on: (event: string, handler: unknown) => void handlers.push({ event: kind + event, handler: handler as Handler }),
    removeListener(event: string, handler: unknown) {
      const at = handlers.findIndex(one => one.event === kind + event && one.handler === handler)
      if (at >= 0) handlers.splice(at, 1)
    },
  })
  const port: EngineSerial = {
    ...emitter('port '),
    write: text => {
      fake.sent += text
      inBuffer += text.length
      if (inBuffer > SENDING_BYTES) fake.waited = true
    },
  }

  const restart = (cause: 'watchdog' | 'reboot'): void => {
    if (cause === 'reboot') fake.emit('E kill', undefined)
    fake.restarts.push(cause)
    for (const pin of Object.keys(fake.levels)) delete fake.levels[pin]
    fake.timers.splice(0)
    watches.splice(0)
    handlers.splice(0)
    fake.watchdogSeconds = undefined
    fake.hung = false
  }
  const level = (pin: string, value: number): void => {
    if (fake.monostable?.pin === pin && value === 1) triggeredSeconds = fake.seconds
    fake.levels[pin] = value
  }
  const addTimer = (handler: (() => void) | string, milliseconds: number, repeats: boolean): number => {
    const seconds = milliseconds / 1000
    fake.timers.push({
      id: ++ids,
      dueSeconds: fake.seconds + seconds,
      everySeconds: repeats ? seconds : undefined,
      handler,
    })
    return ids
  }
  const removeTimer = (id: number): void => {
    const at = fake.timers.findIndex(one => one.id === id)
    if (at < 0 && id === undefined) throw new Error('Unknown Timeout')
    if (at >= 0) fake.timers.splice(at, 1)
  }
  const engine: Engine = {
    getTime: () => fake.seconds + fake.jumpSeconds,
    setTime: seconds => {
      fake.jumpSeconds = seconds - fake.seconds
    },
    analogRead: pin => fake.analog[pin] ?? NaN,
    analogWrite(pin, value, options) {
      level(pin, value)
      fake.hertz[pin] = options.freq
    },
    digitalRead: pin => fake.levels[pin] ?? (fake.modes[pin] === 'input_pullup' ? 1 : 0),
    digitalWrite: level,
    digitalPulse(pin, value, milliseconds) {
      fake.pulses.push([pin, milliseconds])
      level(pin, value)
    },
    pinMode(pin, mode) {
      fake.modes[pin] = mode
    },
    setWatch(handler, pin, options) {
      watches.push({ id: ++ids, pin, options, handler, stable: engine.digitalRead(pin) === 1 })
      return ids
    },
    clearWatch(id) {
      const at = watches.findIndex(one => one.id === id)
      if (at < 0) throw new Error('Unknown Watch')
      watches.splice(at, 1)
    },
    setInterval: (handler, milliseconds) => addTimer(handler, milliseconds, true),
    clearInterval: removeTimer,
    setTimeout: (handler, milliseconds) => addTimer(handler, milliseconds, false),
    clearTimeout: removeTimer,
    peek32: address => fake.registers[address] ?? 0,
    getSerial: () => '00c0ffee-00000001',
    print: text => void fake.printed.push(text),
    require: name => modules[name] as never,
    get I2C1() {
      return fake.panel
    },
    USB: port,
    Serial1: port,
    Graphics: {
      createArrayBuffer(width, height) {
        fake.graphics = createFakeGraphics(width, height, fake.fonts)
        return fake.graphics
      },
    },
    E: {
      ...emitter('E '),
      getAnalogVRef: () => 3.31,
      enableWatchdog(seconds, isAuto) {
        fake.watchdogSeconds = seconds
        fake.watchdogAuto = isAuto
        kickedSeconds = fake.seconds
      },
      kickWatchdog() {
        kickedSeconds = fake.seconds
      },
      getErrorFlags() {
        const old = flags
        flags = []
        return old
      },
      reboot: () => restart('reboot'),
      // Signed, so that whoever wants it unsigned has to say so.
      CRC32: data => crc32(typeof data === 'string' ? Uint8Array.from(Buffer.from(data, 'latin1')) : data) | 0,
      sum: data => data.reduce((sum, one) => sum + one, 0),
      setConsole(device) {
        fake.console = device
      },
      getConsole: () => fake.console,
      getAddressOf: data => modules.addressOf(data),
    } as Engine['E'],
    process: {
      ...emitter('process '),
      memory: () => ({
        free: fake.freeVariables,
        usage: 12_000 - fake.freeVariables,
        total: 12_000,
        flash_code_start: STORE_ADDRESS,
        ...(fake.tellsSending ? { tx: { used: inBuffer, total: SENDING_BYTES } } : {}),
      }),
      env: { BOARD: 'FAKE', VERSION: '2v29', STORAGE: flash.bytes.length, CONSOLE: 'USB' },
    } as Engine['process'],
  }

  /** Runs what is due at `fake.seconds`. */
  const runTimers = (): void => {
    for (;;) {
      const due = fake.timers.filter(one => one.dueSeconds <= fake.seconds + 1e-9)
      due.sort((one, other) => one.dueSeconds - other.dueSeconds)
      const timer = due[0]
      if (timer === undefined || fake.hung) return
      if (timer.everySeconds === undefined) removeTimer(timer.id)
      else timer.dueSeconds += timer.everySeconds
      if (typeof timer.handler === 'string') fake.printed.push(`run: ${timer.handler}`)
      else call(timer.handler)
    }
  }
  const call = (handler: () => void): void => {
    try {
      handler()
    } catch (problem) {
      fake.emit('process uncaughtException', problem)
    }
  }
  const watchdogDue = (): number =>
    fake.watchdogSeconds === undefined ? Infinity : kickedSeconds + fake.watchdogSeconds

  const fake: FakeEngine = {
    engine,
    seconds: 100,
    jumpSeconds: 0,
    levels: {},
    hertz: {},
    modes: {},
    analog: {},
    pulses: [],
    timers: [],
    hung: false,
    restarts: [],
    watchdogSeconds: undefined,
    watchdogAuto: false,
    freeVariables: 7000,
    tellsSending: true,
    hostReads: true,
    waited: false,
    registers: {},
    flash,
    storage,
    bare,
    panel: createFakePanel(0x3c),
    graphics: undefined,
    fonts: ['4x6', '6x8', 'Vector'],
    console: 'USB',
    sent: '',
    printed: [],
    monostable: undefined,
    receive(data) {
      if (fake.console === null) fake.emit('port data', data)
    },
    pass(seconds) {
      const end = fake.seconds + seconds
      for (;;) {
        const next = fake.hung ? Infinity : Math.min(...fake.timers.map(one => one.dueSeconds))
        const at = Math.max(fake.seconds, Math.min(end, next, watchdogDue()))
        if (fake.watchdogAuto && !fake.hung) kickedSeconds = at
        if (fake.hostReads) inBuffer = Math.max(0, inBuffer - (at - fake.seconds) * SENDING_BYTES_PER_SECOND)
        fake.seconds = at
        if (at >= watchdogDue() - 1e-9) restart('watchdog')
        else runTimers()
        if (at >= end) return
      }
    },
    setLevel(pin, value) {
      if (engine.digitalRead(pin) === value) return
      fake.levels[pin] = value
      for (const watch of watches.slice()) {
        if (watch.pin !== pin) continue
        const edgeSeconds = engine.getTime()
        const fire = (): void => {
          const high = engine.digitalRead(pin) === 1
          if (watch.options.debounce > 0) {
            if (high === watch.stable) return
            watch.stable = high
          }
          const edge = watch.options.edge
          if (edge !== 'both' && (edge === 'rising') !== high) return
          watch.handler({ state: high, time: edgeSeconds, lastTime: 0 })
        }
        if (watch.options.debounce > 0) addTimer(fire, watch.options.debounce, false)
        else if (!fake.hung) call(fire)
      }
    },
    emit(event, argument) {
      if (event === 'E errorFlag') flags = argument as string[]
      for (const one of handlers.slice()) if (one.event === event) one.handler(argument as never)
    },
    duty(forwardPin, backPin) {
      const wired = fake.monostable
      if (wired !== undefined && fake.seconds >= triggeredSeconds + wired.holdSeconds) return 0
      return (fake.levels[forwardPin] ?? 0) - (fake.levels[backPin] ?? 0)
    },
  }
  return fake
}
