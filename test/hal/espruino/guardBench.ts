/**
 * A board for the guard's tests: the built guard in a realm of its own over a fake flash, with timers in simulated time, a
 * watchdog, a port, and the ways in which a firmware can fail. Callbacks run under a limit of wall time, so that an endless
 * loop is one here too; no code in the realm can catch that, as on the board. A test with such a firmware sets the limit
 * low; the others leave it where a slow machine does not reach it.
 */
import { fileURLToPath } from 'node:url'
import vm from 'node:vm'
import { crc32 } from 'node:zlib'
import { bundle } from '../../../hal/espruino/build/bundle.ts'
import {
  GUARD_FILE,
  makeSeal,
  nextSequence,
  parseSlot,
  type Slot,
  slotToFill,
  slotToStart,
  TRAILER_BYTES,
} from '../../../hal/espruino/guard/slots.ts'
import { guardFacts } from '../../../hal/espruino/guard/wired.ts'
import type { Wiring } from '../../../hal/espruino/wiring/wiring.ts'
import { createFakeFlash, type FakeFlash, PowerCut } from './fakeFlash.ts'
import { createFakeStorage, type FakeStorage } from './fakeStorage.ts'

export const crcOfText = (text: string): number => crc32(Buffer.from(text, 'latin1'))

/** A bundle as it is built for a board. */
export async function builtEntry(entry: string, define: { [name: string]: string }): Promise<string> {
  const root = fileURLToPath(new URL('../../..', import.meta.url))
  return (await bundle({ entry, root, define, short: true })).code
}

/** The guard of a wiring as it is built for a base. */
export const builtGuard = (wiring: Wiring): Promise<string> =>
  builtEntry('hal/espruino/guard/guard.ts', { EVENBATH_GUARD: guardFacts(wiring) })

/** Pads a text as the build does. */
export const padded = (text: string): string => text.padEnd(Math.ceil(text.length / 4) * 4)

export function slotsOf(storage: FakeStorage, names: string[]): (Slot | undefined)[] {
  return names.map(name => {
    const file = storage.read(name)
    return file === undefined ? undefined : parseSlot(name, file.length, file.slice(-TRAILER_BYTES), crcOfText)
  })
}

export const isWholeIn =
  (storage: FakeStorage) =>
  (slot: Slot): boolean =>
    crcOfText(storage.read(slot.name, 0, slot.textBytes) ?? '') === slot.crc

export const startIn = (storage: FakeStorage, names: string[]): Slot | undefined =>
  slotToStart(slotsOf(storage, names), isWholeIn(storage))

/** An upload as the laptop does it, in the same order of writes. */
export function upload(storage: FakeStorage, names: string[], firmware: string): string {
  const text = padded(firmware)
  const slots = slotsOf(storage, names)
  const name = slotToFill(names, slots, isWholeIn(storage))
  const seal = makeSeal(nextSequence(slots), text, crcOfText)
  for (let at = 0; at < text.length; at += 240) {
    storage.write(name, text.slice(at, at + 240), at, at === 0 ? text.length + TRAILER_BYTES : 0)
  }
  if (crcOfText(storage.read(name, 0, text.length) ?? '') !== crcOfText(text)) throw new Error('CRC differs')
  storage.write(name, seal, text.length)
  return name
}

/** Where the store lies in flash, as on the reference board. */
const STORE_ADDRESS = 0x101c0000

/** Thrown by `exhaust`: nothing in the realm is to catch it, unless to hang where the time limit ends it. */
class Aborted extends Error {}

interface Timer {
  run: (() => void) | string
  dueMilliseconds: number
  everyMilliseconds: number
}

type Handler = (value: unknown) => void

