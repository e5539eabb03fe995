/**
 * Promises over a reset: the base knows which bath it was in and says that it was dark; and the journal can be read at
 * any time, the newest checkpoint no older than it should be.
 *
 * Flash that fails excuses both, for the rest of the session: the base has then said so with alarm 51 or 52, or lost at
 * most what was torn.
 */
import type { Base } from '../../../firmware/base.ts'
import { forEachRecord, openJournal } from '../../../firmware/journal/journal.ts'
import { readCheckpoint } from '../../../firmware/journal/payloads.ts'
import { KIND } from '../../../firmware/journal/record.ts'
import { ALARMS, POWER_WAS_GONE, SESSION_LOST } from '../../../firmware/session/alarmTable.ts'
import { isUnderWay, stateAfterDark } from '../../../firmware/session/resumeSession.ts'
import type { SessionState } from '../../../firmware/session/table.ts'
import type { ByteStore } from '../../../hal/board.ts'
import { crc32 } from '../../crc32.ts'
import { broke, type Check, judge, type Watch } from './watch.ts'

const CALLING = 2
/** What happened in the last tick may not have been written yet. */
const SURELY_WRITTEN_SECONDS = 0.5
/** Reading the whole journal takes a while: it is looked at so often. */
const READ_EVERY_SECONDS = 250
/** A checkpoint every 5 s; ticks may be late. */
const CHECKPOINT_SECONDS = 7

/** The bytes as they are, in a store that takes what is written to it and forgets it. */
function copyOf(store: ByteStore): ByteStore {
  const bytes = store.read(0, store.bytes)
  return {
    bytes: store.bytes,
    blockBytes: store.blockBytes,
    read: (address, length) => bytes.slice(address, address + length),
    write() {},
    erase() {},
    close() {},
  }
}

/** The cue may have become due in the dark: it comes with the first tick. */
function isSame(state: SessionState, expected: SessionState): boolean {
  return state === expected || state === `${expected}Due`
}

export function createResetCheck(): Check {
  let before: { state: SessionState; bathIndex: number; sinceSeconds: number } | undefined
  let restarted = false
  let readSeconds = -Infinity

  function checkResumed(watch: Watch, base: Base): void {
    restarted = false
    const was = before
    if (was === undefined || !isUnderWay(was.state)) return
    judge(watch, 'resumes')
    const { session } = base
    const named = (session.alarms.level[POWER_WAS_GONE] as number) >= CALLING
    const lost = (session.alarms.level[SESSION_LOST] as number) >= CALLING
    const seen = `${session.state} in bath ${session.bathIndex + 1}`
    const expected = `${was.state} in bath ${was.bathIndex + 1}`
    if (lost) broke(watch, 'resumes', `alarm ${ALARMS[SESSION_LOST].number}, it was ${expected}`)
    else if (!isSame(session.state, stateAfterDark(was.state)) || session.bathIndex !== was.bathIndex) {
      broke(watch, 'resumes', `${seen}, it was ${expected}`)
    } else if (!named) broke(watch, 'resumes', `no alarm ${ALARMS[POWER_WAS_GONE].number}, it was ${expected}`)
  }

  function checkJournal(watch: Watch, base: Base): void {
    const { keeper } = base
    if (keeper === undefined || watch.rig.store.torn) return
    readSeconds = watch.nowSeconds
    judge(watch, 'journalReadable')
    let newest = NaN
    try {
      const journal = openJournal(copyOf(watch.rig.store), crc32)
      forEachRecord(journal, record => {
        if (record.kind !== KIND.checkpoint) return
        const checkpoint = readCheckpoint(record.payload)
        if (checkpoint !== undefined && checkpoint.session === keeper.session) newest = checkpoint.sessionSeconds
      })
    } catch (thrown) {
      broke(watch, 'journalReadable', `it cannot be read: ${(thrown as Error).message}`)
      return
    }
    const age = base.estimates.nowSeconds - keeper.begunAtSeconds - newest
    if (!(age < CHECKPOINT_SECONDS)) broke(watch, 'journalReadable', `its newest checkpoint is ${age.toFixed(1)} s old`)
  }

  return {
    tick(watch, base) {
      const { session } = base
      if (restarted) checkResumed(watch, base)
      if (before === undefined || before.state !== session.state || before.bathIndex !== session.bathIndex) {
        before = {
          state: session.state,
          bathIndex: session.bathIndex,
          sinceSeconds: watch.nowSeconds,
        }
      }
      if (!isUnderWay(session.state)) return
      if (isNaN(readSeconds)) readSeconds = watch.nowSeconds - READ_EVERY_SECONDS + CHECKPOINT_SECONDS
      if (
        watch.nowSeconds - readSeconds > READ_EVERY_SECONDS &&
        watch.nowSeconds - before.sinceSeconds > SURELY_WRITTEN_SECONDS
      ) {
        checkJournal(watch, base)
      }
    },
    restarted() {
      restarted = true
      readSeconds = NaN
    },
  }
}
