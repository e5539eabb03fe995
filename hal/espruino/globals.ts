/**
 * The one place that picks up the engine's globals. Nothing is checked here: a name that an engine lacks is found
 * `undefined` only when it is used.
 */
import type {
  Engine,
  EngineE,
  EngineFlash,
  EngineI2C,
  EngineProcess,
  EngineSerial,
  EngineStorage,
  GraphicsMaker,
  PwmOptions,
  WatchEvent,
  WatchOptions,
} from './engine.ts'

declare const getTime: () => number
declare const setTime: (seconds: number) => void
declare const analogRead: (pin: string) => number
declare const analogWrite: (pin: string, value: number, options: PwmOptions) => void
declare const digitalRead: (pin: string) => number
declare const digitalWrite: (pin: string, value: number) => void
declare const digitalPulse: (pin: string, level: number, milliseconds: number) => void
declare const pinMode: (pin: string, mode: string) => void
declare const setWatch: (handler: (event: WatchEvent) => void, pin: string, options: WatchOptions) => number
declare const clearWatch: (id: number) => void
declare const setInterval: (handler: () => void, milliseconds: number) => number
declare const clearInterval: (id: number) => void
declare const setTimeout: (handler: (() => void) | string, milliseconds: number) => number
declare const clearTimeout: (id: number) => void
declare const peek32: (address: number) => number
declare const print: (text: string) => void
declare const Graphics: GraphicsMaker
declare const global: { [name: string]: unknown }
declare const E: EngineE
declare const process: EngineProcess

/** The engine's modules: called by a name that the bundle's build does not take for an import of its own. */
const moduleOf = new Function('name', 'return require(name)') as (name: string) => unknown

/** The engine that this code runs on. */
export function engineOfGlobals(): Engine {
  return {
    getTime: getTime,
    setTime: setTime,
    analogRead: analogRead,
    analogWrite: analogWrite,
    digitalRead: digitalRead,
    digitalWrite: digitalWrite,
    digitalPulse: digitalPulse,
    pinMode: pinMode,
    setWatch: setWatch,
    clearWatch: clearWatch,
    setInterval: setInterval,
    clearInterval: clearInterval,
    setTimeout: setTimeout,
    clearTimeout: clearTimeout,
    peek32: peek32,
    print: print,
    storage: () => moduleOf('Storage') as EngineStorage,
    flash: () => moduleOf('Flash') as EngineFlash,
    i2c: name => global[name] as EngineI2C,
    serial: name => global[name] as EngineSerial,
    createGraphics: (width, height) => Graphics.createArrayBuffer(width, height, 1, { vertical_byte: true }),
    global: global as Engine['global'],
    E: E,
    process: process,
  }
}
