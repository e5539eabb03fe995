/** The slots' layout and the choice among them, as the guard on the board and the upload on the laptop both make it. */
import fc from 'fast-check'
import { expect, test } from 'vitest'
import {
  makeSeal,
  nextSequence,
  parseSlot,
  SEAL_BYTES,
  SLOT_FILES,
  type Slot,
  slotToFill,
  slotToStart,
  TRAILER_BYTES,
  tryOffset,
} from '../../../hal/espruino/guard/slots.ts'
import { crcOfText } from './guardBench.ts'

const ERASED = '\xff'.repeat(16)
const TEXT = '//evenbath 0.1.0 pico firmware\n '

const parsed = (marks = ERASED, sequence = 7): Slot | undefined => {
  const trailer = makeSeal(sequence, TEXT, crcOfText) + marks
  return parseSlot('eb.a', TEXT.length + TRAILER_BYTES, trailer, crcOfText)
}

test('a sealed text is read back with what was sealed', () => {
  expect(makeSeal(7, TEXT, crcOfText)).toHaveLength(SEAL_BYTES)
  expect(parsed()).toEqual({
    name: 'eb.a',
    textBytes: TEXT.length,
    sequence: 7,
    crc: crcOfText(TEXT),
    tries: 0,
    good: false,
    goodOffset: TEXT.length + 40,
  })
})

test('the seal is a comment, so that the whole file is still a program', () => {
  expect(Function(`return 5${makeSeal(1, TEXT, crcOfText)}`)()).toBe(5)
})

test('any sequence and any CRC survive the seal', () => {
  fc.assert(
    fc.property(fc.integer({ min: 0, max: 0xffffffff }), fc.integer({ min: 0, max: 0xffffffff }), (sequence, crc) => {
      const both = (text: string): number => (text === TEXT ? crc : crcOfText(text))
      const slot = parseSlot('eb.a', TEXT.length + 48, makeSeal(sequence, TEXT, both) + ERASED, both)
      expect([slot?.sequence, slot?.crc]).toEqual([sequence, crc])
    }),
  )
})

test('a seal with any one bit wrong is no seal', () => {
  const seal = makeSeal(7, TEXT, crcOfText)
  for (let bit = 0; bit < SEAL_BYTES * 8; bit++) {
    const bytes = Buffer.from(seal, 'latin1')
    bytes[bit >> 3] ^= 1 << (bit & 7)
    expect(parseSlot('eb.a', TEXT.length + 48, bytes.toString('latin1') + ERASED, crcOfText)).toBeUndefined()
  }
})

test('a file too short, of odd length, or read in part is no slot', () => {
  const trailer = makeSeal(7, TEXT, crcOfText) + ERASED
  for (const bytes of [0, 48, 81, 82, 83]) expect(parseSlot('eb.a', bytes, trailer, crcOfText)).toBeUndefined()
  expect(parseSlot('eb.a', 80, trailer.slice(1), crcOfText)).toBeUndefined()
})

test('marks are counted, and a torn one counts as a try but never as good', () => {
  const figures = (marks: string): unknown => {
    const slot = parsed(marks.padEnd(16, '\xff'))
    return slot && [slot.tries, slot.good, slot.goodOffset - slot.textBytes]
  }
  expect(figures('')).toEqual([0, false, 40])
  expect(figures('TRY1')).toEqual([1, false, 40])
  expect(figures('TR\xff\xff')).toEqual([1, false, 40])
  expect(figures('TRY1TRY2')).toEqual([2, false, 40])
  expect(figures('TRY1\xff\xff\xff\xffGOOD')).toEqual([1, true, 44])
  expect(figures('TRY1\xff\xff\xff\xffGO\xff\xff')).toEqual([1, false, 44])
  expect(figures('TRY1\xff\xff\xff\xffGO\xff\xffGOOD')).toEqual([1, true, -32])
  expect(figures('TRY1TRY2G\xff\xff\xffG\xff\xff\xff')).toEqual([2, false, -32])
})

test('the mark of the next start has a place of its own', () => {
  const fresh = parsed() as Slot
  const tried = parsed('TRY1'.padEnd(16, '\xff')) as Slot
  expect([tryOffset(fresh), tryOffset(tried)]).toEqual([TEXT.length + 32, TEXT.length + 36])
})

const slot = (name: string, sequence: number, more: Partial<Slot> = {}): Slot => ({
  name,
  textBytes: 100,
  sequence,
  crc: 0,
  tries: 0,
  good: false,
  goodOffset: 140,
  ...more,
})
const whole = (): boolean => true

test('the newest slot starts, unless it was given up or its text is wrong', () => {
  const name = (slots: (Slot | undefined)[], isWhole = (_: Slot): boolean => true): string | undefined =>
    slotToStart(slots, isWhole)?.name
  expect(name([undefined, undefined])).toBeUndefined()
  expect(name([slot('eb.a', 1), slot('eb.b', 2)])).toBe('eb.b')
  expect(name([slot('eb.a', 3), slot('eb.b', 2)])).toBe('eb.a')
  expect(name([slot('eb.a', 1), slot('eb.b', 2, { tries: 2 })])).toBe('eb.a')
  expect(name([slot('eb.a', 1), slot('eb.b', 2, { tries: 2, good: true })])).toBe('eb.b')
  expect(name([slot('eb.a', 1), slot('eb.b', 2)], one => one.name !== 'eb.b')).toBe('eb.a')
  expect(name([slot('eb.a', 1, { tries: 2 }), slot('eb.b', 2, { tries: 2 })])).toBeUndefined()
})

test('an upload never fills the slot that is the best to fall back on', () => {
  const fill = (a: Slot | undefined, b: Slot | undefined, isWhole: (one: Slot) => boolean = whole): string =>
    slotToFill(SLOT_FILES, [a, b], isWhole)
  expect(fill(undefined, undefined)).toBe('eb.a')
  expect(fill(slot('eb.a', 1), undefined)).toBe('eb.b')
  expect(fill(slot('eb.a', 1, { good: true }), slot('eb.b', 2, { good: true }))).toBe('eb.a')
  // The newer one has yet to prove itself: the good one stays.
  expect(fill(slot('eb.a', 1, { good: true }), slot('eb.b', 2))).toBe('eb.b')
  expect(fill(slot('eb.a', 1, { good: true }), slot('eb.b', 2, { tries: 2 }))).toBe('eb.b')
  expect(fill(slot('eb.a', 1), slot('eb.b', 2))).toBe('eb.a')
  expect(fill(slot('eb.a', 1), slot('eb.b', 2, { good: true }), one => one.name !== 'eb.b')).toBe('eb.b')
})

test('a board with one slot fills that slot', () => {
  expect(slotToFill(['eb.a'], [slot('eb.a', 1, { good: true })], whole)).toBe('eb.a')
})

test('a new upload is newer than every slot, given up or not', () => {
  expect(nextSequence([undefined, undefined])).toBe(1)
  expect(nextSequence([slot('eb.a', 9, { tries: 2 }), slot('eb.b', 4)])).toBe(10)
})
