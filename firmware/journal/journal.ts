/**
 * The journal: records in flash that survive a power cut at any byte. Two areas take turns. When one has been taken into
 * use, all that outlives the details (the summaries) is carried over from the other; then that one stays as it is until a
 * laptop has all of it or its room is needed soon, and is erased, a block at a time, never with the motor turning. The
 * caller writes anew what is true now (session, checkpoint, what was learned) whenever `areasTaken` has changed.
 *
 * Nothing here throws out: a flash that refuses is counted, the record goes to the next place that takes it, and when
 * there is none `appendRecord` says so.
 */
import type { ByteStore } from '../../hal/board.ts'
import { findAreaEnd, isErased, nextRecord, readRecord } from './area.ts'
import { type Crc32, createFound, encodeRecord, type Found, KIND, recordBytes, word } from './record.ts'

/** A record that flash did not take whole is tried so often again, further on. */
const TRIES = 3
/** Summaries of so many sessions are carried over; older ones go with the area. */
export const SUMMARIES_KEPT = 60
/** Room for so many summaries of up to 80 bytes, and for the mark behind them. */
const CARRY_RESERVE_BYTES = SUMMARIES_KEPT * 80 + 40

export interface Journal {
  store: ByteStore
  crc32: Crc32
  areaBytes: number
  /** The area that is being written: 0 or 1. */
  area: number
  freeAddress: number
  /** Of the record written last; 0 before the first. */
  sequence: number
  /** How often an area was taken into use since the journal was opened. */
  areasTaken: number
  /** Where carrying over has got to in the other area; NaN when there is nothing left to carry. */
  carryAddress: number
  /** Number of the newest session that has a summary, as far as this journal has seen one; 0 when none. */
  newestSession: number
  /** Where erasing the other area has got to, or will begin; NaN when it is ready. */
  eraseAddress: number
  /** Sequence of the newest record in the other area, when this one was taken into use; 0 when it had none. */
  olderSequence: number
  /** Everything up to this sequence is on a disk elsewhere; 0 when nothing is. */
  pulled: number
  /** Once `freeAddress` is here the room of the other area is needed soon. */
  needAddress: number
  /** Records that were stored nowhere. */
  lost: number
  /** Places that did not take a record whole, and blocks that were not erased. */
  worn: number
  /** Blocks erased since the journal was opened. */
  erased: number
  found: Found
}

/** Opens what is in the store; an empty or strange store becomes an empty journal. */
export function openJournal(store: ByteStore, crc32: Crc32): Journal {
  const blocks = Math.floor(store.bytes / store.blockBytes / 2)
  const journal: Journal = {
    store: store,
    crc32: crc32,
    areaBytes: blocks * store.blockBytes,
    area: 0,
    freeAddress: 0,
    sequence: 0,
    areasTaken: 0,
    carryAddress: NaN,
    newestSession: 0,
    eraseAddress: NaN,
    olderSequence: 0,
    pulled: 0,
    needAddress: 0,
    lost: 0,
    worn: 0,
    erased: 0,
    found: createFound(),
  }
  const ends = [areaEnd(journal, 0), areaEnd(journal, 1)]
  if (ends[0].newest.bytes === 0 && ends[1].newest.bytes === 0) {
    beginAfresh(journal)
    return journal
  }
  const newest = ends[1].newest.bytes > 0 && ends[1].newest.sequence > ends[0].newest.sequence ? 1 : 0
  journal.area = newest
  journal.freeAddress = ends[newest].freeAddress
  journal.sequence = ends[newest].newest.sequence
  // Something was being written behind it when the power went: perhaps that the board had started.
  if (journal.freeAddress !== ends[newest].newest.address + ends[newest].newest.bytes) journal.worn++
  const other = 1 - newest
  if (isErased(store, crc32, begin(journal, other), begin(journal, other) + journal.areaBytes)) return journal
  journal.olderSequence = ends[other].newest.bytes === 0 ? 0 : ends[other].newest.sequence
  // Power may have failed between taking this area and having carried everything: then that is done again.
  if (journal.olderSequence === 0 || isCarried(journal)) awaitErasing(journal, journal.found)
  else journal.carryAddress = begin(journal, other)
  return journal
}

/** No record anywhere: the first area is erased before it is used, unless it is erased. */
function beginAfresh(journal: Journal): void {
  if (isErased(journal.store, journal.crc32, 0, 2 * journal.areaBytes)) return
  journal.area = 1
  journal.freeAddress = 2 * journal.areaBytes
  journal.eraseAddress = 0
}

function areaEnd(journal: Journal, area: number): ReturnType<typeof findAreaEnd> {
  const from = begin(journal, area)
  return findAreaEnd(journal.store, journal.crc32, from, from + journal.areaBytes)
}

function begin(journal: Journal, area: number): number {
  return area * journal.areaBytes
}

/** True once the area in use says that all worth keeping has been carried into it. */
function isCarried(journal: Journal): boolean {
  let at = begin(journal, journal.area)
  const end = journal.freeAddress
  while (nextRecord(journal.store, journal.crc32, at, end, journal.found)) {
    if (journal.found.kind === KIND.carried) return true
    at = journal.found.address + journal.found.bytes
  }
  return false
}

/**
 * From now on the other area may be erased; `carried` is the record that says so. It has to be when half of the room
 * behind that record is used up. A bath that is turned leaves no other time for it than the rests between its legs, of
 * which one or two do. The smallest journal (areas of 8 kB, 60 summaries) then still takes two minutes of a session,
 * eight where there are few summaries; the longest leg of the recipes that ship takes 20 s, with its opening. To wait
 * longer would gain little: what is kept of the details grows by what that half has taken.
 */
