/** A flash for tests: bits only clear, and the power can be cut at any byte of a write and any part of an erase. */
import type { ByteStore } from '../../../hal/board.ts'

/** An erase is torn in so many places. */
const ERASE_STEPS = 4

export class TornStore implements ByteStore {
  readonly cells: Uint8Array
  readonly erases: number[]
  /** Bytes written and parts of blocks erased so far; the power goes when they reach `cutAfter`. */
  operations = 0
  cutAfter = Infinity
  /** The power is gone: nothing is written or erased any more. */
  dead = false
  /** A cell that can only be read as 0. */
  stuckLow = NaN

  readonly bytes: number
  readonly blockBytes: number

  constructor(bytes: number, blockBytes: number) {
    this.bytes = bytes
    this.blockBytes = blockBytes
    this.cells = new Uint8Array(bytes).fill(0xff)
    this.erases = new Array(bytes / blockBytes).fill(0)
  }

  fill(rubbish: Uint8Array): void {
    this.cells.set(rubbish)
  }

  read(address: number, length: number): Uint8Array {
    if (!(address >= 0 && length >= 0 && address + length <= this.bytes)) throw new RangeError('store: beyond its end')
    const copy = this.cells.slice(address, address + length)
    if (this.stuckLow >= address && this.stuckLow < address + length) copy[this.stuckLow - address] = 0
    return copy
  }

  write(address: number, data: Uint8Array): void {
    if (!(address >= 0 && address + data.length <= this.bytes)) throw new RangeError('store: beyond its end')
    for (let i = 0; i < data.length; i++) {
      if ((~this.cells[address + i]! & data[i]!) !== 0) throw new RangeError('store: cannot set a bit')
    }
    for (let i = 0; i < data.length; i++) {
      this.step(() => {
        // The byte in hand is half written.
        this.cells[address + i]! &= data[i]! | 0x0f
      })
      this.cells[address + i] = data[i]!
    }
  }

  erase(address: number): void {
    if (address % this.blockBytes !== 0) throw new RangeError('store: no block begins here')
    this.erases[address / this.blockBytes]!++
    const part = this.blockBytes / ERASE_STEPS
    for (let i = 0; i < ERASE_STEPS; i++) {
      this.step(() => this.cells.fill(0x5f, address + i * part, address + i * part + part / 2))
      this.cells.fill(0xff, address + i * part, address + (i + 1) * part)
    }
  }

  close(): void {}

  restorePower(): void {
    this.dead = false
    this.cutAfter = Infinity
  }

  private step(tear: () => void): void {
    if (!this.dead && ++this.operations < this.cutAfter) return
    if (!this.dead) tear()
    this.dead = true
    throw new Error('the power is gone')
  }
}
