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

export interface Cost {
  /** Simulated seconds that were timed. */
  seconds: number
  /** Of the clock: one turn of the reference loop, the firmware and the plant for one simulated second, and the worst ticks. */
  turnSeconds: number
  firmwareSeconds: number
  plantSeconds: number
  worstSeconds: number
  /** When the worst tick was, in simulated seconds. */
  worstAt: number
}

/** The room, and the clock's seconds that it takes for one simulated second. */
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

const TURNS = 300
const TICKS_A_SECOND = 10

/** Runs `seconds` of the session from where it is. */
export function timeSession(r: Rehearsal, seconds: number, now: () => number): Cost {
  const cost = { seconds, turnSeconds: 0, firmwareSeconds: 0, plantSeconds: 0, worstSeconds: 0, worstAt: 0 }
  for (let second = 0; second < seconds; second++) {
    cost.turnSeconds += turnSeconds(TURNS, now)
    for (let i = 0; i < TICKS_A_SECOND; i++) {
      const began = now()
      tickFirmware(r)
      const ticked = now()
      movePlant(r)
      cost.plantSeconds += now() - ticked
      const took = ticked - began
      cost.firmwareSeconds += took
      if (took <= cost.worstSeconds) continue
      cost.worstSeconds = took
      cost.worstAt = r.base.estimates.nowSeconds
    }
  }
  cost.turnSeconds /= seconds
  cost.firmwareSeconds /= seconds
  cost.plantSeconds /= seconds
  return cost
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

/** The same, room by room, as `firmware/base.ts` calls them; for a stretch in which nothing happens. Gives seconds of the clock a simulated second. */
export function timeRooms(r: Rehearsal, seconds: number, now: () => number): RoomCost[] {
  const sums: number[] = []
  for (let i = 0; i < ROOMS.length; i++) sums.push(0)
  for (let i = 0; i < seconds * TICKS_A_SECOND; i++) {
    timeTick(r.base, sums, now)
    movePlant(r)
  }
  return ROOMS.map((room, i): RoomCost => [room, sums[i] / seconds])
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
  updatePanel(panel, session, base.clock.view, base.energy.view, estimates, session.recipe)
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
