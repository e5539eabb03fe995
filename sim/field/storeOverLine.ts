/**
 * The journal of a base over its line: the list, the bytes of its flash block by block, and the word that records are safe
 * here. Assumes nothing of the line: what comes over wrong or not at all is asked again, bytes are held against their
 * checksum, and what has no checksum is asked until it comes twice the same. Ends with `LinkError` when the port goes or
 * nothing comes through, with `RemoteError` for what the base refuses again and again.
 */
import { claimedBytes, createFound, decodeRecord, HEADER_BYTES } from '../../firmware/journal/record.ts'
import { crc32 } from '../crc32.ts'
import { LinkError } from '../link/messages.ts'
import { type Remote, RemoteError } from '../link/remote.ts'

/** One request to the base, once. */
export type Ask = (method: string, params?: unknown) => Promise<unknown>

/** What there is on the base. */
export interface Listing {
  /** Address and bytes of each area, the older one first. */
  areas: [number, number][]
  blockBytes: number
  /** Of the newest record. */
  sequence: number
  /** Number of the last session. */
  session: number
  /** Everything up to this sequence was said to be safe elsewhere. */
  pulled: number
}

/** A record as it stands in the base's flash. */
export interface StoredRecord {
  address: number
  /** All of it: header, payload and checksum. */
  bytes: Uint8Array
  version: number
  kind: number
  sequence: number
  payload: Uint8Array
}

/** A block of flash, as far as it has been read: from its beginning on. */
export interface Block {
  address: number
  /** Up to the end of the block, or of what is written. */
  bytes: number
  known: Uint8Array
  /** How much to ask for next. */
  piece: number
}

/** A line that loses every other request still answers one of these. */
const TRIES = 12
/** What the base gives at most in one reply; no record is longer. */
const PIECE_BYTES = 256
const LEAST_PIECE_BYTES = 16
/** -31000: refused, and asking again changes nothing. */
const IN_SESSION = 'Not in a session'

/** Answers came, and none of them whole. */
export class GarbledError extends Error {}

/** Whether the base refused because a session runs. */
export function isInSession(thrown: unknown): boolean {
  return thrown instanceof RemoteError && thrown.message === IN_SESSION
}

/** Asks until `read` makes something of the answer; `params` are made anew for each try. Each of these questions may be asked twice. */
export async function askAgain<T>(
  ask: Ask,
  method: string,
  params: () => unknown,
  read: (answer: unknown, asked: unknown) => T | undefined,
): Promise<T> {
  let last: unknown
  for (let tries = 0; tries < TRIES; tries++) {
    try {
      const asked = params()
      const value = read(await ask(method, asked), asked)
      if (value !== undefined) return value
    } catch (thrown) {
      const isLost = thrown instanceof LinkError && thrown.trouble === 'noAnswer'
      if (isInSession(thrown) || !(isLost || thrown instanceof RemoteError)) throw thrown
      last = thrown
    }
  }
  throw last ?? new GarbledError(method)
}

/** For answers that carry no checksum: asks until two in a row are the same. */
export async function askTwice<T>(ask: Ask, method: string, read: (answer: unknown) => T | undefined): Promise<T> {
  let before = ''
  return askAgain(
    ask,
    method,
    () => undefined,
    answer => {
      const value = read(answer)
      const now = JSON.stringify(value)
      const isSame = now === before
      before = now
      return isSame ? value : undefined
    },
  )
}

export function askOver(remote: Remote): Ask {
  return (method, params) => remote.request(method, params)
}

export function readListing(answer: unknown): Listing | undefined {
  const { areas, blockBytes, sequence, session, pulled } = (answer ?? {}) as { [key: string]: unknown }
  const whole = (value: unknown): value is number => Number.isInteger(value) && (value as number) >= 0
  if (![blockBytes, sequence, session, pulled].every(whole) || blockBytes === 0 || !Array.isArray(areas))
    return undefined
  const isArea = (one: unknown): boolean => Array.isArray(one) && one.length === 2 && one.every(whole)
  return areas.every(isArea) ? ({ areas, blockBytes, sequence, session, pulled } as Listing) : undefined
}

