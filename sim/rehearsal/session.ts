/**
 * A whole rehearsal without a pause, as lines of text: what every engine is compared by. Ends when the session does, or
 * with what went wrong inside.
 */
import type { SessionEvent } from '../../firmware/session/events.ts'
import { STEP_SECONDS } from '../plant/plant.ts'
import { eventLine, telemetryLine } from './lines.ts'
import { isOver, movePlant, type Rehearsal, tickFirmware } from './rehearsal.ts'

const TELEMETRY_STEPS = 30 / STEP_SECONDS
/** Two hours: no recipe that ships takes so long. */
const STEPS_AT_MOST = 7200 / STEP_SECONDS

export function rehearse(r: Rehearsal, print: (line: string) => void): void {
  const { session } = r.base
  const { plant } = r
  print('rehearsal ' + plant.recipe.name + ' seed ' + plant.evening.seed)
  while (!isOver(r) && plant.steps < STEPS_AT_MOST) {
    tickFirmware(r)
    for (let i = 0; i < session.eventCount; i++) print(eventLine(r, session.events[i] as SessionEvent))
    if (plant.steps % TELEMETRY_STEPS === 0) print(telemetryLine(r))
    movePlant(r)
  }
  print('end ' + session.state + ' after ' + plant.steps + ' steps, ' + r.base.mishaps + ' mishaps')
}
