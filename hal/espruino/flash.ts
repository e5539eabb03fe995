/**
 * The journal's flash: whole pages of bare flash, written and erased past the engine's file store.
 *
 * Where the board has pages that nobody uses, those (`journalInPages`). Where all free flash belongs to the store
 * (`journalInFile`), one file is made in it, larger than needed by a page, and the whole pages inside that file are used:
 * they never change the store's own headers, so the store neither fills nor has to be compacted for the journal's sake.
 * What compaction for other reasons does to it: the file moves, the pages no longer lie where they lay in it. A mark in
 * the file's head says where they began, and the next start puts them right through memory; a power cut in that tenth
 * of a second loses the journal, one during compaction whatever lay on the page in hand.
 */
import type { ByteStore } from '../board.ts'
import { numberOption, objectOption } from '../options.ts'
import type { Engine } from './engine.ts'
import { EspruinoPart } from './part.ts'

export interface FlashStoreOptions {
  engine: Engine
  /** Refuses an erase while it is driven: an erase stops the interpreter for up to half a second. */
  motor: { readonly driven: boolean }
  /** Where the first block begins. */
  address: number
  bytes: number
  /** A page of the flash. */
  blockBytes: number
}

export class EspruinoFlashStore extends EspruinoPart implements ByteStore {
  readonly bytes: number
  readonly blockBytes: number
  private readonly address: number
  private readonly motor: { readonly driven: boolean }

  constructor(options: FlashStoreOptions) {
    super('store', options)
    this.motor = objectOption<{ readonly driven: boolean }>('store', options, 'motor')
    this.address = numberOption('store', options, 'address', 0, 0xffffffff)
    this.blockBytes = numberOption('store', options, 'blockBytes', 256, 131072)
    this.bytes = numberOption('store', options, 'bytes', this.blockBytes, 16777216)
    if (this.bytes % this.blockBytes !== 0) {
      throw new RangeError('store: option bytes is ' + this.bytes + ' (allowed: multiples of blockBytes)')
    }
  }

  read(address: number, length: number): Uint8Array {
    this.mustBeWithin(address, length)
    return length === 0 ? new Uint8Array(0) : this.engine.require('Flash').read(length, this.address + address)
  }

  write(address: number, data: Uint8Array): void {
    const old = this.read(address, data.length)
    // Erased bytes take anything; summed by the engine because a loop over a record would cost a tick.
    if (this.engine.E.sum(old) !== 255 * data.length) {
      for (let i = 0; i < data.length; i++) {
        if ((~old[i] & data[i]) !== 0) {
          throw new RangeError('store: cannot set a bit at ' + (address + i) + ' (allowed: clearing bits)')
        }
      }
    }
    if (data.length > 0) this.engine.require('Flash').write(data, this.address + address)
  }

  erase(address: number): void {
    this.mustBeWithin(address, this.blockBytes)
    if (address % this.blockBytes !== 0) {
      throw new RangeError('store: no block begins at ' + address + ' (allowed: multiples of ' + this.blockBytes + ')')
    }
    if (this.motor.driven) throw new Error('store: not erased while the motor is driven')
    this.engine.require('Flash').erasePage(this.address + address)
  }

  private mustBeWithin(address: number, length: number): void {
    this.mustBeOpen()
    if (!(address >= 0 && length >= 0 && address + length <= this.bytes) || address % 1 !== 0 || length % 1 !== 0) {
      throw new RangeError('store: ' + length + ' bytes at ' + address + ' (allowed: within ' + this.bytes + ' bytes)')
    }
  }
}

/** Pages at a known address; throws unless the engine calls all of them free and none belongs to its file store. */
export function journalInPages(engine: Engine, address: number, bytes: number): number {
  const areas = engine.require('Flash').getFree()
  const storeAddress = engine.process.memory(false).flash_code_start
  const storeBytes = engine.process.env.STORAGE
  for (let i = 0; i < areas.length; i++) {
    const isStore = storeAddress !== undefined && address < storeAddress + storeBytes && address + bytes > storeAddress
    if (!isStore && address >= areas[i].addr && address + bytes <= areas[i].addr + areas[i].length) return address
  }
  throw new Error('journal: flash is not free at ' + address)
}

const JOURNAL_FILE = 'eb.journal'
/** The file's head: up to eight marks of four bytes, each where the pages began since the last time the file moved. */
const MARKS = 8
const MARK_BYTES = 4 * MARKS
const NO_MARK = 0xffffffff

/** Pages inside a file of the store, which is made when it is not there; throws when the store has no room for it. */
export function journalInFile(engine: Engine, bytes: number, blockBytes: number): number {
  const storage = engine.require('Storage')
  const flash = engine.require('Flash')
  const size = bytes + blockBytes + MARK_BYTES
  const old = storage.read(JOURNAL_FILE)
  if (old === undefined || old.length !== size) {
    if (storage.getFree() < size + 64) throw new Error('journal: no room in the file store')
    storage.write(JOURNAL_FILE, '\xff', 0, size)
  }
  const file = engine.E.getAddressOf(storage.read(JOURNAL_FILE), true)
  if (file === 0) throw new Error('journal: its file has no address')
  const first = Math.ceil((file + MARK_BYTES) / blockBytes) * blockBytes
  const marks = new Uint32Array(flash.read(MARK_BYTES, file).buffer)
  let used = 0
  while (used < MARKS && marks[used] !== NO_MARK) used++
  const offset = first - file
  if (used > 0 && marks[used - 1] === offset) return first
  // No mark left, once in eight moves: a new file, with nothing in it.
  if (used === MARKS) {
    storage.erase(JOURNAL_FILE)
    return journalInFile(engine, bytes, blockBytes)
  }
  if (used > 0) putRight(engine, file + marks[used - 1], first, bytes, blockBytes)
  flash.write(new Uint8Array(new Uint32Array([offset]).buffer), file + used * 4)
  return first
}

/** Takes the blocks from where compaction left them to where whole pages begin. */
function putRight(engine: Engine, from: number, to: number, bytes: number, blockBytes: number): void {
  const flash = engine.require('Flash')
  const blocks = flash.read(bytes, from)
  for (let at = 0; at < bytes; at += blockBytes) {
    flash.erasePage(to + at)
    flash.write(new Uint8Array(blocks.buffer, at, blockBytes), to + at)
  }
}
