/**
 * Brings the journal of a base to a file: only what is not there yet, each record whole and on the disk for good before the
 * base is told that it may let go of it. Assumes that the transfer may end at any moment, on either side: the next one
 * goes on where this one stopped, and nothing that is on disk is overwritten.
 *
 * A session under way ends it with the base's refusal (`isInSession`), the port with `LinkError`, the disk with
 * `InputError`; what was brought until then is kept.
 */

import { KIND } from '../../firmware/journal/record.ts'
import { RemoteError } from '../link/remote.ts'
import type { JournalFile, SavedRecord } from './journalFile.ts'
import { type Missing, missingIn, sessionsIn } from './pullAccount.ts'
import { type Chosen, chooseFile, type OpenFile, openChosen } from './pullFile.ts'
import {
  type Ask,
  askAgain,
  askTwice,
  type Block,
  blocksOf,
  checksumOf,
  firstSequence,
  isInSession,
  type Listing,
  readListing,
  recordsIn,
  type StoredRecord,
} from './storeOverLine.ts'

export interface Pulled extends Missing {
  file: string
  /** The file that could not be gone on with, and why; `undefined` when the one that was wanted is `file`. */
  instead: { file: string; why: 'otherBase' | 'begunAnew'; serial: string } | undefined
  /** Bytes of a record that an earlier pull had left cut off. */
  cutBytes: number
  records: { new: number; total: number }
  sessions: { new: number; total: number }
  /** Up to here the base knows that all is safe. */
  safe: number
  /** The base did not believe the proof. */
  disbelieved: boolean
}

export interface PullOptions {
  ask: Ask
  serial: string
  /** The file that is wanted (`wantedPath`). */
  path: string
  /** How far it has got. */
  report: (doneBytes: number, ofBytes: number) => void
}

export async function pull({ ask, serial, path, report }: PullOptions): Promise<Pulled> {
  const listing = await askTwice(ask, 'journal.list', readListing)
  const blocks = blocksOf(listing)
  const { chosen, next, other } = chooseFile(path, serial)
  let instead: Pulled['instead'] = other === undefined ? undefined : { file: path, why: 'otherBase', serial: other }
  let to: Chosen = chosen
  let begin = await beginFor(ask, blocks, chosen.old)
  if (!(await follows(ask, blocks.slice(begin), chosen.old, serial, listing))) {
    instead = { file: chosen.path, why: 'begunAnew', serial }
    to = { path: next, old: undefined, cutBytes: 0, isNew: true }
    begin = 0
  }
  const before = to.old?.records ?? []
  const file = openChosen(to, serial)
  let got: Brought
  let safe: number | undefined
  try {
    got = await bring(ask, blocks, begin, lastOf(to.old), file, report)
    file.confirm()
    safe = await tell(ask, [...before, ...got.records], got.newest, listing)
  } finally {
    file.close()
  }
  const all = [...before, ...got.records]
  const known = sessionsIn(before)
  const total = sessionsIn(all)
  return {
    file: to.path,
    instead,
    cutBytes: to.cutBytes,
    records: { new: got.records.length, total: all.length },
    sessions: { new: total.size - known.size, total: total.size },
    ...missingIn(all, lastOf(to.old), got.oldest, listing),
    safe: safe ?? listing.pulled,
    disbelieved: safe === undefined,
  }
}

/** The block in which the first record that is not on disk may stand. */
async function beginFor(ask: Ask, blocks: Block[], old: JournalFile | undefined): Promise<number> {
  const last = lastOf(old)
  for (let i = last === 0 ? 0 : blocks.length - 1; i > 0; i--) {
    const first = await firstSequence(ask, blocks[i] as Block)
    if (first !== undefined && first <= last) return i
  }
  return 0
}

function lastOf(old: JournalFile | undefined): number {
  return old?.records.at(-1)?.sequence ?? 0
}

/**
 * Whether the base's records go on where the file ends: those that both have are the same. Where the base has written over
 * all that is in the file there is nothing to compare, and they are taken to.
 */
async function follows(
  ask: Ask,
  blocks: Block[],
  old: JournalFile | undefined,
  serial: string,
  listing: Listing,
): Promise<boolean> {
  if (old === undefined || old.records.length === 0) return true
  const last = lastOf(old)
  if (old.serial !== serial || last > listing.sequence) return false
  const saved = new Map(old.records.map(record => [record.sequence, record]))
  for (const block of blocks) {
    for await (const record of recordsIn(ask, block)) {
      if (record.sequence > last) return true
      const same = saved.get(record.sequence)
      if (same !== undefined && !isSame(same, record)) return false
    }
  }
  return true
}

function isSame(saved: SavedRecord, stored: StoredRecord): boolean {
  return (
    saved.version === stored.version &&
    saved.kind === stored.kind &&
    Buffer.compare(saved.payload, stored.payload) === 0
  )
}

interface Brought {
  records: SavedRecord[]
  /** Of the newest record in the file. */
  last: number
  /** The newest record that is on disk, as it stands on the base. */
  newest: StoredRecord | undefined
  /** Sequence of the oldest record that the base has; 0 where it was not looked for. */
  oldest: number
}

/** Reads the blocks from `begin` on, and writes what is new since the record `last` to the file. */
async function bring(
  ask: Ask,
  blocks: Block[],
  begin: number,
  last: number,
  file: OpenFile,
  report: PullOptions['report'],
): Promise<Brought> {
  const got: Brought = { records: [], last, newest: undefined, oldest: begin === 0 ? Infinity : 0 }
  const ofBytes = blocks.slice(begin).reduce((sum, block) => sum + block.bytes, 0)
  let doneBytes = 0
  for (const block of blocks.slice(begin)) {
    report(doneBytes, ofBytes)
    await bringBlock(ask, block, file, got)
    doneBytes += block.bytes
  }
  report(doneBytes, ofBytes)
  return got
}

/** However it ends, what has come is written. */
async function bringBlock(ask: Ask, block: Block, file: OpenFile, got: Brought): Promise<void> {
  const fresh: StoredRecord[] = []
  try {
    for await (const record of recordsIn(ask, block)) {
      if (record.sequence < got.oldest) got.oldest = record.sequence
      if (record.sequence > got.last) {
        fresh.push(record)
        got.last = record.sequence
      }
      if (record.sequence === got.last) got.newest = record
    }
  } finally {
    file.append(fresh.map(record => record.bytes))
    for (const { version, kind, sequence, payload } of fresh) got.records.push({ version, kind, sequence, payload })
  }
}

/**
 * Tells the base what is safe, unless it knows. Gives how far it now knows; `undefined` when it did not believe it. Its own
 * notes of earlier pulls alone are not worth another.
 */
async function tell(
  ask: Ask,
  all: SavedRecord[],
  newest: StoredRecord | undefined,
  { pulled }: Listing,
): Promise<number | undefined> {
  const isNews = all.some(record => record.sequence > pulled && record.kind !== KIND.pulled)
  if (newest === undefined || !isNews || newest.sequence <= pulled) return pulled
  const { sequence, address } = newest
  const proof = { sequence, address, crc32: checksumOf(newest) }
  try {
    return await askAgain(
      ask,
      'journal.pulled',
      () => proof,
      answer => {
        const { pulled: now } = (answer ?? {}) as { pulled?: unknown }
        return typeof now === 'number' && now >= sequence ? now : undefined
      },
    )
  } catch (thrown) {
    if (thrown instanceof RemoteError && !isInSession(thrown)) return undefined
    throw thrown
  }
}
