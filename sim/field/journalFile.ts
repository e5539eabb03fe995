/**
 * The journal of one base on a laptop's disk: a line that says whose it is, then the records as they stood in the base's
 * flash, byte for byte, in the order of their sequence. Each carries its own checksum, so that a file whose end was cut
 * off is good up to there, and what is added later is only put behind it.
 */
import {
  CRC_BYTES,
  claimedBytes,
  createFound,
  decodeRecord,
  type Found,
  HEADER_BYTES,
  RECORD_MARK,
} from '../../firmware/journal/record.ts'
import { InputError } from '../bench/inputError.ts'
import { readWhole } from '../bench/readWhole.ts'
import { crc32 } from '../crc32.ts'

/** A record as it was read from a base. */
export interface SavedRecord {
  version: number
  /** One of `KIND`, or a newer firmware's. */
  kind: number
  /** Rises from record to record; what is missing was erased on the base before it was pulled. */
  sequence: number
  payload: Uint8Array
}

export interface JournalFile {
  /** Of the base's board, as `describe` tells it. */
  serial: string
  records: SavedRecord[]
  /** From the file's beginning to the end of its last whole record. */
  wholeBytes: number
}

const FIRST_LINE = /^evenbath journal 1, base ([!-~]{1,64})\n/
const FIRST_LINE_BYTES_AT_MOST = 96
/** An hour of a session takes some 50 kB: thousands of hours. */
export const JOURNAL_BYTES_AT_MOST = 200_000_000

/** How a journal's file begins. `serial` is 1 to 64 printable characters without a space. */
export function firstLine(serial: string): string {
  return `evenbath journal 1, base ${serial}\n`
}

/** Reads `path`. Throws `InputError` when it is not a journal, or none of its records can be read. */
export function readJournalFile(path: string): JournalFile {
  return parseJournal(readWhole(path, JOURNAL_BYTES_AT_MOST), path)
}

/** True when a file begins as a journal does, whatever follows. */
export function isJournal(bytes: Uint8Array): boolean {
  return FIRST_LINE.test(beginning(bytes))
}

/**
 * The same from bytes; `name` is what the messages call it. What was cut off at the end is left out and not counted in
 * `wholeBytes`; damage is an `InputError`: what stands behind it cannot be trusted to belong there, and must not be cut away.
 */
export function parseJournal(bytes: Uint8Array, name: string): JournalFile {
  const first = FIRST_LINE.exec(beginning(bytes))
  if (first === null) {
    throw new InputError([`${name}: not a journal; allowed: a file that pull has written`])
  }
  const file: JournalFile = { serial: first[1] as string, records: [], wholeBytes: first[0].length }
  const found = createFound()
  while (file.wholeBytes < bytes.length) {
    const at = file.wholeBytes
    const claimed = claimedBytes(bytes.subarray(at, at + HEADER_BYTES))
    const isCutOff = bytes.length - at < HEADER_BYTES || (claimed > 0 && at + claimed > bytes.length)
    if (isCutOff && !isDamage(bytes.subarray(at), found)) break
    if (isCutOff || claimed === 0 || !decodeRecord(bytes.subarray(at, at + claimed), at, crc32, found)) {
      throw new InputError([
        `${name}: damaged at byte ${at}; allowed: whole records; pull again into a new file, and keep this one`,
      ])
    }
    const { version, kind, sequence, payload } = found
    file.records.push({ version, kind, sequence, payload })
    file.wholeBytes = at + claimed
  }
  return file
}

/** A record that seems cut off is damaged where it is whole with another length, or where another one stands behind it. */
function isDamage(end: Uint8Array, found: Found): boolean {
  const relabelled = Uint8Array.from(end)
  relabelled[3] = (end.length - HEADER_BYTES - CRC_BYTES) / 4
  if (decodeRecord(relabelled, 0, crc32, found) && found.bytes === end.length) return true
  for (let at = 1; at < end.length; at++) {
    if (end[at] === RECORD_MARK && decodeRecord(end.subarray(at), at, crc32, found)) return true
  }
  return false
}

function beginning(bytes: Uint8Array): string {
  return String.fromCharCode(...bytes.subarray(0, FIRST_LINE_BYTES_AT_MOST))
}
