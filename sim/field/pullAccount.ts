/** What a pulled file holds and what it lacks, reckoned from its records alone. */
import { readSessionBegun, readSummary } from '../../firmware/journal/payloads.ts'
import { KIND } from '../../firmware/journal/record.ts'
import type { SavedRecord } from './journalFile.ts'
import type { Listing } from './storeOverLine.ts'

/** From and to, both among them. */
export type Span = [number, number]

export interface Missing {
  /** Sequences that are not in this file because an earlier pull took them to another one. */
  elsewhere: Span[]
  /** Sequences that the base wrote over before anybody pulled them, and those that stand damaged on it: since the last whole pull. */
  overwritten: Span[]
  damaged: Span[]
}

/**
 * Which sequences the file lacks, and why. Those since the last whole pull are named again after a broken one, which had
 * no time to. `oldest`: of the records that the base has, 0 where that is not known; an area that was written over ends
 * where the next begins.
 */
export function missingIn(
  all: SavedRecord[],
  lastBefore: number,
  oldest: number,
  { pulled, sequence: newest }: Listing,
): Missing {
  const missing: Missing = { elsewhere: [], overwritten: [], damaged: [] }
  const note = (spans: Span[], from: number, to: number): void => {
    if (from <= to) spans.push([from, to])
  }
  let last = 0
  for (const { sequence, kind } of all) {
    const isOver = sequence <= oldest || kind === KIND.areaBegun
    note(missing.elsewhere, Math.max(last, lastBefore) + 1, Math.min(sequence - 1, pulled))
    note(isOver ? missing.overwritten : missing.damaged, Math.max(last, pulled) + 1, sequence - 1)
    last = sequence
  }
  note(missing.damaged, Math.max(last, pulled) + 1, newest)
  return missing
}

/** Numbers of the sessions of which there is a beginning or a summary. */
export function sessionsIn(records: SavedRecord[]): Set<number> {
  const sessions = new Set<number>()
  for (const { kind, payload } of records) {
    const one =
      kind === KIND.sessionBegun ? readSessionBegun(payload) : kind === KIND.summary ? readSummary(payload) : undefined
    if (one !== undefined) sessions.add(one.session)
  }
  return sessions
}
