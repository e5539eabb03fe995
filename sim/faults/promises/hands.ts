/**
 * Promises of the hands: nothing but a press, the cue or the pack moves a session on, a hold is called out until it ends,
 * and charge does not end in a developer without a call in time.
 */
import type { Base } from '../../../firmware/base.ts'
import { TUNES } from '../../../firmware/panel/tunes.ts'
import { ALARMS, HOLD_FORGOTTEN } from '../../../firmware/session/alarmTable.ts'
import type { SessionEvent } from '../../../firmware/session/events.ts'
import { HOLD_FORGOTTEN_SECONDS } from '../../../firmware/session/watch.ts'
import { broke, type Check, type Watch } from './watch.ts'

const CALLING = 2
/** A press is taken a tick later; ticks may be late, and a long press is taken after 2 s. */
const PRESS_SECONDS = 3.5
/** The pack was wrong so shortly before a stop: one that was empty has to be well for 10 s before it counts as charged. */
const PACK_SECONDS = 15
/** The tune of a hold comes back every 6 s. */
const HELD_SOUNDED_SECONDS = 12
/** The call to turn by hand comes so long before the pack is empty, or at the very start. */
const CALL_SECONDS = 60
const AT_ONCE_SECONDS = 20
/** Acknowledged, an urgent alarm calls again after 45 s. */
const LATE_SECONDS = 3

export function createHandsCheck(): Check {
  let heldSinceSeconds = NaN
  let heldSoundSeconds = NaN
  let callSeconds = NaN
  let beganSeconds = NaN

  function checkEvent(watch: Watch, base: Base, event: SessionEvent): void {
    const sincePress = watch.nowSeconds - watch.pressSeconds
    switch (event.kind) {
      case 'bathBegun':
      case 'turningBegun':
      case 'held':
      case 'holdEnded':
      case 'restarted':
      case 'drainBegun':
      case 'bathEnded':
      case 'sessionAbandoned':
        if (event.kind === 'bathBegun' && isNaN(beganSeconds)) beganSeconds = watch.nowSeconds
        if (event.kind === 'restarted') return
        if (sincePress > PRESS_SECONDS) broke(watch, 'onlyHandsDecide', `${event.kind} without a press`)
        break
      case 'stopped':
        if (watch.nowSeconds - watch.packTroubleSeconds > PACK_SECONDS) {
          broke(watch, 'onlyHandsDecide', 'stopped, and the pack is in order')
        }
        break
      case 'alarmRaised':
        if (event.number === 32 && isNaN(callSeconds)) callSeconds = watch.nowSeconds
        if (event.number === 33) checkEmpty(watch, base)
        break
    }
  }

  function checkEmpty(watch: Watch, base: Base): void {
    const { session } = base
    if (session.underway.contents === 'empty' || session.recipe.baths[session.bathIndex].kind !== 'developed') return
    const called = watch.nowSeconds - callSeconds
    const atOnce = callSeconds - beganSeconds < AT_ONCE_SECONDS || watch.nowSeconds - beganSeconds < CALL_SECONDS
    if (called >= CALL_SECONDS || atOnce) return
    const words = isNaN(callSeconds) ? 'without a call' : `${called.toFixed(0)} s after the call`
    broke(watch, 'callBeforeEmpty', `the pack is empty ${words}`)
  }

  function checkHold(watch: Watch, base: Base): void {
    const { state, alarms } = base.session
    if (state !== 'held' && state !== 'heldDue') {
      heldSinceSeconds = NaN
      return
    }
    const { panels } = watch.rig
    if (isNaN(heldSinceSeconds)) {
      heldSinceSeconds = watch.nowSeconds
      heldSoundSeconds = watch.nowSeconds
    }
    if (panels.tones === TUNES.held || panels.tones === TUNES.alarmUrgent || panels.tones === TUNES.pourOut) {
      heldSoundSeconds = Math.max(heldSoundSeconds, panels.tonesSeconds)
    }
    const held = watch.nowSeconds - heldSinceSeconds
    if (watch.nowSeconds - heldSoundSeconds > HELD_SOUNDED_SECONDS) {
      broke(watch, 'holdNotForgotten', `held for ${held.toFixed(0)} s, and nothing is heard`)
    }
    if (held > HOLD_FORGOTTEN_SECONDS + LATE_SECONDS && (alarms.level[HOLD_FORGOTTEN] as number) < CALLING) {
      broke(watch, 'holdNotForgotten', `held for ${held.toFixed(0)} s without alarm ${ALARMS[HOLD_FORGOTTEN].number}`)
    }
  }

  return {
    tick(watch, base) {
      const { session } = base
      for (let i = 0; i < session.eventCount; i++) checkEvent(watch, base, session.events[i] as SessionEvent)
      checkHold(watch, base)
    },
    restarted() {
      heldSinceSeconds = NaN
      callSeconds = NaN
      beganSeconds = NaN
    },
  }
}
