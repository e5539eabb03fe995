/**
 * The simulated flash: a byte store with the limits of the real thing. A write can only clear bits, an erase sets those
 * of one whole block, and nothing is erased while the motor is driven. Counts what wears it.
 */
import type { ByteStore } from '../hal/board.ts'
import { closedError, numberOption, objectOption, optionsObject } from '../hal/options.ts'
import { drivenDuty, type Pins } from './plant/pins.ts'

const ERASED = 0xff

export class SimulatedStore implements ByteStore {
  readonly bytes: number
  readonly blockBytes: number
  /** How often each block was erased. */
  readonly erases: Uint32Array
  private readonly cells: Uint8Array
  private readonly pins: Pins
  private closed = false

  constructor(options: { pins: Pins; bytes: number; blockBytes: number }) {
    optionsObject('store', options)
    this.pins = objectOption<Pins>('store', options, 'pins')
    this.blockBytes = numberOption('store', options, 'blockBytes', 256, 65_536)
    this.bytes = numberOption('store', options, 'bytes', this.blockBytes, 16_777_216)
    if (this.bytes % this.blockBytes !== 0) {
      throw new RangeError(
        `store: option bytes is ${this.bytes} (allowed: a multiple of blockBytes ${this.blockBytes})`,
      )
    }
    this.cells = new Uint8Array(this.bytes).fill(ERASED)
    this.erases = new Uint32Array(this.bytes / this.blockBytes)
  }

  read(address: number, length: number): Uint8Array {
    this.mustBeWithin(address, length)
    return this.cells.slice(address, address + length)
  }

  write(address: number, data: Uint8Array): void {
    this.mustBeWithin(address, data.length)
    for (let i = 0; i < data.length; i++) {
      if ((~(this.cells[address + i] as number) & (data[i] as number)) !== 0) {
        throw new RangeError(
          `store: cannot set a bit at ${address + i} (allowed: clearing bits; erase the block first)`,
        )
      }
    }
    for (let i = 0; i < data.length; i++) this.cells[address + i] = data[i] as number
  }

  erase(address: number): void {
    this.mustBeWithin(address, this.blockBytes)
    if (address % this.blockBytes !== 0) {
      throw new RangeError(`store: no block begins at ${address} (allowed: multiples of ${this.blockBytes})`)
    }
    if (drivenDuty(this.pins) !== 0) throw new Error('store: not erased while the motor is driven')
    this.cells.fill(ERASED, address, address + this.blockBytes)
    this.erases[address / this.blockBytes]!++
  }

  /** Only for tests and faults: what radiation and age do to a cell. */
  flipBit(address: number, bit: number): void {
    this.cells[address] = (this.cells[address] as number) ^ (1 << bit)
  }

  close(): void {
    this.closed = true
  }

  private mustBeWithin(address: number, length: number): void {
    if (this.closed) throw closedError('store')
    if (!(address >= 0 && length >= 0 && address + length <= this.bytes) || address % 1 !== 0 || length % 1 !== 0) {
      throw new RangeError(`store: ${length} bytes at ${address} (allowed: within ${this.bytes} bytes)`)
    }
  }
}
