/**
 * Compacting the engine's file store, which otherwise is only done when the store is full, at a moment of the engine's
 * choosing. A page of it is in memory alone from its erase until it is written again: a power cut then loses what lay
 * on that page, firmware slots, recipes or journal, and in the worst case the store's chain and so all of it. What is
 * left then is the engine's own prompt, and the laptop uploads again.
 *
 * So only with the motor at rest, on external power, with nothing unread in the journal. The code that runs may itself
 * be moved, so the last steps are run from memory and end in a restart.
 */
import type { EspruinoBoard } from './board.ts'
import type { Engine } from './engine.ts'
import type { Wiring } from './wiring/wiring.ts'

/** How many texts of such a size can still be written before the store has to be compacted. */
export function writesLeft(engine: Engine, characters: number): number {
  return writesIn(engine.require('Storage').getFree(), characters)
}

/** How many there could be if it were compacted. */
export function writesWon(engine: Engine, characters: number): number {
  const storage = engine.require('Storage')
  return writesIn(storage.getFree() + storage.getStats().trashBytes, characters)
}

function writesIn(freeBytes: number, characters: number): number {
  const bytes = Math.ceil((characters + 48) / 4) * 4
  return Math.max(0, Math.floor((freeBytes - 4096) / bytes))
}

/** Compacts and restarts, or says why not. */
export function tidy(engine: Engine, board: EspruinoBoard, wiring: Wiring, unread: boolean): string | undefined {
  if (wiring.compactedBy !== 'base') return 'by the laptop'
  if (board.motor.driven) return 'motor'
  if (board.externalPower() !== true) return 'not on external power'
  if (unread) return 'journal unread'
  if (engine.require('Storage').getStats().trashBytes === 0) return 'nothing to do'
  board.close()
  // Kicked once more: compacting takes seconds.
  engine.E.enableWatchdog(wiring.watchdog.restSeconds, true)
  engine.setTimeout('require("Storage").compact();E.reboot()', 1)
  return undefined
}