export interface GuardBench {
  readonly flash: FakeFlash
  readonly storage: FakeStorage
  /** What was printed since the bench was made. */
  readonly printed: string[]
  /** What the prompt was sent since it last came back. */
  readonly typed: string
  readonly console: string | null
  readonly restarts: { reboots: number; watchdog: number }
  readonly pins: { [pin: string]: number }
  readonly timers: number
  powerOn(): void
  /** Goes on for so many simulated seconds, through restarts; stops early when the power fails. */
  run(seconds: number): void
  /** Bytes from the laptop. */
  send(bytes: string): void
  /** The prompt's `load()`: as a power-on, but the watchdog runs on. */
  load(): void
  /** The prompt's `reset()`: everything gone, nothing started. */
  reset(): void
}

export function createGuardBench(flash = createFakeFlash(), limitMilliseconds = 20_000): GuardBench {
  const storage = createFakeStorage(flash)
  const printed: string[] = []
  const restarts = { reboots: 0, watchdog: 0 }
  let timers = new Map<number, Timer>()
  let handlers: { [event: string]: Handler[] } = {}
  let pins: { [pin: string]: number } = {}
  let context = vm.createContext({})
  let nowMilliseconds = 0
  let nextId = 1
  let consolePort: string | null = 'USB'
  let typed = ''
  let watchdog = { seconds: 0, auto: true, dueMilliseconds: Infinity }
  let rebooting = false
  let memoryFull = false

  const bareFlash = {
    read: (length: number, address: number) => flash.read(address - STORE_ADDRESS, length),
    write: (data: Uint8Array, address: number) => flash.write(address - STORE_ADDRESS, data),
    getPage: (address: number) => ({ addr: address - (address % flash.pageBytes), length: flash.pageBytes }),
  }
  const kick = (): void => {
    if (watchdog.seconds > 0) watchdog.dueMilliseconds = nowMilliseconds + watchdog.seconds * 1000
  }
  const emitter = (prefix: string) => ({
    on: (event: string, handler: Handler) => {
      handlers[prefix + event] = [...(handlers[prefix + event] ?? []), handler]
    },
    removeListener: (event: string, handler: Handler) => {
      handlers[prefix + event] = (handlers[prefix + event] ?? []).filter(one => one !== handler)
    },
  })
  const addTimer = (run: Timer['run'], milliseconds: number, everyMilliseconds: number): number => {
    timers.set(nextId, { run, dueMilliseconds: nowMilliseconds + milliseconds, everyMilliseconds })
    return nextId++
  }
  const emit = (event: string, value: unknown): boolean => {
    for (const handler of handlers[event] ?? []) execute(() => handler(value))
    return (handlers[event] ?? []).length > 0
  }

  const globals = (): object => {
    const made: { [name: string]: unknown } = {
      require: (name: string) => {
        if (name === 'Storage') return storage
        if (name === 'Flash') return bareFlash
        throw new Error(`no module ${name}`)
      },
      print: (text: unknown) => printed.push(String(text)),
      digitalWrite: (pin: string, value: number) => {
        pins[pin] = value
      },
      setTimeout: (run: Timer['run'], milliseconds: number) => addTimer(run, milliseconds, 0),
      setInterval: (run: Timer['run'], milliseconds: number) => addTimer(run, milliseconds, milliseconds),
      clearTimeout: (id: number) => timers.delete(id),
      clearInterval: (id: number) => timers.delete(id),
      process: {
        ...emitter('process.'),
        memory: () => ({ flash_code_start: STORE_ADDRESS }),
        env: { STORAGE: flash.bytes.length },
      },
      USB: emitter('USB.'),
      E: {
        ...emitter('E.'),
        CRC32: (text: string) => crcOfText(text),
        enableWatchdog: (seconds: number, auto: boolean) => {
          watchdog = { seconds, auto, dueMilliseconds: nowMilliseconds + seconds * 1000 }
        },
        kickWatchdog: kick,
        reboot: () => {
          rebooting = true
        },
        getConsole: () => consolePort,
        setConsole: (port: string | null) => {
          consolePort = port
          typed = ''
        },
      },
      /** Eats the memory: nothing can catch it. With `forEver` the memory stays full and no callback runs any more. */
      exhaust: (forEver: boolean) => {
        memoryFull = forEver
        made.outOfMemory = true
        throw new Aborted('out of memory')
      },
    }
    made.global = made
    made.outOfMemory = false
    return made
  }

  /** Runs code as the engine would: false when it was aborted, which costs an interval its place. */
  const execute = (run: (() => void) | string): boolean => {
    if (memoryFull) return false
    const realm = context as { [name: string]: unknown }
    realm.callback = run
    realm.outOfMemory = false
    const code = typeof run === 'string' ? run : 'callback()'
    try {
      vm.runInContext(code, context, { timeout: limitMilliseconds })
    } catch (problem) {
      if (flash.dead) throw new PowerCut()
      const stuck = (problem as { code?: string }).code === 'ERR_SCRIPT_EXECUTION_TIMEOUT'
      if (problem instanceof Aborted || (stuck && realm.outOfMemory === true)) {
        emit('E.errorFlag', ['MEMORY'])
        return false
      }
      if (stuck) {
        // An endless loop: only the watchdog ends it.
        nowMilliseconds = watchdog.dueMilliseconds
        return false
      }
      if (!emit('process.uncaughtException', problem)) printed.push(`Uncaught ${problem}`)
    }
    if (flash.dead) throw new PowerCut()
    return true
  }

  const forget = (): void => {
    emit('E.kill', undefined)
    timers = new Map()
    handlers = {}
    memoryFull = false
    rebooting = false
    context = vm.createContext(globals())
  }
  const boot = (): void => {
    const text = storage.read(GUARD_FILE)
    if (text !== undefined) execute(text)
  }
  const hardReset = (): void => {
    timers = new Map()
    handlers = {}
    memoryFull = false
    rebooting = false
    pins = {}
    consolePort = 'USB'
    typed = ''
    watchdog = { seconds: 0, auto: true, dueMilliseconds: Infinity }
    context = vm.createContext(globals())
    boot()
  }
  const step = (untilMilliseconds: number): void => {
    if (watchdog.auto) kick()
    let next: [number, Timer] | undefined
    for (const one of timers) if (next === undefined || one[1].dueMilliseconds < next[1].dueMilliseconds) next = one
    const due = next === undefined ? Infinity : next[1].dueMilliseconds
    if (!watchdog.auto && watchdog.dueMilliseconds <= Math.min(due, untilMilliseconds)) {
      nowMilliseconds = Math.max(nowMilliseconds, watchdog.dueMilliseconds)
      restarts.watchdog++
      hardReset()
      return
    }
    nowMilliseconds = Math.max(nowMilliseconds, Math.min(due, untilMilliseconds))
    if (next === undefined || due > untilMilliseconds) return
    const [id, timer] = next
    if (timer.everyMilliseconds > 0) timer.dueMilliseconds += timer.everyMilliseconds
    else timers.delete(id)
    const before = nowMilliseconds
    if (!execute(timer.run)) timers.delete(id)
    if (rebooting) {
      restarts.reboots++
      emit('E.kill', undefined)
      hardReset()
    } else if (nowMilliseconds > before) {
      restarts.watchdog++
      hardReset()
    }
  }

  const mayDie = (work: () => void): void => {
    try {
      work()
    } catch (problem) {
      if (!(problem instanceof PowerCut)) throw problem
    }
  }
  return {
    flash,
    storage,
    printed,
    restarts,
    get typed() {
      return typed
    },
    get console() {
      return consolePort
    },
    get pins() {
      return pins
    },
    get timers() {
      return timers.size
    },
    powerOn: () => {
      flash.powerOn()
      storage.checkAtPowerOn()
      mayDie(hardReset)
    },
    run: seconds =>
      mayDie(() => {
        const until = nowMilliseconds + seconds * 1000
        while (nowMilliseconds < until) step(until)
      }),
    send: bytes => {
      if (consolePort === null) emit('USB.data', bytes)
      else typed += bytes
    },
    load: () => {
      forget()
      boot()
    },
    reset: () => forget(),
  }
}
