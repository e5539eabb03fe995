/**
 * The journal read back over the line, at rest: where it lies, its bytes as they stand, and the laptop's word that they
 * are on its disk, which it proves by the checksum of the record that it names. Nothing here writes but that word.
 */
import type { Base } from '../base.ts'
import { readRecord } from '../journal/area.ts'
import type { Journal } from '../journal/journal.ts'
import { KEEPS, type Keeper, notePulled } from '../journal/keeper.ts'
import { CRC_BYTES, word } from '../journal/record.ts'
import { type Fields, own } from '../recipe/ownKeys.ts'
import { BAD_PARAMS, type Console, fail, REFUSED } from './consoleState.ts'

const WORD = ' whole 0 to 4294967295'
/** A longest record, so that the first of a block comes in one piece; four characters a byte are a quarter of the line's queue. */
export const READ_PARAMS = ['address' + WORD, 'bytes whole 1 to 256']
export const PULLED_PARAMS = ['sequence' + WORD, 'address' + WORD, 'crc32' + WORD]

function journalOf(line: Console, base: Base): Journal | undefined {
  return base.keeper === undefined ? fail(line, REFUSED, 'No journal') : base.keeper.journal
}

export function listJournal(line: Console, base: Base): unknown {
  const journal = journalOf(line, base)
  if (!KEEPS || journal === undefined) return undefined
  const begin = journal.area * journal.areaBytes
  const isOlder = journal.carryAddress >= 0 || journal.eraseAddress >= 0
  return {
    areas: [
      [journal.areaBytes - begin, isOlder ? journal.areaBytes : 0],
      [begin, journal.freeAddress - begin],
    ],
    blockBytes: journal.store.blockBytes,
    sequence: journal.sequence,
    session: (base.keeper as Keeper).session,
    pulled: journal.pulled,
  }
}

export function readJournal(line: Console, base: Base, params: Fields): unknown {
  const journal = journalOf(line, base)
  if (!KEEPS || journal === undefined) return undefined
  const address = own(params, 'address') as number
  const bytes = own(params, 'bytes') as number
  if (address + bytes > journal.store.bytes) return fail(line, BAD_PARAMS, 'Beyond the end')
  const data = journal.store.read(address, bytes)
  // Joined by the engine: a loop over the bytes would take a board a tenth of a second.
  return { address: address, data: data.join(','), crc32: base.board.crc32(data) }
}

export function takePulled(line: Console, base: Base, params: Fields): unknown {
  const journal = journalOf(line, base)
  if (!KEEPS || journal === undefined) return undefined
  const sequence = own(params, 'sequence') as number
  const found = journal.found
  const there = readRecord(journal.store, journal.crc32, own(params, 'address') as number, 2 * journal.areaBytes, found)
  const sum = there ? word(journal.store.read(found.address + found.bytes - CRC_BYTES, CRC_BYTES), 0) : NaN
  if (sum !== own(params, 'crc32') || found.sequence !== sequence) return fail(line, REFUSED, 'No such record')
  notePulled(base.keeper as Keeper, sequence)
  return { pulled: journal.pulled }
}
