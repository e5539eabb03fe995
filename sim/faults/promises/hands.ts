/**
 * Promises of the hands: nothing but a press, the cue or the pack moves a session on, a hold is called out until it ends,
 * and charge does not end without a warning, in a developer not without a call in time.
 *
 * From afar a session may be held; a drain that is due may be begun and ended; and a session may be abandoned whose
 * developer is not in the tank. Nothing else, and what was asked for has its effect soon or not at all.
 */
import type { Base } from '../../../firmware/base.ts'
import { TUNES } from '../../../firmware/panel/tunes.ts'
import { ALARMS, HOLD_FORGOTTEN } from '../../../firmware/session/alarmTable.ts'
import type { SessionEvent } from '../../../firmware/session/events.ts'
import { HOLD_FORGOTTEN_SECONDS } from '../../../firmware/session/watch.ts'
import { broke, type Check, judge, type Watch } from './watch.ts'

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
/** So long after a fault of the drive its draw still shows in the volts. */
const DRIVE_SECONDS = 30
/** What is asked for over the line is done in a tick or two; a line that is flooded, or ticks that are late, take longer. */
const AFAR_SECONDS = 5
/** A hand that was on its way cannot know that the same was done from afar this long ago. */
const ON_ITS_WAY_SECONDS = 1.3
/** Acknowledged, an urgent alarm calls again after 45 s. */
const LATE_SECONDS = 3

export function createHandsCheck(): Check {
  let heldSinceSeconds = NaN
  let heldSoundSeconds = NaN
  let callSeconds = NaN
  let beganSeconds = NaN
  let warned = false
  let wasCutOff = false
  let wasTesting = false
  /** The bath whose end of charge was judged. */
  let judgedBath = -1
  let afarEndSeconds = -Infinity

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
        if (event.kind !== 'sessionAbandoned') judge(watch, 'onlyHandsDecide')
        if (event.kind === 'bathBegun') checkWithAfar(watch)
        if (sincePress > PRESS_SECONDS) checkAfar(watch, base, event)
        break
      case 'stopped':
        if (watch.nowSeconds - watch.packTroubleSeconds > PACK_SECONDS) {
          broke(watch, 'onlyHandsDecide', 'stopped, and the pack is in order')
        }
        break
      case 'alarmRaised':
        if (event.number === 32 && isNaN(callSeconds)) callSeconds = watch.nowSeconds
        if (event.number === 33) {
          checkEmpty(watch, base)
          // From now on the tank is turned by hand, in this bath and in the next ones.
          if (isNaN(callSeconds)) callSeconds = watch.nowSeconds
          warned = true
        }
        if (event.number === 31 || event.number === 32) warned = true
        break
      case 'sessionFinished':
        warned = false
        callSeconds = NaN
        beganSeconds = NaN
        judgedBath = -1
        break
    }
  }

  /** It happened without a press: it must have been asked for from afar, and be what may be. */
  function checkAfar(watch: Watch, base: Base, event: SessionEvent): void {
    const { asked } = watch.rig
    const since = (seconds: number): boolean => watch.nowSeconds - seconds < AFAR_SECONDS
    if (!since(asked.any)) {
      broke(watch, 'onlyHandsDecide', `${event.kind} without a press`)
      return
    }
    const abandons = since(asked.abandon) && (event.kind === 'sessionAbandoned' || event.kind === 'bathEnded')
    const isDeveloped = base.session.recipe.baths[event.bathIndex]?.kind === 'developed'
    if (event.kind === 'held' && since(asked.hold)) return
    if ((event.kind === 'drainBegun' || event.kind === 'bathEnded') && since(asked.advance)) {
      if (event.kind === 'bathEnded') afarEndSeconds = watch.nowSeconds
      return
    }
    if (abandons && !(event.kind === 'bathEnded' && isDeveloped)) return
    broke(watch, 'consoleMovesNothing', `${event.kind} from afar without a press`)
  }

  /** A press that was meant for the end of a drain that was ended from afar must not begin the next bath. */
  function checkWithAfar(watch: Watch): void {
    const { phase } = watch.rig.plant.bath
    if (watch.pressSeconds - afarEndSeconds > ON_ITS_WAY_SECONDS || phase === 'filling' || phase === 'full') return
    broke(watch, 'consoleMovesNothing', 'a press for a drain that was ended from afar began the next bath')
  }

  /** Driving ends for want of charge: the base says so, or the pack's own protection has opened. */
  function checkEmpty(watch: Watch, base: Base): void {
    const { session } = base
    if (session.underway.contents === 'empty' || judgedBath === session.bathIndex) return
    // Without a current sense what a held motor draws looks like the end of the charge: then the base stops and says so.
    const cannotTell = watch.nowSeconds - watch.play.driveTroubleSeconds < DRIVE_SECONDS
    if (!base.file.pack.currentSense && cannotTell) return
    judgedBath = session.bathIndex
    judge(watch, 'shortWarned')
    if (!warned && !session.insistedOnCharge) broke(watch, 'shortWarned', 'the pack is empty without a warning')
    if (session.recipe.baths[session.bathIndex].kind !== 'developed') return
    judge(watch, 'callBeforeEmpty')
    const called = watch.nowSeconds - callSeconds
    // Nobody can be called a minute before the session began: then it was asked whether to begin at all.
    const insisted = session.insistedOnCharge && watch.nowSeconds - beganSeconds < CALL_SECONDS
    const atOnce = callSeconds - beganSeconds < AT_ONCE_SECONDS || insisted
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
    if (held > HELD_SOUNDED_SECONDS) judge(watch, 'holdNotForgotten')
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
      const { cutOff } = watch.rig.plant.pack
      if (cutOff && !wasCutOff) checkEmpty(watch, base)
      wasCutOff = cutOff
      if (watch.nowSeconds - watch.rig.asked.any < AFAR_SECONDS) judge(watch, 'consoleMovesNothing')
      const testing = base.turnTest.stage === 'running'
      if (testing && !wasTesting && watch.nowSeconds - watch.pressSeconds > PRESS_SECONDS) {
        broke(watch, 'consoleMovesNothing', 'the motor turns for a test that no press began')
      }
      wasTesting = testing
    },
    restarted() {
      heldSinceSeconds = NaN
      callSeconds = NaN
      beganSeconds = NaN
      warned = false
      judgedBath = -1
      wasTesting = false
    },
  }
}