function awaitErasing(journal: Journal, carried: Found): void {
  journal.needAddress = (carried.address + begin(journal, journal.area) + journal.areaBytes) / 2
  journal.eraseAddress = begin(journal, 1 - journal.area)
}

/**
 * Stores one record. False when there was no room or flash took it nowhere: then `lost` has gone up, and everything
 * stored before is still there.
 */
export function appendRecord(journal: Journal, kind: number, payload: Uint8Array): boolean {
  // What is still to be carried must find room, or neither area could ever be erased.
  const reserved = isNaN(journal.carryAddress) ? 0 : Math.min(CARRY_RESERVE_BYTES, journal.areaBytes / 2)
  return append(journal, kind, payload, reserved)
}

function append(journal: Journal, kind: number, payload: Uint8Array, reserved: number): boolean {
  let from = NaN
  for (let i = 0; i < TRIES; i++) {
    if (!makeRoom(journal, recordBytes(payload.length), reserved)) break
    if (isNaN(from)) from = journal.freeAddress
    if (writeRecord(journal, kind, payload)) return true
    journal.worn++
  }
  // A flash that takes nothing for a while would be used up by trying, and take nothing when it could again.
  if (from < journal.freeAddress && isErased(journal.store, journal.crc32, from, journal.freeAddress))
    journal.freeAddress = from
  journal.lost++
  return false
}

/** Room for so many bytes, and `reserved` more, from `freeAddress` on; goes on to the next block, and to the other area where that is ready. */
function makeRoom(journal: Journal, bytes: number, reserved: number): boolean {
  const blockBytes = journal.store.blockBytes
  const left = blockBytes - (journal.freeAddress % blockBytes)
  const areaFinish = begin(journal, journal.area) + journal.areaBytes - reserved
  if (journal.freeAddress + bytes <= areaFinish && left >= bytes) return true
  const next = journal.freeAddress + (left === blockBytes ? 0 : left)
  if (next + bytes <= areaFinish) {
    journal.freeAddress = next
    return true
  }
  if (!isNaN(journal.eraseAddress) || !isNaN(journal.carryAddress)) return false
  journal.olderSequence = journal.sequence
  journal.area = 1 - journal.area
  journal.freeAddress = begin(journal, journal.area)
  journal.areasTaken++
  writeRecord(journal, KIND.areaBegun, new Uint8Array(0))
  journal.carryAddress = begin(journal, 1 - journal.area)
  return makeRoom(journal, bytes, reserved)
}

/** Writes at `freeAddress`, looks whether it got there, and moves on either way. */
function writeRecord(journal: Journal, kind: number, payload: Uint8Array): boolean {
  const record = encodeRecord(kind, journal.sequence + 1, payload, journal.crc32)
  const address = journal.freeAddress
  journal.freeAddress += record.length
  try {
    journal.store.write(address, record)
    if (!readRecord(journal.store, journal.crc32, address, address + record.length, journal.found)) return false
  } catch (_) {
    return false
  }
  journal.sequence++
  if (kind === KIND.summary) journal.newestSession = Math.max(journal.newestSession, sessionOf(payload))
  return true
}

/** A summary begins with the number of its session. */
function sessionOf(summary: Uint8Array): number {
  return word(summary, 0)
}

/**
 * The journal's own work, a little at each call: carrying summaries over, then erasing the other area. `mayErase` only
 * while the motor is at rest.
 */
export function tendJournal(journal: Journal, mayErase: boolean): void {
  if (!isNaN(journal.carryAddress)) carryOne(journal)
  else if (mayErase && wantsRest(journal)) eraseOne(journal)
}

/** True while the journal waits for the motor to rest so that it can erase: all of the other area is safe elsewhere, or its room is needed. */
export function wantsRest(journal: Journal): boolean {
  if (isNaN(journal.eraseAddress)) return false
  return journal.pulled >= journal.olderSequence || journal.freeAddress >= journal.needAddress
}

function carryOne(journal: Journal): void {
  const end = begin(journal, 1 - journal.area) + journal.areaBytes
  const found = journal.found
  if (nextRecord(journal.store, journal.crc32, journal.carryAddress, end, found)) {
    const next = found.address + found.bytes
    if (found.kind === KIND.summary && sessionOf(found.payload) > journal.newestSession - SUMMARIES_KEPT) {
      if (!append(journal, KIND.summary, found.payload, 0)) return
    }
    journal.carryAddress = next
    return
  }
  // Only when this stands may the other area go.
  if (!append(journal, KIND.carried, new Uint8Array(0), 0)) return
  journal.carryAddress = NaN
  awaitErasing(journal, found)
}

function eraseOne(journal: Journal): void {
  try {
    journal.store.erase(journal.eraseAddress)
    journal.erased++
  } catch (_) {
    journal.worn++
    return
  }
  journal.eraseAddress += journal.store.blockBytes
  const end = begin(journal, 1 - journal.area) + journal.areaBytes
  if (journal.eraseAddress >= end) journal.eraseAddress = NaN
}

/** Calls `visit` for every whole record, oldest first; the record and its payload are only lent. */
export function forEachRecord(journal: Journal, visit: (found: Found) => void): void {
  const found = createFound()
  for (let i = 1; i >= 0; i--) {
    const area = i === 1 ? 1 - journal.area : journal.area
    let at = begin(journal, area)
    const end = at + journal.areaBytes
    while (nextRecord(journal.store, journal.crc32, at, end, found)) {
      visit(found)
      at = found.address + found.bytes
    }
  }
}
