/**
 * An engine for checks that run inside the interpreter: flash, file store, graphics and checksums are the interpreter's
 * own, where it has them; pins, the clock, timers and the bus are played by plain objects, because a laptop's build has
 * none. Knows no Node, and only what the interpreter can run.
 */
import type {
  Engine,
  EngineFlash,
  EngineSerial,
  EngineStorage,
  GraphicsMaker,
  WatchEvent,
} from '../../../hal/espruino/engine.ts'

/** What is real. */
export interface Real {
  storage: EngineStorage
  flash: EngineFlash
  /** Where the file store begins in flash. */
  storeAddress: number
  graphics: GraphicsMaker
  crc32(data: Uint8Array | string): number
  sum(data: Uint8Array): number
}

interface Timer {
  id: number
  dueSeconds: number
  handler: () => void
}

export interface ThinEngine {
  engine: Engine
  seconds: number
  levels: { [pin: string]: number }
  watch: { [pin: string]: ((event: WatchEvent) => void) | undefined }
  panelBytes: number
  panelGone: boolean
  watchdogSeconds: number
  console: string | null
  sent: string
  receive: ((data: string) => void) | undefined
  pass(seconds: number): void
}

export function createThinEngine(real: Real): ThinEngine {
  const timers: Timer[] = []
  let ids = 0
  const thin: ThinEngine = {
    engine: undefined as never,
    seconds: 50,
    levels: {},
    watch: {},
    panelBytes: 0,
    panelGone: false,
    watchdogSeconds: 0,
    console: 'USB',
    sent: '',
    receive: undefined,
    pass: seconds => {
      const end = thin.seconds + seconds
      for (;;) {
        let first: Timer | undefined
        for (let i = 0; i < timers.length; i++) {
          if (first === undefined || timers[i].dueSeconds < first.dueSeconds) first = timers[i]
        }
        if (first === undefined || first.dueSeconds > end) break
        thin.seconds = first.dueSeconds
        timers.splice(timers.indexOf(first), 1)
        first.handler()
      }
      thin.seconds = end
    },
  }
  const clear = (id: number): void => {
    for (let i = 0; i < timers.length; i++) {
      if (timers[i].id === id) {
        timers.splice(i, 1)
        return
      }
    }
  }
  const port: EngineSerial = {
    on: (_, handler) => {
      thin.receive = handler
    },
    removeListener: () => {
      thin.receive = undefined
    },
    write: text => {
      thin.sent += text
    },
  }
  thin.engine = {
    getTime: () => thin.seconds,
    setTime: () => {},
    analogRead: pin => (pin === 'D26' ? 0.25 : 0.75),
    analogWrite: (pin, value) => {
      thin.levels[pin] = value
    },
    digitalRead: pin => (thin.levels[pin] === undefined ? 1 : thin.levels[pin]),
    digitalWrite: (pin, value) => {
      thin.levels[pin] = value
    },
    digitalPulse: () => {},
    pinMode: () => {},
    setWatch: (handler, pin) => {
      thin.watch[pin] = handler
      return ++ids
    },
    clearWatch: () => {},
    setInterval: () => ++ids,
    clearInterval: () => {},
    setTimeout: (handler, milliseconds) => {
      timers.push({ id: ++ids, dueSeconds: thin.seconds + milliseconds / 1000, handler: handler as () => void })
      return ids
    },
    clearTimeout: clear,
    peek32: () => 2,
    getSerial: () => 'thin',
    print: () => {},
    require: name => (name === 'Storage' ? real.storage : real.flash) as never,
    I2C1: {
      setup: () => {},
      writeTo: (_, first, data) => {
        if (thin.panelGone) throw new Error('no answer')
        if (first === 0x40) thin.panelBytes += data.length
      },
    },
    USB: port,
    Graphics: real.graphics,
    E: {
      on: () => {},
      removeListener: () => {},
      getAnalogVRef: () => 3.3,
      enableWatchdog: (seconds: number) => {
        thin.watchdogSeconds = seconds
      },
      kickWatchdog: () => {},
      getErrorFlags: () => [],
      reboot: () => {},
      CRC32: real.crc32,
      sum: real.sum,
      setConsole: (device: string | null) => {
        thin.console = device
      },
      getConsole: () => thin.console,
      getAddressOf: () => addressOf(real, 'eb.journal'),
    },
    process: {
      memory: () => ({ free: 5000, usage: 7000, total: 12000, tx: { used: 0, total: 256 } }),
      env: { BOARD: 'THIN', VERSION: '2v29', STORAGE: 0, CONSOLE: 'USB' },
      on: () => {},
      removeListener: () => {},
    },
  }
  return thin
}

/** Walks the store's headers: a laptop's build copies what it reads, so its texts have no address in flash. */
function addressOf(real: Real, name: string): number {
  let at = real.storeAddress
  for (let files = 0; files < 100; files++) {
    const header = real.flash.read(32, at)
    const size = header[0] + 256 * header[1] + 65536 * header[2]
    if (size === 0xffffff) return 0
    let found = ''
    for (let i = 4; i < 32 && header[i] !== 0; i++) found += String.fromCharCode(header[i])
    if (found === name) return at + 32
    at += 32 + Math.ceil(size / 4) * 4
  }
  return 0
}
