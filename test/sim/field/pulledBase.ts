/** A base in memory whose journal is pulled, and an account of every record that its flash ever took whole. */
import { mkdtempSync, readFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { appendRecord, forEachRecord, type Journal } from '../../../firmware/journal/journal.ts'
import type { Keeper } from '../../../firmware/journal/keeper.ts'
import { createFound, decodeRecord, KIND, putWord } from '../../../firmware/journal/record.ts'
import { crc32 } from '../../../sim/crc32.ts'
import { parseJournal, type SavedRecord } from '../../../sim/field/journalFile.ts'
import { type Pulled, pull } from '../../../sim/field/pull.ts'
import type { Ask } from '../../../sim/field/storeOverLine.ts'
import { pulled as cablePulled, noAnswer } from '../../../sim/link/messages.ts'
import { RemoteError } from '../../../sim/link/remote.ts'
import { call, createRig, OPTIONS, type Rig, wait } from '../../firmware/console/rig.ts'
import { TornStore } from '../../firmware/journal/tornStore.ts'

export const SERIAL = 'bench-1'

/** A torn store that remembers what it took whole: the bytes of each record by its sequence. */
class AccountedStore extends TornStore {
  readonly taken = new Map<number, string>()

  override write(address: number, data: Uint8Array): void {
    try {
      super.write(address, data)
    } finally {
      const found = createFound()
      const stands = this.cells.slice(address, address + data.length)
      if (decodeRecord(stands, address, crc32, found)) this.taken.set(found.sequence, hex(stands))
    }
  }
}

export interface PulledBase {
  store: AccountedStore
  rig: Rig
  /** Requests since the start, and what is done before one: for tests that step in. */
  asked: number
  before: (asked: number, method: string) => void
  ask: Ask
}

export function createPulledBase(bytes = 8192, blockBytes = 1024): PulledBase {
  const store = new AccountedStore(bytes, blockBytes)
  const base: PulledBase = {
    store,
    rig: createRig(undefined, OPTIONS, store),
    asked: 0,
    before: () => {},
    ask: async (method, params) => {
      base.before(++base.asked, method)
      const reply = call(base.rig, method, params)
      // The power has gone in this request: nothing of it comes back.
      if (store.dead) throw cablePulled('port')
      if (reply.error !== undefined) throw new RemoteError(reply.error.code, reply.error.message, reply.error.data)
      return JSON.parse(JSON.stringify(reply.result))
    },
  }
  return base
}

export const lost = (): Error => noAnswer('journal.read', 1)
export const gone = (): Error => cablePulled('port')

export function restart(base: PulledBase): void {
  base.store.restorePower()
  base.rig = createRig(undefined, OPTIONS, base.store)
}

export function journalOf(base: PulledBase): Journal {
  return (base.rig.base.keeper as Keeper).journal
}

/** Records as a session writes them, one after the other with some ticks in between. */
export function write(base: PulledBase, records: number, from = 0): void {
  for (let i = 0; i < records && !base.store.dead; i++) {
    const number = from + i
    const payload = new Uint8Array(number % 9 === 8 ? 40 : 60)
    putWord(payload, 0, number)
    for (let k = 4; k < payload.length; k++) payload[k] = (number * 31 + k * 7) & 0xff
    appendRecord(journalOf(base), number % 9 === 8 ? KIND.summary : KIND.checkpoint, payload)
    const keeper = base.rig.base.keeper as Keeper
    keeper.tending = true
    wait(base.rig, 0.3)
  }
}

/** Until the journal has no work of its own left, unless its power goes. */
export function settle(base: PulledBase): void {
  while (base.rig.base.keeper?.tending === true && !base.store.dead) wait(base.rig, 0.1)
}

export function hex(bytes: Uint8Array): string {
  return Buffer.from(bytes).toString('hex')
}

/** What the base's flash holds now. */
export function heldBy(base: PulledBase): number[] {
  const held: number[] = []
  forEachRecord(journalOf(base), found => held.push(found.sequence))
  return held
}

export function newFolder(): string {
  return mkdtempSync(join(tmpdir(), 'evenbath-pull-'))
}

export function pullTo(base: PulledBase, path: string, serial = SERIAL): Promise<Pulled> {
  return pull({ ask: base.ask, serial, path, report: () => {} })
}

export function recordsOf(path: string): SavedRecord[] {
  return parseJournal(readFileSync(path), path).records
}

export function sequences(path: string): number[] {
  return recordsOf(path).map(record => record.sequence)
}
