/** One record as bytes: the layout that journals have, and what is refused. */
import { crc32 as zlibCrc32 } from 'node:zlib'
import { expect, test } from 'vitest'
import {
  claimedBytes,
  createFound,
  decodeRecord,
  encodeRecord,
  KIND,
  PAYLOAD_BYTES_AT_MOST,
  recordBytes,
} from '../../../firmware/journal/record.ts'
import { crc32 } from '../../../sim/crc32.ts'

const payload = new Uint8Array([1, 2, 3, 4, 5])

test('a record is mark, version, kind, words, sequence, payload in whole words, and the checksum over all of it', () => {
  const bytes = encodeRecord(KIND.checkpoint, 0xa1b2c3d4, payload, crc32)
  expect([...bytes.slice(0, 16)]).toEqual([0xeb, 1, 5, 2, 0xd4, 0xc3, 0xb2, 0xa1, 1, 2, 3, 4, 5, 0, 0, 0])
  const checksum = new DataView(bytes.buffer).getUint32(16, true)
  expect(checksum).toBe(zlibCrc32(bytes.slice(0, 16)))
  expect(bytes.length).toBe(20)
})

test('the kinds keep their numbers for ever', () => {
  expect(KIND).toMatchObject({
    areaBegun: 1,
    started: 2,
    sessionBegun: 3,
    event: 4,
    checkpoint: 5,
    summary: 6,
    learned: 7,
    carried: 8,
  })
  expect(new Set(Object.values(KIND)).size).toBe(Object.keys(KIND).length)
})

test('a record takes whole words', () => {
  expect([0, 1, 4, 5, 8, 240].map(recordBytes)).toEqual([12, 16, 16, 20, 20, 252])
})

test('the longest payload is taken, and one byte more is refused with both lengths', () => {
  expect(encodeRecord(1, 1, new Uint8Array(PAYLOAD_BYTES_AT_MOST), crc32).length).toBe(252)
  expect(() => encodeRecord(1, 1, new Uint8Array(241), crc32)).toThrow(
    new RangeError('journal: payload of 241 bytes (allowed: 240)'),
  )
})

test('a header claims the length that its words say; without the mark, cut short or too long it claims none', () => {
  const header = (words: number, mark = 0xeb): Uint8Array => new Uint8Array([mark, 1, 5, words, 0, 0, 0, 0])
  expect([0, 1, 60].map(words => claimedBytes(header(words)))).toEqual([12, 16, 252])
  expect(claimedBytes(header(61))).toBe(0)
  expect(claimedBytes(header(1, 0xea))).toBe(0)
  expect(claimedBytes(header(1).subarray(0, 7))).toBe(0)
  expect(claimedBytes(new Uint8Array(0))).toBe(0)
})

test('a whole record is read with what follows it left alone', () => {
  const bytes = encodeRecord(KIND.event, 9, payload, crc32)
  const found = createFound()
  expect(decodeRecord(new Uint8Array([...bytes, 7, 7, 7]), 4096, crc32, found)).toBe(true)
  expect(found).toEqual({
    address: 4096,
    bytes: 20,
    version: 1,
    kind: KIND.event,
    sequence: 9,
    payload: new Uint8Array([1, 2, 3, 4, 5, 0, 0, 0]),
  })
})

test('what is no whole record is none, and leaves what was found before', () => {
  const bytes = encodeRecord(KIND.event, 9, payload, crc32)
  const found = createFound()
  const blank = createFound()
  expect(decodeRecord(bytes.subarray(0, 19), 0, crc32, found)).toBe(false)
  expect(decodeRecord(new Uint8Array(20), 0, crc32, found)).toBe(false)
  expect(decodeRecord(new Uint8Array(0), 0, crc32, found)).toBe(false)
  bytes[8]! ^= 1
  expect(decodeRecord(bytes, 0, crc32, found)).toBe(false)
  expect(found).toEqual(blank)
})
