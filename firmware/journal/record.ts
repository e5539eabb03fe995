/**
 * One record of the journal, as bytes: what it is, its place in time, what it says, and a checksum over all of it.
 *
 *     0  0xEB                         a record begins here
 *     1  version                      of this layout
 *     2  kind                         what the payload is: `KIND`
 *     3  words                        payload length in words of 4 bytes, 0 to 60
 *     4  sequence, 4 bytes            one more than the record before, across both areas
 *     8  payload, 4 × words bytes
 *        CRC-32, 4 bytes              of everything before it
 *
 * Little endian, whole words, so that every flash can write it. Figures are raw bytes: the engine's printing would cut
 * them off. Reading assumes nothing of the bytes; whatever is not a whole record is none.
 */

export const RECORD_VERSION = 1
export const RECORD_MARK = 0xeb
export const HEADER_BYTES = 8
export const CRC_BYTES = 4
export const PAYLOAD_BYTES_AT_MOST = 240

/** What a payload says. The numbers are in journals that exist: never given a new meaning. */
export const KIND = {
  /** An area was taken into use. */
  areaBegun: 1,
  /** The board started: why, and when by the wall clock. */
  started: 2,
  sessionBegun: 3,
  /** The session went from one state to another, or an alarm changed. */
  event: 4,
  checkpoint: 5,
  /** What is kept of a session when its details go. */
  summary: 6,
  /** What was learned of pack, probe and operator. */
  learned: 7,
  /** All that outlives the details has been carried into this area. */
  carried: 8,
  /** Everything up to a sequence is on a disk elsewhere. */
  pulled: 9,
  /** What the summary of the session under way would say by now; laid out as one. */
  soFar: 10,
}

/** A record found in the store. The same object is filled each time. */
export interface Found {
  address: number
  /** With header, checksum and payload. */
  bytes: number
  version: number
  kind: number
  sequence: number
  payload: Uint8Array
}

export type Crc32 = (data: Uint8Array) => number

/** Bytes that a record with such a payload takes; the payload is rounded up to whole words. */
export function recordBytes(payloadBytes: number): number {
  return HEADER_BYTES + wordsOf(payloadBytes) * 4 + CRC_BYTES
}

function wordsOf(payloadBytes: number): number {
  return Math.ceil(payloadBytes / 4)
}

/** The record's bytes, to be written in one piece. Throws a `RangeError` for a payload that is too long: a mistake in the program. */
export function encodeRecord(kind: number, sequence: number, payload: Uint8Array, crc32: Crc32): Uint8Array {
  if (payload.length > PAYLOAD_BYTES_AT_MOST) {
    throw new RangeError('journal: payload of ' + payload.length + ' bytes (allowed: ' + PAYLOAD_BYTES_AT_MOST + ')')
  }
  const bytes = new Uint8Array(recordBytes(payload.length))
  bytes[0] = RECORD_MARK
  bytes[1] = RECORD_VERSION
  bytes[2] = kind
  bytes[3] = wordsOf(payload.length)
  putWord(bytes, 4, sequence)
  bytes.set(payload, HEADER_BYTES)
  const end = bytes.length - CRC_BYTES
  putWord(bytes, end, crc32(bytes.subarray(0, end)))
  return bytes
}

/** The length that a header claims, or 0 when no record can begin with it. */
export function claimedBytes(header: Uint8Array): number {
  if (header.length < HEADER_BYTES || header[0] !== RECORD_MARK) return 0
  const payloadBytes = header[3] * 4
  return payloadBytes > PAYLOAD_BYTES_AT_MOST ? 0 : HEADER_BYTES + payloadBytes + CRC_BYTES
}

/** Fills `found` from a whole record's bytes; false, and nothing filled, when its checksum does not fit. */
export function decodeRecord(bytes: Uint8Array, address: number, crc32: Crc32, found: Found): boolean {
  const length = claimedBytes(bytes)
  if (length === 0 || length > bytes.length) return false
  const end = length - CRC_BYTES
  if (crc32(bytes.subarray(0, end)) !== word(bytes, end)) return false
  found.address = address
  found.bytes = length
  found.version = bytes[1]
  found.kind = bytes[2]
  found.sequence = word(bytes, 4)
  found.payload = bytes.subarray(HEADER_BYTES, end)
  return true
}

export function createFound(): Found {
  return { address: 0, bytes: 0, version: 0, kind: 0, sequence: 0, payload: new Uint8Array(0) }
}

/** Four bytes, little endian. */
export function putWord(bytes: Uint8Array, at: number, value: number): void {
  for (let i = 0; i < 4; i++) bytes[at + i] = value >>> (8 * i)
}

/** Four bytes, little endian. */
export function word(bytes: Uint8Array, at: number): number {
  return (bytes[at] | (bytes[at + 1] << 8) | (bytes[at + 2] << 16) | (bytes[at + 3] << 24)) >>> 0
}
