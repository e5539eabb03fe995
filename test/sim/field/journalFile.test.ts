/** A pulled journal on disk: a cut-off end is one, damage is another thing. */
import { truncateSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { encodeRecord, KIND, recordBytes } from '../../../firmware/journal/record.ts'
import { crc32 } from '../../../sim/crc32.ts'
import { firstLine, parseJournal, readJournalFile } from '../../../sim/field/journalFile.ts'
import { newFolder } from './pulledBase.ts'

const PAYLOAD_BYTES = 60
const EACH = recordBytes(PAYLOAD_BYTES)
const COUNT = 8

const first = Buffer.from(firstLine('bench-1'), 'latin1')
const whole = Buffer.concat([
  first,
  ...Array.from({ length: COUNT }, (_, i) =>
    encodeRecord(KIND.checkpoint, i + 1, new Uint8Array(PAYLOAD_BYTES).fill(i), crc32),
  ),
])

test('cut off anywhere, a journal is good up to its last whole record', () => {
  for (let length = first.length; length <= whole.length; length++) {
    const { records, wholeBytes } = parseJournal(whole.subarray(0, length), 'a')
    expect(records).toHaveLength(Math.floor((length - first.length) / EACH))
    expect(wholeBytes).toBe(first.length + records.length * EACH)
  }
})

test('a single bit that flips anywhere behind the first line is damage, never a cut-off end', () => {
  for (let at = first.length; at < whole.length; at++) {
    for (let bit = 0; bit < 8; bit++) {
      const bytes = Buffer.from(whole)
      bytes[at]! ^= 1 << bit
      expect(() => parseJournal(bytes, 'a'), `byte ${at} bit ${bit}`).toThrow('damaged')
    }
  }
})

test('a bit that flips in a length before a cut-off end is damage as well', () => {
  const cut = whole.subarray(0, whole.length - 10)
  for (const bit of [0, 1, 2, 3, 4, 5]) {
    const bytes = Buffer.from(cut)
    bytes[first.length + (COUNT - 3) * EACH + 3]! ^= 1 << bit
    expect(() => parseJournal(bytes, 'a')).toThrow('damaged')
  }
})

test('a file far too large is refused before it is read, with what is allowed', () => {
  const path = join(newFolder(), 'film.mov')
  writeFileSync(path, '')
  truncateSync(path, 3e9)
  expect(() => readJournalFile(path)).toThrow(`${path}: 3000 MB; allowed: up to 200 MB`)
})