/** The blocks of a listing, oldest first. */
export function blocksOf({ areas, blockBytes }: Listing): Block[] {
  const blocks: Block[] = []
  for (const [begin, bytes] of areas) {
    for (let at = 0; at < bytes; at += blockBytes) {
      blocks.push({
        address: begin + at,
        bytes: Math.min(blockBytes, bytes - at),
        known: new Uint8Array(0),
        piece: PIECE_BYTES,
      })
    }
  }
  return blocks
}

/**
 * Reads on until at least so many bytes of the block are known. Over a noisy line a short reply comes whole where a long one
 * does not: each failure halves what is asked for, each success doubles it again.
 */
async function readOn(ask: Ask, block: Block, bytes: number): Promise<void> {
  while (block.known.length < bytes) {
    const address = block.address + block.known.length
    let piece = 2 * block.piece
    const more = await askAgain(
      ask,
      'journal.read',
      () => {
        piece = Math.max(LEAST_PIECE_BYTES, Math.floor(piece / 2))
        return { address, bytes: Math.min(piece, block.bytes - block.known.length) }
      },
      (answer, asked) => bytesIn(answer, address, (asked as { bytes: number }).bytes),
    )
    block.piece = Math.min(PIECE_BYTES, 2 * piece)
    const known = new Uint8Array(block.known.length + more.length)
    known.set(block.known)
    known.set(more, block.known.length)
    block.known = known
  }
}

/** The bytes in a reply of `journal.read`; `undefined` when they are not those that were asked for. */
function bytesIn(answer: unknown, address: number, bytes: number): Uint8Array | undefined {
  const { address: from, data, crc32: sum } = (answer ?? {}) as { address?: unknown; data?: unknown; crc32?: unknown }
  if (from !== address || typeof data !== 'string' || !/^\d{1,3}(,\d{1,3})*$/.test(data)) return undefined
  const values = data.split(',').map(Number)
  const read = Uint8Array.from(values)
  return values.length === bytes && values.every(value => value < 256) && crc32(read) === sum ? read : undefined
}

/** Sequence of the record that a block begins with; `undefined` when there is none. */
export async function firstSequence(ask: Ask, block: Block): Promise<number | undefined> {
  await readOn(ask, block, Math.min(PIECE_BYTES, block.bytes))
  return recordAt(block, 0)?.sequence
}

/** Every whole record of a block, in order; what is damaged is stepped over, as the base itself does (`area.ts`). */
export async function* recordsIn(ask: Ask, block: Block): AsyncGenerator<StoredRecord> {
  let at = 0
  while (at + HEADER_BYTES <= block.bytes) {
    await readOn(ask, block, at + HEADER_BYTES)
    const claimed = claimedBytes(block.known.subarray(at, at + HEADER_BYTES))
    if (claimed > 0 && at + claimed <= block.bytes) await readOn(ask, block, at + claimed)
    const record = recordAt(block, at)
    if (record !== undefined) yield record
    at += record === undefined ? 4 : record.bytes.length
  }
}

function recordAt(block: Block, at: number): StoredRecord | undefined {
  const found = createFound()
  if (!decodeRecord(block.known.subarray(at), block.address + at, crc32, found)) return undefined
  const bytes = block.known.slice(at, at + found.bytes)
  const { address, version, kind, sequence } = found
  return { address, bytes, version, kind, sequence, payload: bytes.subarray(HEADER_BYTES, -4) }
}

/** The checksum in a record's last four bytes. */
export function checksumOf(record: StoredRecord): number {
  return new DataView(record.bytes.buffer, record.bytes.byteOffset).getUint32(record.bytes.length - 4, true)
}
