/**
 * What the parts of this board use of the interpreter ("the engine"), as types, and nothing more. The real one is the
 * engine's global object (`globals.ts`); tests make a fake of the same shape. Every name in this file is the engine's own
 * and must not be shortened in a bundle.
 *
 * Pins are the engine's names for them ("D5", "A0"): it takes such a string wherever it takes a pin.
 */

export type Pin = string

/** What the engine tells of an edge: the level now, and when (seconds of `getTime`, taken in the interrupt). */
export interface WatchEvent {
  state: boolean
  time: number
  lastTime: number
}

export interface WatchOptions {
  repeat: boolean
  edge: 'rising' | 'falling' | 'both'
  /** Milliseconds that a level must last. */
  debounce: number
}

export interface PwmOptions {
  /** Hertz. */
  freq: number
}

export interface EngineE {
  getAnalogVRef(): number
  /** Restarts the board unless kicked within so many seconds; `isAuto` true kicks by itself whenever the engine is idle. */
  enableWatchdog(seconds: number, isAuto: boolean): void
  kickWatchdog(): void
  getErrorFlags(): string[]
  on(event: 'errorFlag', handler: (flags: string[]) => void): void
  on(event: 'kill', handler: () => void): void
  removeListener(event: string, handler: unknown): void
  reboot(): void
  CRC32(data: Uint8Array | string): number
  sum(data: Uint8Array): number
  setConsole(device: string | null, options: { force: boolean }): void
  getConsole(): string | null
  /** Where a text read from the store lies in flash; 0 when it does not. */
  getAddressOf(data: unknown, flat: boolean): number
}

export interface MemoryReport {
  free: number
  usage: number
  total: number
  /** Where the file store begins in flash, on most boards. */
  flash_code_start?: number
  /** The sending buffer, on newer engines. */
  tx?: { used: number; total: number }
}

export interface EngineProcess {
  memory(collectGarbage: boolean): MemoryReport
  readonly env: { BOARD: string; VERSION: string; STORAGE: number; CONSOLE: string }
  on(event: 'uncaughtException', handler: (problem: unknown) => void): void
  removeListener(event: string, handler: unknown): void
}

export interface StoreStats {
  totalBytes: number
  freeBytes: number
  fileBytes: number
  fileCount: number
  trashBytes: number
  trashCount: number
}

/** `require('Storage')`: files in flash. */
export interface EngineStorage {
  read(name: string, offset?: number, length?: number): string | undefined
  readArrayBuffer(name: string): ArrayBuffer | undefined
  /** With `size` a file of that size is made and `data` written at `offset`; with `offset` alone erased bytes are filled. */
  write(name: string, data: string | Uint8Array, offset?: number, size?: number): boolean
  erase(name: string): void
  list(): string[]
  compact(showMessage?: boolean): void
  getFree(): number
  getStats(): StoreStats
}

export interface FlashArea {
  addr: number
  length: number
}

/** `require('Flash')`: bare flash. */
export interface EngineFlash {
  getPage(address: number): FlashArea | undefined
  getFree(): FlashArea[]
  erasePage(address: number): void
  write(data: Uint8Array, address: number): void
  read(length: number, address: number): Uint8Array
}

/** What `require` gives. */
export interface EngineModules {
  Storage: EngineStorage
  Flash: EngineFlash
}

export interface EngineI2C {
  setup(options: { sda: Pin; scl: Pin; bitrate: number }): void
  /** Throws where nothing answers at the address. */
  writeTo(address: number, first: number, data: Uint8Array | number[]): void
}

/** A drawing surface in memory; each call that draws gives the surface back. */
export interface EngineGraphics {
  readonly buffer: ArrayBuffer
  clear(reset: boolean): EngineGraphics
  setColor(colour: number): EngineGraphics
  setFont(name: string, scale: number): EngineGraphics
  setFontVector(size: number): EngineGraphics
  getFonts(): string[]
  drawString(text: string, x: number, y: number): EngineGraphics
  fillRect(x1: number, y1: number, x2: number, y2: number): EngineGraphics
  drawRect(x1: number, y1: number, x2: number, y2: number): EngineGraphics
}

export interface GraphicsMaker {
  createArrayBuffer(width: number, height: number, bits: number, options: { vertical_byte: boolean }): EngineGraphics
}

export interface EngineSerial {
  on(event: 'data', handler: (data: string) => void): void
  removeListener(event: string, handler: unknown): void
  write(text: string): void
}

/** The names of the buses and ports that a wiring may ask for. */
export type BusName = 'I2C1' | 'I2C2' | 'I2C3'
export type PortName = 'USB' | 'Serial1' | 'Serial2' | 'Bluetooth'

export interface Engine {
  getTime(): number
  setTime(seconds: number): void
  /** From 0 to 1. */
  analogRead(pin: Pin): number
  analogWrite(pin: Pin, value: number, options: PwmOptions): void
  digitalRead(pin: Pin): number
  digitalWrite(pin: Pin, value: number): void
  /** Holds the level for so many milliseconds, by a hardware timer; returns at once. */
  digitalPulse(pin: Pin, level: number, milliseconds: number): void
  pinMode(pin: Pin, mode: 'input' | 'input_pullup' | 'input_pulldown' | 'analog' | 'output'): void
  setWatch(handler: (event: WatchEvent) => void, pin: Pin, options: WatchOptions): number
  clearWatch(id: number): void
  /** Milliseconds. */
  setInterval(handler: () => void, milliseconds: number): number
  clearInterval(id: number): void
  /** A text is run as code, from memory. */
  setTimeout(handler: (() => void) | string, milliseconds: number): number
  clearTimeout(id: number): void
  peek32(address: number): number
  print(text: string): void
  /** The chip's own number: groups of hexadecimal digits. */
  getSerial(): string
  require<M extends keyof EngineModules>(name: M): EngineModules[M]
  readonly I2C1?: EngineI2C
  readonly I2C2?: EngineI2C
  readonly I2C3?: EngineI2C
  readonly USB?: EngineSerial
  readonly Serial1?: EngineSerial
  readonly Serial2?: EngineSerial
  readonly Bluetooth?: EngineSerial
  readonly Graphics: GraphicsMaker
  /** Ours: what the laptop calls through the prompt. */
  hear?: (text: string) => void
  readonly E: EngineE
  readonly process: EngineProcess
}
