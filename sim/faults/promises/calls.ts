/**
 * Promises of the calls: a step that nobody ends is called out, whoever is late, away or forgetful.
 *
 * How long the base may wait is written down here anew, from what the operator is told of each alarm, and counted on the
 * checker's own time: from the state as it is seen, not from what the base believes of it. A hold has a promise of its own.
 */
import type { Base } from '../../../firmware/base.ts'
import { ALARMS, alarmPlace } from '../../../firmware/session/alarmTable.ts'
import type { SessionState } from '../../../firmware/session/table.ts'
import { broke, type Check, judge, type Watch } from './watch.ts'

const CALLING = 2
/** Alarms are looked for once a second; ticks may be late or missing. */
const LATE_SECONDS = 3.5
/** After these a person is surely asked for, in seconds: overdue in a bath that must end, in one that may go on. */
const OVERDUE_SECONDS = 20
const OVERDUE_AT_LEAST_SECONDS = 300
const POUR_SECONDS = 30
const POUR_TIMES = 3
const FILM_WAITS_SECONDS = 90
const FILM_WAITS_DEVELOPED_SECONDS = 45

/** What must stand by when: the alarm's number and the seconds after the state began. */
function whatCalls(base: Base): [number, number] | undefined {
  const { state, recipe, bathIndex } = base.session
  const bath = recipe.baths[bathIndex]
  switch (state) {
    case 'filling':
      return [42, Math.max(POUR_SECONDS, POUR_TIMES * recipe.pour.fillSeconds)]
    case 'draining':
      return [43, Math.max(POUR_SECONDS, POUR_TIMES * recipe.pour.drainSeconds)]
    case 'ready':
      return recipe.baths[bathIndex - 1]?.kind === 'developed'
        ? [45, FILM_WAITS_DEVELOPED_SECONDS]
        : [44, FILM_WAITS_SECONDS]
    case 'due':
    case 'fillingDue':
    case 'heldDue':
    case 'stoppedDue':
      return [41, bath?.kind === 'atLeast' ? OVERDUE_AT_LEAST_SECONDS : OVERDUE_SECONDS]
    default:
      return undefined
  }
}

/** One wait is one thing to be done: a hold or a stop does not begin that of the pour-out anew. */
function waitOf(state: SessionState): string {
  return state.slice(-3) === 'Due' || state === 'due' ? 'due' : state
}

export function createCallsCheck(): Check {
  let waits = ''
  let sinceSeconds = NaN
  return {
    tick(watch: Watch, base: Base) {
      const { session } = base
      const now = `${waitOf(session.state)} ${session.bathIndex}`
      if (now !== waits) {
        waits = now
        sinceSeconds = watch.nowSeconds
        return
      }
      if (!base.estimates.slow) return
      const calls = whatCalls(base)
      if (calls === undefined) return
      const [number, seconds] = calls
      if (watch.nowSeconds - sinceSeconds <= seconds + LATE_SECONDS) return
      judge(watch, 'operatorCalled')
      const place = alarmPlace(number)
      if ((session.alarms.level[place] as number) >= CALLING) return
      const waited = (watch.nowSeconds - sinceSeconds).toFixed(0)
      broke(watch, 'operatorCalled', `${session.state} for ${waited} s without alarm ${number} ${ALARMS[place]?.name}`)
    },
    restarted() {
      waits = ''
    },
  }
}
