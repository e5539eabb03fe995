/**
 * The guard: what the engine runs at power-on, hardly ever rewritten. It holds the motor's pins low, listens for a few
 * seconds, and then starts the newest firmware slot that is whole and was not given up.
 *
 * While it listens it has the port itself. An interrupt (0x03) in that time leaves the plain prompt; other bytes are
 * dropped, because some laptops greet every new port with words of their own. It must take the port: at the prompt an
 * interrupt clears the line and stops no timer, and some engines fetch the port's bytes only between two callbacks, so
 * that a loop that waits never sees one (nor would the port come up at all).
 *
 * A firmware that was never good is on probation: the start is marked before it is made, the watchdog is fed from here,
 * and only as long as the first minute should last. So a firmware that throws, hangs, or eats the memory (where no
 * callback runs any more) ends in a restart; after two starts that were not called healthy it is left for the other slot.
 * With no slot to start the prompt is there, and a line says so.
 *
 * The firmware's text is run by a timer, not by `eval`: so its functions stay in flash, outside every scope of the guard.
 */
import type { EngineE, EngineFlash, EngineProcess, EngineSerial, EngineStorage } from '../engine.ts'
import { mendStore } from './mend.ts'
import { parseSlot, type Slot, slotToStart, TRAILER_BYTES, tryOffset } from './slots.ts'
import type { GuardFacts } from './wired.ts'

declare const EVENBATH_GUARD: GuardFacts
declare const E: EngineE
declare const process: EngineProcess
declare const print: (text: string) => void
declare const digitalWrite: (pin: string, value: number) => void
declare const setInterval: (handler: () => void, milliseconds: number) => number
declare const clearInterval: (id: number) => void
declare const setTimeout: (handler: (() => void) | string | undefined, milliseconds: number) => number
declare const clearTimeout: (id: number) => void
declare const global: {
  require(name: 'Storage'): EngineStorage
  require(name: 'Flash'): EngineFlash
  guard: Guard
  [port: string]: unknown
}

const LISTEN_MILLISECONDS = 3000
/** Within what the smallest chip's watchdog can count (RP2040: 8.3 s). */
const WATCHDOG_SECONDS = 8
const BEAT_MILLISECONDS = 2000
/** 76 s: the firmware has a minute to be healthy, and its start to make. */
const PROBATION_BEATS = 38
/** In the first 10 s what goes wrong is the firmware's doing; later it may be a slip at the prompt. */
const STARTING_BEATS = 5

/** What the firmware finds as the global `guard`. */
export interface Guard {
  /** The file that it was started from. */
  slot: string
  /** It needs no probation any more. */
  good: boolean
  /** Ends the probation: written down, once. */
  healthy(): void
}

const facts = EVENBATH_GUARD
// As a property: the bundler takes a plain call of `require` for its own.
const store = global.require('Storage')
const port = global[facts.port] as EngineSerial

const holdStill = (): void => {
  for (let i = 0; i < facts.lowPins.length; i++) digitalWrite(facts.lowPins[i], 0)
}

const restart = (): void => {
  holdStill()
  E.reboot()
}

const crc = (text: string): number => E.CRC32(text) >>> 0

const slotOf = (name: string): Slot | undefined => {
  const file = store.read(name)
  if (file === undefined) return undefined
  return parseSlot(name, file.length, store.read(name, file.length - TRAILER_BYTES) || '', crc)
}

const isWhole = (slot: Slot): boolean => crc(store.read(slot.name, 0, slot.textBytes) || '') === slot.crc

/** Feeds the watchdog for as long as the first minute may take. */
const onProbation = (slot: Slot, guard: Guard): void => {
  let beats = 0
  store.write(slot.name, 'TRY' + (slot.tries + 1), tryOffset(slot))
  E.enableWatchdog(WATCHDOG_SECONDS, false)
  const isStarting = (): boolean => !guard.good && beats < STARTING_BEATS
  process.on('uncaughtException', problem => {
    if (!isStarting()) return
    print('firmware failed: ' + problem)
    // Time for the line above to leave.
    setTimeout(restart, 500)
  })
  E.on('errorFlag', flags => {
    if (isStarting() && flags.indexOf('MEMORY') >= 0) restart()
  })
  const beating = setInterval(() => {
    beats++
    if (guard.good) clearInterval(beating)
    else if (beats >= PROBATION_BEATS) restart()
    else E.kickWatchdog()
  }, BEAT_MILLISECONDS)
}

const start = (): void => {
  const slot = slotToStart(facts.slotFiles.map(slotOf), isWhole)
  if (slot === undefined) {
    print('no firmware to start')
    return
  }
  const guard: Guard = {
    slot: slot.name,
    good: slot.good,
    healthy: () => {
      if (guard.good) return
      guard.good = true
      if (slot.goodOffset > 0) store.write(slot.name, 'GOOD', slot.goodOffset)
    },
  }
  global.guard = guard
  if (!slot.good) onProbation(slot, guard)
  setTimeout(store.read(slot.name, 0, slot.textBytes), 1)
}

/** Before anything is written. Left out where the engine does not tell where its store is. */
const mend = (): void => {
  const address = process.memory(false).flash_code_start
  try {
    if (address !== undefined) mendStore(global.require('Flash'), address, process.env.STORAGE)
  } catch (problem) {
    print('store: ' + problem)
  }
}

const hear = (data: string): void => {
  if (data.indexOf('\x03') < 0) return
  stopListening()
  clearTimeout(listening)
  print('plain prompt')
}

const stopListening = (): void => {
  port.removeListener('data', hear)
  E.setConsole(facts.port, { force: false })
}

holdStill()
// By itself from here on: what ran before may have left one that waits to be fed. Again so when all is wiped by hand.
E.enableWatchdog(WATCHDOG_SECONDS, true)
E.on('kill', () => E.enableWatchdog(WATCHDOG_SECONDS, true))
mend()
port.on('data', hear)
const listening = setTimeout(() => {
  stopListening()
  start()
}, LISTEN_MILLISECONDS)
// Last: had anything above failed, the prompt would still be there.
E.setConsole(null, { force: true })
