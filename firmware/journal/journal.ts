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
import { findAreaEnd, isBlank, isErased, isLeftOut, nextRecord, readRecord } from './area.ts'
import { type Crc32, createFound, encodeRecord, type Found, KIND, RECORD_VERSION, recordBytes, word } from './record.ts'

/** A record that flash did not take whole is tried so often again, further on. */
const TRIES = 3
/** A block that is not erased is tried so often again, then left out until its area's next turn. */
const ERASE_TRIES = 5
/** Summaries of so many sessions are carried over, or as many as half of an area takes; older ones go with the area. */
export const SUMMARIES_KEPT = 60
/** Of a summary's record: less than this is left unused at the end of a block. */
const SUMMARY_BYTES_AT_MOST = 84
/** What is true now, written anew: until that stands, nothing is carried. */
const ANEW_BYTES = 512

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
  /** The summaries that are still to be carried: their sessions, and what they take. */
  toCarry: number[]
  carryBytes: number
  /** Numbers of the sessions whose summaries the area in use has, and what those take. */
  here: number[]
  hereBytes: number
  /** Number of the newest session that has a summary; 0 when none. */
  newestSession: number
  /** Where erasing the other area has got to, or will begin; NaN when it is ready. */
  eraseAddress: number
  /** How often erasing the block there has failed. */
  eraseTries: number
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
    toCarry: [],
    carryBytes: 0,
    here: [],
    hereBytes: 0,
    newestSession: 0,
    eraseAddress: NaN,
    eraseTries: 0,
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
  const carriedAddress = lookThrough(journal)
  const other = 1 - newest
  if (isReady(journal, other)) return journal
  journal.olderSequence = ends[other].newest.bytes === 0 ? 0 : ends[other].newest.sequence
  if (journal.olderSequence === 0 || carriedAddress >= 0) awaitErasing(journal, carriedAddress)
  else {
    // Power failed between taking this area and having carried everything: on with the first that is not here.
    let first = begin(journal, other) + journal.areaBytes
    walk(journal, other, found => {
      if (!isSummary(found)) return
      journal.newestSession = Math.max(journal.newestSession, sessionOf(found.payload))
      if (journal.here.indexOf(sessionOf(found.payload)) >= 0) return
      journal.carryBytes += found.bytes
      journal.toCarry.push(sessionOf(found.payload))
      if (found.address < first) first = found.address
    })
    journal.carryAddress = first
  }
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

/** Every block of it is erased or left out, and not all are left out. */
function isReady(journal: Journal, area: number): boolean {
  const store = journal.store
  let erased = false
  for (let i = 0; i < journal.areaBytes; i += store.blockBytes) {
    const at = begin(journal, area) + i
    if (isErased(store, journal.crc32, at, at + store.blockBytes)) erased = true
    else if (!isLeftOut(store, at)) return false
  }
  return erased
}

/** Finds which summaries the area in use has. Gives the address of what says that all has been carried into it, or NaN. */
function lookThrough(journal: Journal): number {
  let carriedAddress = NaN
  walk(journal, journal.area, found => {
    if (isSummary(found)) noteHere(journal, found.payload, found.bytes)
    if (found.kind === KIND.carried) carriedAddress = found.address
  })
  return carriedAddress
}

function noteHere(journal: Journal, summary: Uint8Array, bytes: number): void {
  const session = sessionOf(summary)
  journal.here.push(session)
  journal.hereBytes += bytes
  journal.newestSession = Math.max(journal.newestSession, session)
}

function isSummary(found: Found): boolean {
  return found.kind === KIND.summary && found.version === RECORD_VERSION
}

function walk(journal: Journal, area: number, visit: (found: Found) => void): void {
  const found = createFound()
  let at = begin(journal, area)
  const end = at + journal.areaBytes
  while (nextRecord(journal.store, journal.crc32, at, end, found)) {
    at = found.address + found.bytes
    visit(found)
  }
}

/**
 * From now on the other area may be erased; `carriedAddress` is where the record is that says so. It has to be when half of the room
 * behind that record is used up. A bath that is turned leaves no other time for it than the rests between its legs, of
 * which one or two do. The smallest journal (areas of 8 kB, half of it summaries) then still takes two minutes of a session,
 * eight where there are few summaries; the longest leg of the recipes that ship takes 20 s, with its opening. To wait
 * longer would gain little: what is kept of the details grows by what that half has taken.
 */
function awaitErasing(journal: Journal, carriedAddress: number): void {
  journal.needAddress = carriedAddress + usableBytes(journal, carriedAddress) / 2
  journal.eraseAddress = begin(journal, 1 - journal.area)
}

/** From an address of the area in use to its end, less the blocks that are left out. */
function usableBytes(journal: Journal, from: number): number {
  const blockBytes = journal.store.blockBytes
  const end = begin(journal, journal.area) + journal.areaBytes
  let bytes = end - from
  for (let at = Math.ceil(from / blockBytes) * blockBytes; at < end; at += blockBytes) {
    if (isLeftOut(journal.store, at)) bytes -= blockBytes
  }
  return bytes
}

/** Summaries may fill so much of the area in use. */
function summaryRoom(journal: Journal): number {
  return usableBytes(journal, begin(journal, journal.area)) / 2
}

/** What is still to be carried must find room, or neither area could ever be erased. */
function reservedBytes(journal: Journal): number {
  if (isNaN(journal.carryAddress)) return 0
  return withMark(journal, Math.max(0, Math.min(journal.carryBytes, summaryRoom(journal) - journal.hereBytes)))
}

