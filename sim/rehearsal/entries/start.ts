/**
 * The join of a rehearsal for a wiring: the real board, the simulated base on it, and the heartbeat that steps it. The guard is
 * told that it is healthy after a minute, as of any firmware.
 */
import { type EspruinoBoard, openEspruinoBoard } from '../../../hal/espruino/board.ts'
import type { Engine } from '../../../hal/espruino/engine.ts'
import { engineOfGlobals } from '../../../hal/espruino/globals.ts'
import type { Guard } from '../../../hal/espruino/guard/guard.ts'
import { startHeartbeat } from '../../../hal/espruino/heartbeat.ts'
import type { Wiring } from '../../../hal/espruino/wiring/wiring.ts'
import { beat, type OnBoard, openOnBoard } from '../onBoard.ts'
import { standardRehearsal } from '../standard.ts'

/** The build's; there is none where this runs unbundled. */
declare const EVENBATH_VERSION: string
const VERSION = typeof EVENBATH_VERSION === 'undefined' ? '' : EVENBATH_VERSION
declare const global: { guard?: Guard }

const HEALTHY_BEATS = 600

/** Starts the rehearsal on the engine that this code runs on. */
export function startRehearsal(wiring: Wiring): void {
  joinRehearsal(engineOfGlobals(), global.guard, wiring)
}

export interface JoinedRehearsal {
  board: EspruinoBoard
  on: OnBoard
}

export function joinRehearsal(engine: Engine, guard: Guard | undefined, wiring: Wiring): JoinedRehearsal {
  const board = openEspruinoBoard(engine, wiring)
  const identity = {
    version: VERSION,
    wiring: wiring.name,
    serial: engine.getSerial(),
    kind: 'rehearsal' as const,
    slot: guard === undefined ? '' : guard.slot,
    good: () => guard !== undefined && guard.good,
  }
  const on = openOnBoard(board, identity, (hand, shown, console) =>
    standardRehearsal({ hand: hand, shown: shown, console: console }),
  )
  let beats = 0
  startHeartbeat(
    engine,
    board,
    () => {
      beat(on)
      if (++beats === HEALTHY_BEATS && guard !== undefined && on.rehearsal.base.mishaps === 0) guard.healthy()
    },
    () => {},
  )
  return { board: board, on: on }
}
