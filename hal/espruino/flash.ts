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
import { CHECKS, checkOptions, from, mustBeOpen, OBJECT } from './checks.ts'
import type { Engine } from './engine.ts'

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

export function openFlashStore(options: FlashStoreOptions): ByteStore {
  if (CHECKS) {
    checkOptions('store', options, { motor: OBJECT, address: from(0, 0xffffffff), blockBytes: from(256, 131072) })
    checkOptions('store', options, { bytes: from(options.blockBytes, 16777216) })
    if (options.bytes % options.blockBytes !== 0) throw limitError('bytes (allowed: multiples of blockBytes)')
  }
  const { engine, motor, bytes, blockBytes } = options
  const first = options.address
  const flash = engine.require('Flash')
  let closed = false

  const mustBeWithin = (address: number, length: number): void => {
    if (CHECKS) mustBeOpen('store', closed)
    if (!(address >= 0 && length >= 0 && address + length <= bytes) || (address % 1) + (length % 1) !== 0) {
      throw limitError(length + ' bytes at ' + address)
    }
  }
  const read = (address: number, length: number): Uint8Array => {
    mustBeWithin(address, length)
    return length === 0 ? new Uint8Array(0) : flash.read(length, first + address)
  }
  return {
    bytes: bytes,
    blockBytes: blockBytes,
    read: read,
    write: (address, data) => {
      const length = data.length
      const old = read(address, length)
      // Erased bytes take anything; summed by the engine because a loop over a record would cost a tick.
      if (engine.E.sum(old) !== 255 * length) {
        for (let i = 0; i < length; i++) if (~old[i] & data[i]) throw limitError('only clears bits')
      }
      if (length > 0) flash.write(data, first + address)
    },
    erase: address => {
      mustBeWithin(address, blockBytes)
      if (address % blockBytes !== 0) throw limitError('no block at ' + address)
      if (motor.driven) throw new Error('store: not while the motor is driven')
      // The engine takes a whole number here and not one that was computed as a fraction.
      flash.erasePage((first + address) | 0)
    },
    close: () => {
      closed = true
    },
  }
}

function limitError(what: string): RangeError {
  return new RangeError('store: ' + what)
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
  const first = (Math.ceil((file + MARK_BYTES) / blockBytes) * blockBytes) | 0
  const marks = new Uint32Array(flash.read(MARK_BYTES, file).buffer)
  const offset = first - file
  let used = 0
  let from = 0
  for (; used < MARKS && marks[used] !== NO_MARK; used++) {
    // One that the power tore is passed over.
    if (marks[used] < MARK_BYTES + blockBytes) from = marks[used]
  }
  if (from === offset) return first
  // No mark left, once in eight moves: a new file, with nothing in it.
  if (used === MARKS) {
    storage.erase(JOURNAL_FILE)
    return journalInFile(engine, bytes, blockBytes)
  }
  if (from !== 0) putRight(engine, file + from, first, bytes, blockBytes)
  flash.write(new Uint8Array(new Uint32Array([offset]).buffer), file + used * 4)
  return first
}

/** Takes the blocks from where compaction left them to where whole pages begin. */
function putRight(engine: Engine, from: number, to: number, bytes: number, blockBytes: number): void {
  const flash = engine.require('Flash')
  const blocks = flash.read(bytes, from)
  for (let at = 0; at < bytes; at += blockBytes) {
    flash.erasePage((to + at) | 0)
    flash.write(new Uint8Array(blocks.buffer, at, blockBytes), to + at)
  }
}