/** Summaries with the mark behind them, and what they leave at the ends of blocks. */
function withMark(journal: Journal, summaryBytes: number): number {
  const bytes = summaryBytes + recordBytes(0)
  return bytes + Math.ceil(bytes / (journal.store.blockBytes - SUMMARY_BYTES_AT_MOST)) * SUMMARY_BYTES_AT_MOST
}

/** Whether all that is still to be carried may be: where there is less room, the oldest is left behind. */
function isRoomForAll(journal: Journal): boolean {
  return (
    journal.hereBytes + journal.carryBytes <= summaryRoom(journal) &&
    withMark(journal, journal.carryBytes) <= usableBytes(journal, journal.freeAddress)
  )
}

/**
 * Stores one record. False when there was no room or flash took it nowhere: then `lost` has gone up, and everything
 * stored before is still there.
 */
export function appendRecord(journal: Journal, kind: number, payload: Uint8Array): boolean {
  const reserved = reservedBytes(journal)
  // A board that starts again and again, and fails each time before its first tick, must leave room for what that writes.
  const isOften = kind === KIND.started || kind === KIND.event
  return append(journal, kind, payload, reserved > 0 && isOften ? reserved + ANEW_BYTES : reserved)
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
  const store = journal.store
  const end = begin(journal, journal.area) + journal.areaBytes
  for (let at = journal.freeAddress; at < end; ) {
    const into = at % store.blockBytes
    const left = store.blockBytes - into
    // A block that is not erased is not begun.
    if (left < bytes || (into === 0 && !isBlank(store, at))) at += left
    else if (bytes + reserved > (reserved > 0 ? usableBytes(journal, at) : end - at)) break
    else {
      journal.freeAddress = at
      return true
    }
  }
  if (!isNaN(journal.eraseAddress) || !isNaN(journal.carryAddress)) return false
  journal.olderSequence = journal.sequence
  journal.carryAddress = begin(journal, journal.area)
  journal.carryBytes = journal.hereBytes
  journal.toCarry = journal.here
  journal.here = []
  journal.hereBytes = 0
  journal.area = 1 - journal.area
  journal.freeAddress = begin(journal, journal.area)
  journal.areasTaken++
  append(journal, KIND.areaBegun, new Uint8Array(0), 0)
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
  if (kind === KIND.summary) noteHere(journal, payload, record.length)
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
    const bytes = found.bytes
    const next = found.address + bytes
    const session = sessionOf(found.payload)
    if (isSummary(found) && journal.here.indexOf(session) < 0) {
      // One that was written while others were being carried stands before them, and takes room of theirs.
      const isKept =
        session > journal.newestSession - SUMMARIES_KEPT &&
        (isRoomForAll(journal) || journal.toCarry.concat(journal.here).some(other => other < session))
      if (isKept && !carry(journal, KIND.summary, found.payload)) return
      journal.carryBytes -= bytes
      journal.toCarry.splice(journal.toCarry.indexOf(session), 1)
    }
    journal.carryAddress = next
    return
  }
  // Only when this stands may the other area go.
  if (!carry(journal, KIND.carried, new Uint8Array(0))) return
  journal.carryAddress = NaN
  awaitErasing(journal, journal.freeAddress - recordBytes(0))
}

/** False when it is to be tried again: the flash refuses. What finds no room any more is given up: the journal goes on. */
function carry(journal: Journal, kind: number, payload: Uint8Array): boolean {
  return append(journal, kind, payload, 0) || !makeRoom(journal, recordBytes(payload.length), 0)
}

/** One block. Where it no longer erases it is left out until it is tried again at the area's next turn. */
function eraseOne(journal: Journal): void {
  const store = journal.store
  const at = journal.eraseAddress
  let isDone = false
  try {
    store.erase(at)
    isDone = isBlank(store, at)
  } catch (_) {}
  if (isDone) journal.erased++
  else {
    journal.worn++
    if (++journal.eraseTries < ERASE_TRIES || !leaveOut(journal, at)) return
  }
  journal.eraseTries = 0
  journal.eraseAddress += store.blockBytes
  const area = 1 - journal.area
  if (journal.eraseAddress < begin(journal, area) + journal.areaBytes) return
  // With no block of it to write in there is nothing but to try on.
  journal.eraseAddress = NaN
  for (let i = 0; i < journal.areaBytes; i += store.blockBytes) if (isBlank(store, begin(journal, area) + i)) return
  journal.eraseAddress = begin(journal, area)
}

/**
 * What stands in the block is to be taken for nothing: zeros can be written where nothing can be erased. False where not
 * even that is taken: a flash that refuses everything may do so for a while.
 */
function leaveOut(journal: Journal, at: number): boolean {
  const store = journal.store
  if (isErased(store, journal.crc32, at, at + store.blockBytes)) return true
  try {
    store.write(at, new Uint8Array(4))
  } catch (_) {}
  return isLeftOut(store, at)
}

/** Calls `visit` for every whole record of this layout, oldest first; the record and its payload are only lent. */
export function forEachRecord(journal: Journal, visit: (found: Found) => void): void {
  const known = (found: Found): void => {
    if (found.version === RECORD_VERSION) visit(found)
  }
  walk(journal, 1 - journal.area, known)
  walk(journal, journal.area, known)
}
