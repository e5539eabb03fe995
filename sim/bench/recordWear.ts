/** How long the flash lasts that the journal is kept in, by the bytes that a session writes. */
import { CHECKPOINT_SECONDS } from '../../firmware/journal/darkTime.ts'
import { SUMMARIES_KEPT } from '../../firmware/journal/journal.ts'
import { checkpointBytes, createCheckpoint, eventBytes } from '../../firmware/journal/payloads.ts'
import { recordBytes } from '../../firmware/journal/record.ts'

/** The reference board's journal: two areas of two blocks of 4,096 bytes. */
const JOURNAL_BYTES = 16_384
/** Of the reference board's flash chip: at least so many erasures of a sector (Winbond W25Q16JV data sheet, features). */
const ERASURES = 100_000
/** Begun, filled, cue, drained, ended: each with a checkpoint behind it. */
const EVENTS_OF_A_BATH = 5
/** A summary's payload with the name of a recipe in it; and what else an area begins with: that it does, what was learned, how far it was pulled. */
const SUMMARY_BYTES = 64
const ANEW_BYTES = 300
/** Session begun, its summary and that once more after the developer, what was learned, the board's start (assumed: a start for each session). */
const OTHER_BYTES = 480

export interface RecordWear {
  bytesOfSession: number
  /** At one session a day, once the base has as many sessions behind it as it keeps summaries of. */
  years: number
}

export function recordWear(seconds: number, baths: number): RecordWear {
  const checkpoint = recordBytes(checkpointBytes(createCheckpoint()).length)
  const event = recordBytes(
    eventBytes({ session: 1, kind: 'cueGiven', bathIndex: 0, alarm: 0, sessionSeconds: 0, seconds: 0 })?.length ?? 0,
  )
  const bytesOfSession = Math.round(
    (seconds / CHECKPOINT_SECONDS) * checkpoint + baths * EVENTS_OF_A_BATH * (event + checkpoint) + OTHER_BYTES,
  )
  // Each area begins with what is carried over, half of it at most; every block is erased once for each time that both have been filled.
  const carried = Math.min(SUMMARIES_KEPT * recordBytes(SUMMARY_BYTES), JOURNAL_BYTES / 4) + ANEW_BYTES
  return { bytesOfSession, years: (ERASURES * (JOURNAL_BYTES - 2 * carried)) / bytesOfSession / 365.25 }
}
