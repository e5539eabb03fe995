/**
 * Flash that fails as flash does, round the simulated one: a write that the power tears, bits that rot, blocks that wear
 * out, and a store that takes nothing any more. Lasts over resets: closing it does nothing.
 */
import type { ByteStore, TextFiles } from '../../hal/board.ts'
import type { SimulatedFiles } from '../board.ts'
import { between, type Random, uniform } from '../plant/random.ts'
import type { SimulatedStore } from '../store.ts'

/** A worn block leaves about so many bits uncleared or unset when it is erased. */
const STUCK_BITS = 6

export class FaultyStore implements ByteStore {
  readonly bytes: number
  readonly blockBytes: number
  /** Nothing is taken any more. */
  full = false
  /** The next write or erase is torn; then the power is gone. */
  tearNext = false
  /** The power failed in the middle of an operation: the board has to start anew before anything works again. */
  torn = false
  /** By block. */
  readonly worn: boolean[]
  private readonly inner: SimulatedStore
  private readonly random: Random

  constructor(inner: SimulatedStore, random: Random) {
    this.inner = inner
    this.random = random
    this.bytes = inner.bytes
    this.blockBytes = inner.blockBytes
    this.worn = new Array(inner.bytes / inner.blockBytes).fill(false)
  }

  read(address: number, length: number): Uint8Array {
    this.mustHavePower()
    return this.inner.read(address, length)
  }

  write(address: number, data: Uint8Array): void {
    this.mustTake()
    if (this.tearNext) {
      const part = data.slice(0, Math.floor(uniform(this.random) * data.length))
      this.clearBits(address, part)
      this.tear()
    }
    if (this.worn[Math.floor(address / this.blockBytes)] === true) this.clearBits(address, data)
    else this.inner.write(address, data)
  }

  erase(address: number): void {
    this.mustTake()
    if (this.tearNext) {
      // What an erase leaves behind that was broken off is anybody's guess.
      this.inner.erase(address)
      this.rot(address, this.blockBytes, this.blockBytes)
      this.tear()
    }
    this.inner.erase(address)
    if (this.worn[Math.floor(address / this.blockBytes)] === true) this.rot(address, this.blockBytes, STUCK_BITS)
  }

  /** So many chance bits between two addresses flip. */
  rot(address: number, length: number, bits: number): void {
    for (let i = 0; i < bits; i++) {
      const at = address + Math.floor(uniform(this.random) * length)
      this.inner.flipBit(at, Math.floor(between(this.random, 0, 8)))
    }
  }

  /** The board starts anew. */
  repower(): void {
    this.torn = false
    this.tearNext = false
  }

  close(): void {}

  /** What worn flash makes of a write: bits that cannot be set stay as they are, and nobody is told. */
  private clearBits(address: number, data: Uint8Array): void {
    const was = this.inner.read(address, data.length)
    this.inner.write(
      address,
      data.map((byte, i) => byte & (was[i] as number)),
    )
  }

  private tear(): never {
    this.torn = true
    throw new Error('store: the power failed')
  }

  private mustHavePower(): void {
    if (this.torn) throw new Error('store: no power')
  }

  private mustTake(): void {
    this.mustHavePower()
    if (this.full) throw new Error('store: takes nothing any more')
  }
}

/** The small files in the same flash: kept over resets, and refused while the flash is full. */
export function faultyFiles(inner: SimulatedFiles, store: FaultyStore): TextFiles {
  return {
    names: () => inner.names(),
    read: name => inner.read(name),
    write(name, text) {
      if (store.full || store.torn) throw new Error(`files: ${name} does not fit`)
      inner.write(name, text)
    },
    remove(name) {
      if (store.torn) throw new Error('files: no power')
      inner.remove(name)
    },
    close() {},
  }
}
