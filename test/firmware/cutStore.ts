/**
 * A flash for tests that remembers what was done to it, so that a power cut can be tried afterwards at any place of any
 * operation: bits only clear, blocks are erased whole and only while the motor rests, and what is torn is half done.
 */
import type { ByteStore } from '../../hal/board.ts'
import { drivenDuty, type Pins } from '../../sim/plant/pins.ts'

const ERASED = 0xff
/** An erase is torn in so many parts: those before are erased, the one in hand is half done. */
export const ERASE_PARTS = 4
const HALF_ERASED = 0x5f

/** A write of `data`, or an erase of the block where that is `undefined`. */
export interface Operation {
  address: number
  data: Uint8Array | undefined
}

export class CutStore implements ByteStore {
  readonly bytes: number
  readonly blockBytes: number
  readonly cells: Uint8Array
  /** What was done since this was last emptied. */
  operations: Operation[] = []
  /** Takes nothing for now. */
  refuses = false
  pins: Pins | undefined

  constructor(bytes: number, blockBytes: number) {
    this.bytes = bytes
    this.blockBytes = blockBytes
    this.cells = new Uint8Array(bytes).fill(ERASED)
  }

  read(address: number, length: number): Uint8Array {
    if (!(address >= 0 && length >= 0 && address + length <= this.bytes)) throw new RangeError('store: beyond its end')
    return this.cells.slice(address, address + length)
  }

  write(address: number, data: Uint8Array): void {
    if (!(address >= 0 && address + data.length <= this.bytes)) throw new RangeError('store: beyond its end')
    if (this.refuses) throw new Error('store: refuses')
    for (let i = 0; i < data.length; i++) {
      if ((~this.cells[address + i]! & data[i]!) !== 0) throw new RangeError('store: cannot set a bit')
    }
    this.operations.push({ address, data: data.slice() })
    this.cells.set(data, address)
  }

  erase(address: number): void {
    if (address % this.blockBytes !== 0) throw new RangeError('store: no block begins here')
    if (this.refuses) throw new Error('store: refuses')
    if (this.pins !== undefined && drivenDuty(this.pins) !== 0) throw new Error('store: the motor is driven')
    this.operations.push({ address, data: undefined })
    this.cells.fill(ERASED, address, address + this.blockBytes)
  }

  close(): void {}

  /** In how many places an operation can be torn. */
  placesIn(operation: Operation): number {
    return operation.data?.length ?? ERASE_PARTS
  }

  /** Does to `cells` what was done up to the cut: all before `place`, and half of that. */
  tear(cells: Uint8Array, { address, data }: Operation, place: number): void {
    if (data !== undefined) {
      cells.set(data.subarray(0, place), address)
      cells[address + place]! &= data[place]! | 0x0f
      return
    }
    const part = this.blockBytes / ERASE_PARTS
    cells.fill(ERASED, address, address + place * part)
    cells.fill(HALF_ERASED, address + place * part, address + (place + 0.5) * part)
  }

  /** Does a whole operation to `cells`. */
  apply(cells: Uint8Array, { address, data }: Operation): void {
    if (data !== undefined) cells.set(data, address)
    else cells.fill(ERASED, address, address + this.blockBytes)
  }
}
