/**
 * A board at the other end of a pseudo-terminal: the prompt of the engine as far as a laptop uses it, over the fake file
 * store, its programs run by Node in a world of their own. It boots `.bootcde` as a real one does, and it can be made to
 * misbehave: lose, change and delay bytes of the line, restart, lose its power in the middle of a write.
 *
 * Less than the engine: no multi-line input (an unfinished line is an error at once), no history, code that never ends
 * hangs the test.
 */
import { createContext, runInContext } from 'node:vm'
import { crc32 } from '../../../sim/crc32.ts'
import { createRandom, uniform } from '../../../sim/plant/random.ts'
import { createFakeFlash, type FakeFlash, PowerCut } from '../../hal/espruino/fakeFlash.ts'
import { createFakeStorage, type FakeStorage } from '../../hal/espruino/fakeStorage.ts'
import { openPair, type PortPair } from './portPair.ts'

/** How the line misbehaves: chances for each byte, each way. */
export interface LineFaults {
  seed: number
  dropped: number
  garbled: number
  /** For each bunch of bytes that the board sends. */
  delayedMilliseconds: number
}

export interface BoardOptions {
  name?: string
  flash?: FakeFlash
  faults?: LineFaults
  /** Called before each line is carried out; for tests that step in. */
  onLine?: (line: string, board: ScriptedBoard) => void
}

export interface ScriptedBoard {
  path: string
  flash: FakeFlash
  storage: FakeStorage
  /** Lines carried out since the start, without those that came over wrong. */
  lines: string[]
  /** Bytes that came from the laptop. */
  heardBytes: number
  boots: number
  /** The cable is pulled after so many more bytes from the laptop. */
  pullAfterBytes: number
  /** Restarts as at power-on. */
  powerOn(): void
  /** Evaluates in the board's world, for tests that look in. */
  evaluate(code: string): unknown
  pull(): Promise<void>
  close(): Promise<void>
}

const BANNER = '\r\n ____                 _\r\n|  __|___ ___\r\n 2v29 (c) 2026\r\n\r\n>'

interface World {
  context: object
  timers: Set<NodeJS.Timeout>
  taken: boolean
  onData: ((data: string) => void)[]
}

export async function startBoard(options: BoardOptions = {}): Promise<ScriptedBoard> {
  const pair: PortPair = await openPair()
  const flash = options.flash ?? createFakeFlash()
  const storage = createFakeStorage(flash)
  const random = createRandom(options.faults?.seed ?? 1, 77)
  let world: World
  let line = ''
  let wanted: 'reset' | 'load' | undefined
  let dark = false

  const worn = (text: string): string => {
    const faults = options.faults
    if (faults === undefined) return text
    let out = ''
    for (const one of text) {
      if (uniform(random) < faults.dropped) continue
      out += uniform(random) < faults.garbled ? String.fromCharCode(1 + Math.floor(uniform(random) * 254)) : one
    }
    return out
  }
  const send = (text: string): void => {
    if (dark) return
    const delay = options.faults?.delayedMilliseconds ?? 0
    if (delay === 0) pair.send(worn(text))
    else setTimeout(() => pair.send(worn(text)), uniform(random) * delay)
  }
  /** Anything the board does: a power cut in it leaves the board dark, a wish to restart is granted after it. */
  const during = (work: () => void): void => {
    if (dark) return
    try {
      work()
    } catch (thrown) {
      if (thrown instanceof PowerCut || flash.dead) {
        goDark()
        return
      }
      send(`Uncaught ${(thrown as Error).name}: ${(thrown as Error).message}\r\n at line 1 col 1\r\n`)
    }
    if (flash.dead) goDark()
    const now = wanted
    wanted = undefined
    if (now !== undefined) boot(now === 'load')
  }
  const goDark = (): void => {
    dark = true
    stop()
  }
  const stop = (): void => {
    for (const timer of world.timers) clearTimeout(timer)
    world.timers.clear()
  }
  const makeWorld = (): World => {
    const timers = new Set<NodeJS.Timeout>()
    const made: World = { context: {}, timers, taken: false, onData: [] }
    const later =
      (repeat: boolean) =>
      (work: (...args: unknown[]) => void, milliseconds: number, ...args: unknown[]) => {
        const timer = (repeat ? setInterval : setTimeout)(() => {
          if (!repeat) timers.delete(timer)
          during(() => work(...args))
        }, milliseconds)
        timers.add(timer)
        return timer
      }
    made.context = createContext({
      process: { env: { BOARD: options.name ?? 'RP2040_PICO', VERSION: '2v29' }, version: '2v29' },
      E: {
        CRC32: (text: string) => crc32(Buffer.from(String(text), 'latin1')),
        enableWatchdog: () => {},
        kickWatchdog: () => {},
        setConsole: (port: string | null) => {
          made.taken = port === null
        },
      },
      USB: {
        on: (_event: string, hear: (data: string) => void) => made.onData.push(hear),
        write: send,
      },
      require: (name: string) => {
        if (name !== 'Storage') throw new Error(`Module ${name} not found`)
        return storage
      },
      atob: (text: string) => Buffer.from(text, 'base64').toString('latin1'),
      btoa: (text: string) => Buffer.from(text, 'latin1').toString('base64'),
      print: (...values: unknown[]) => send(`${values.join(' ')}\r\n`),
      setTimeout: later(false),
      setInterval: later(true),
      clearTimeout,
      clearInterval: clearTimeout,
      reset: () => {
        wanted = 'reset'
      },
      load: () => {
        wanted = 'load'
      },
    })
    runInContext('globalThis.global = globalThis', made.context)
    return made
  }
  const boot = (withCode: boolean): void => {
    stop()
    world = makeWorld()
    line = ''
    if (!withCode) {
      send(BANNER)
      return
    }
    board.boots++
    const code = storage.read('.bootcde')
    if (code === undefined) send(BANNER)
    else during(() => runInContext(code, world.context))
  }
  const carryOut = (text: string): void => {
    board.lines.push(text)
    options.onLine?.(text, board)
    const quiet = text.startsWith('\x10')
    during(() => {
      const value = runInContext(quiet ? text.slice(1) : text, world.context)
      if (!quiet) send(`${text}\r\n=${String(value)}\r\n>`)
    })
    send('\r\n>')
  }
  const hear = (text: string): void => {
    for (const one of text) {
      if (dark) return
      if (world.taken) for (const listener of world.onData) during(() => listener(one))
      else if (one === '\x03') {
        line = ''
        send('\r\x1b[J>')
      } else if (one === '\n') {
        const whole = line
        line = ''
        if (whole !== '') carryOut(whole)
      } else line += one
    }
  }
  const board: ScriptedBoard = {
    path: pair.path,
    flash,
    storage,
    lines: [],
    heardBytes: 0,
    boots: 0,
    pullAfterBytes: Infinity,
    powerOn() {
      stop()
      flash.powerOn()
      dark = false
      storage.checkAtPowerOn()
      boot(true)
    },
    evaluate: code => runInContext(code, world.context),
    pull: () => pair.pull(),
    async close() {
      goDark()
      await pair.pull()
    },
  }
  pair.onText = text => {
    const left = board.pullAfterBytes - board.heardBytes
    board.heardBytes += text.length
    hear(worn(text.slice(0, Math.max(0, left))))
    if (board.heardBytes >= board.pullAfterBytes) void pair.pull()
  }
  world = makeWorld()
  boot(true)
  return board
}
