/**
 * What the firmware costs the engine it runs on: a session against the simulated base, timed part by part, with a
 * reference loop timed in between so that a busy machine slows both. One figure is seconds over seconds of one loop turn.
 *
 * Works on any engine that is handed a clock; on one whose clock is coarse the single ticks cannot be told, the sums can.
 */
import { tickAgitation } from '../../firmware/agitation/agitation.ts'
import { type Base, tick } from '../../firmware/base.ts'
import { tickClock } from '../../firmware/clock/clock.ts'
import { tickEnergy } from '../../firmware/energy/energy.ts'
import { updatePanel } from '../../firmware/panel/panel.ts'
import { readBoard } from '../../firmware/readings.ts'
import { senseBath } from '../../firmware/sense/bathSense.ts'
import { sensePack } from '../../firmware/sense/pack.ts'
import { senseRotation } from '../../firmware/sense/rotation.ts'
import { senseButtons } from '../../firmware/session/buttons.ts'
import { stepSession } from '../../firmware/session/session.ts'
import { movePlant, type Rehearsal, tickFirmware } from './rehearsal.ts'

/** All in turns of the reference loop. */
export interface Cost {
  /** One simulated second of the firmware and of the plant: medians over blocks of ten seconds, each with its own reference. */
  firmware: number
  plant: number
  /** The worst tick, by the shortest turn that was seen; and when it was, in simulated seconds. */
  worst: number
  worstAt: number
  /** What one turn takes of the engine's clock, in seconds. */
  turnSeconds: number
}

/** The room, and the turns that it takes for one simulated second. */
export type RoomCost = [string, number]

/** The reference: three statements on floating-point numbers (DESIGN, budgets). Gives the seconds of one turn. */
export function turnSeconds(turns: number, now: () => number): number {
  let s = 0
  let k = 4
  let i = 0
  const began = now()
  while (i < turns) {
    s += k / (2 * i + 1)
    k = -k
    i++
  }
  const took = (now() - began) / turns
  // Nobody needs pi; but an engine that is clever may leave out what nobody asks for.
  return s > 0 ? took : NaN
}

/** As long as some ticks take. */
const TURNS = 500
const TICKS_A_SECOND = 10
const BLOCK_SECONDS = 10

/** Runs so many blocks of ten seconds of the session from where it is. */
export function timeSession(r: Rehearsal, blocks: number, now: () => number): Cost {
  const firmware: number[] = []
  const plant: number[] = []
  const turns: number[] = []
  let worstSeconds = 0
  let worstAt = 0
  for (let block = 0; block < blocks; block++) {
    let turnSum = 0
    let firmwareSum = 0
    let plantSum = 0
    for (let i = 0; i < BLOCK_SECONDS * TICKS_A_SECOND; i++) {
      if (i % TICKS_A_SECOND === 0) turnSum += turnSeconds(TURNS, now)
      const began = now()
      tickFirmware(r)
      const ticked = now()
      movePlant(r)
      plantSum += now() - ticked
      firmwareSum += ticked - began
      if (ticked - began <= worstSeconds) continue
      worstSeconds = ticked - began
      worstAt = r.base.estimates.nowSeconds
    }
    turns.push(turnSum / BLOCK_SECONDS)
    firmware.push(firmwareSum / turnSum)
    plant.push(plantSum / turnSum)
  }
  const turn = median(turns)
  return { firmware: median(firmware), plant: median(plant), worst: worstSeconds / turn, worstAt, turnSeconds: turn }
}

function median(values: number[]): number {
  const sorted = values.slice().sort((one, other) => one - other)
  return sorted[sorted.length >> 1]
}

const ROOMS = [
  'board',
  'buttons',
  'pack',
  'rotation',
  'bath',
  'clock',
  'energy',
  'session',
  'agitation',
  'motor',
  'panel',
]

/** The same room by room, as `firmware/base.ts` calls them; for a stretch in which nothing happens. */
export function timeRooms(r: Rehearsal, blocks: number, now: () => number): RoomCost[] {
  const found: number[][] = ROOMS.map(() => [])
  for (let block = 0; block < blocks; block++) {
    const sums = ROOMS.map(() => 0)
    let turnSum = 0
    for (let i = 0; i < BLOCK_SECONDS * TICKS_A_SECOND; i++) {
      if (i % TICKS_A_SECOND === 0) turnSum += turnSeconds(TURNS, now)
      timeTick(r.base, sums, now)
      movePlant(r)
    }
    for (let i = 0; i < sums.length; i++) found[i].push(sums[i] / turnSum)
  }
  return ROOMS.map((room, i): RoomCost => [room, median(found[i])])
}

function timeTick(base: Base, sums: number[], now: () => number): void {
  const { readings, estimates, session, agitation, panel } = base
  const underway = session.underway
  let room = 0
  let last = now()
  const done = (): void => {
    const at = now()
    sums[room++] += at - last
    last = now()
  }
  base.slowDueSeconds = readBoard(base.board, readings, base.slowDueSeconds)
  estimates.nowSeconds = readings.nowSeconds
  estimates.tickSeconds = readings.tickSeconds
  estimates.slow = readings.slow
  done()
  senseButtons(base.buttons, readings, estimates)
  done()
  sensePack(base.packSense, readings, estimates)
  done()
  senseRotation(base.rotationSense, readings, underway, estimates)
  done()
  senseBath(base.bathSense, readings, underway, estimates)
  done()
  tickClock(base.clock, estimates, underway)
  done()
  tickEnergy(base.energy, estimates, agitation.view, !panel.dark)
  done()
  stepSession(session, estimates, base.clock.view, agitation.view, base.energy.view)
  done()
  tickAgitation(agitation, estimates, session.want, base.energy.view.shedding)
  done()
  underway.motorDuty = agitation.view.duty
  base.board.motor.write(agitation.view.duty)
  base.board.watchdog.write(true)
  done()
  updatePanel(panel, session, base.clock.view, base.energy.view, estimates)
  if (panel.changed) base.board.screen.write(panel.frame)
  if (panel.tonesChanged) base.board.sounder.write(panel.tones)
  done()
}

/** Runs the session on until that bath has turned for so long. False where it never comes to that. */
export function runTo(r: Rehearsal, bathIndex: number, turnedSeconds: number): boolean {
  const session = r.base.session
  for (let i = 0; i < 72_000; i++) {
    if (session.bathIndex === bathIndex && session.state === 'turning') {
      if (r.base.estimates.nowSeconds - session.stateSeconds >= turnedSeconds) return true
    }
    tick(r.base)
    movePlant(r)
  }
  return false
}
