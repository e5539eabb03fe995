/**
 * The firmware slots: how one is laid out, which one starts and which one an upload fills. Pure; used on the board by the
 * guard and on the laptop by the upload, so that both always judge alike.
 *
 * A slot is a file of the engine's store: the firmware's text, then a trailer of 48 bytes. The seal, written last, makes
 * the slot exist: sequence number, CRC of the text, CRC of these two. Four marks of 4 bytes follow, erased until
 * written: first try, second try, good, and a spare for the case that the power tore the writing of "good". A mark that
 * is torn counts as a try, never as good. Texts here are one character for each byte.
 */

/** The file that the engine runs at power-on: the guard. */
export const GUARD_FILE = '.bootcde'
export const SLOT_FILES = ['eb.a', 'eb.b']
export const SEAL_BYTES = 32
export const TRAILER_BYTES = 48
const TRY_OFFSET = SEAL_BYTES
const GOOD_OFFSET = SEAL_BYTES + 8
const SPARE_OFFSET = SEAL_BYTES + 12
const ERASED = '\xff\xff\xff\xff'
/** Starts that fail before the first healthy minute until a slot is left for another. */
export const TRIES = 2

/** CRC-32 of zlib and Ethernet over a text of bytes, from 0 to 2^32 - 1. */
export type Crc = (text: string) => number

/** A slot whose seal is right. Whether its text still agrees with `crc` is for the caller to see. */
export interface Slot {
  name: string
  /** Length of the firmware's text; the trailer begins there. */
  textBytes: number
  sequence: number
  /** CRC of the text. */
  crc: number
  /** Starts so far, at most `TRIES`; of no matter once it is good. */
  tries: number
  /** It has reached its first healthy minute once. */
  good: boolean
  /** Where "good" is to be written, from the start of the file; 0 when no erased place is left. */
  goodOffset: number
}

function hex8(value: number): string {
  let text = (value >>> 0).toString(16)
  while (text.length < 8) text = '0' + text
  return text
}

/** The 32 bytes that follow a text, written last. The text's length must be a multiple of 4. */
export function makeSeal(sequence: number, text: string, crc: Crc): string {
  const stamp = hex8(sequence) + hex8(crc(text))
  return '\n//' + stamp + hex8(crc(stamp)) + '     '
}

/** A slot from the length of its file and its last 48 bytes; `undefined` when there is no right seal. */
export function parseSlot(name: string, fileBytes: number, trailer: string, crc: Crc): Slot | undefined {
  const stamp = trailer.substring(3, 19)
  if (fileBytes <= TRAILER_BYTES || trailer.length !== TRAILER_BYTES || (fileBytes & 3) !== 0) return undefined
  if (trailer.substring(0, 3) !== '\n//' || trailer.substring(19, SEAL_BYTES) !== hex8(crc(stamp)) + '     ')
    return undefined
  const textBytes = fileBytes - TRAILER_BYTES
  const mark = (offset: number): string => trailer.substring(offset, offset + 4)
  let tries = 0
  while (tries < TRIES && mark(TRY_OFFSET + 4 * tries) !== ERASED) tries++
  let goodOffset = 0
  if (mark(GOOD_OFFSET) === ERASED) goodOffset = textBytes + GOOD_OFFSET
  else if (mark(SPARE_OFFSET) === ERASED) goodOffset = textBytes + SPARE_OFFSET
  return {
    name: name,
    textBytes: textBytes,
    sequence: parseInt(stamp.substring(0, 8), 16),
    crc: parseInt(stamp.substring(8), 16),
    tries: tries,
    good: mark(GOOD_OFFSET) === 'GOOD' || mark(SPARE_OFFSET) === 'GOOD',
    goodOffset: goodOffset,
  }
}

/** Where the mark of the next start goes, from the start of the file. */
export function tryOffset(slot: Slot): number {
  return slot.textBytes + TRY_OFFSET + 4 * slot.tries
}

/**
 * The slot to start: the newest that was not given up and whose text is right (`isWhole`, asked only where it matters,
 * because it reads the whole text). `undefined` when there is none.
 */
export function slotToStart(slots: (Slot | undefined)[], isWhole: (slot: Slot) => boolean): Slot | undefined {
  let found: Slot | undefined
  for (let i = 0; i < slots.length; i++) {
    const slot = slots[i]
    if (slot === undefined || (found !== undefined && slot.sequence < found.sequence)) continue
    if ((slot.good || slot.tries < TRIES) && isWhole(slot)) found = slot
  }
  return found
}

/**
 * The file that an upload fills: the one that is not the best to fall back on. That is the newest good slot, or, where
 * none is good yet, the one that would start. With one file it is that one, and a cut in mid-upload leaves no firmware.
 */
export function slotToFill(names: string[], slots: (Slot | undefined)[], isWhole: (slot: Slot) => boolean): string {
  const keep =
    slotToStart(
      slots.map(slot => (slot !== undefined && slot.good ? slot : undefined)),
      isWhole,
    ) || slotToStart(slots, isWhole)
  for (let i = 0; i < names.length; i++) if (keep === undefined || names[i] !== keep.name) return names[i]
  return names[0]
}

/** Newer than every slot with a right seal. */
export function nextSequence(slots: (Slot | undefined)[]): number {
  let highest = 0
  for (let i = 0; i < slots.length; i++) {
    const slot = slots[i]
    if (slot !== undefined && slot.sequence > highest) highest = slot.sequence
  }
  return highest + 1
}
