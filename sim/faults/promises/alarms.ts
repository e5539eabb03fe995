/**
 * Promises of the alarms: none without a cause, none lost, and every fault that must be told is told in time.
 *
 * A cause is a fault of this session that the table says may raise the alarm, or a truth of the plant that the alarm is
 * about. Which of the two it was is not asked: a base that calls for the wrong reason at the right time has still called.
 */
import type { Base } from '../../../firmware/base.ts'
import { TUNES } from '../../../firmware/panel/tunes.ts'
import { ALARMS } from '../../../firmware/session/alarmTable.ts'
import { has } from '../draw.ts'
import type { Tells } from '../faultKind.ts'
import type { Running } from '../play.ts'
import { broke, type Check, judge, type Watch } from './watch.ts'

const CALLING = 2
/** A press is taken a tick later; ticks may be late. */
const PRESS_SECONDS = 2
/** What was asked for over the line is done by then. */
const ASKED_SECONDS = 5
/** A refusal has the last line for 4 s, the screen is drawn once a second. */
const SHOWN_WITHIN_SECONDS = 6.5
const SOUNDED_WITHIN_SECONDS = 25
/** The true bath may be so far within a limit that the base takes for crossed. */
const NEARLY_CELSIUS = 1
/** From here on the first seconds of a bath are known worse than its whole. */
const HOT_POUR_KELVIN = 18
/** A person who takes so long to change bottles is slower than most. */
const SLOW_CHANGE_SECONDS = 42
/** Below this a pack is short for any session. */
const SHORT_CHARGE = 0.6

/** The firmware takes a magnet for overdue after 1.3 spacings: shorter legs say nothing. */
const LEAST_SPACINGS = 1.5
/** A driver that is stuck draws nothing from a pack that gives nothing. */
const LIVE_PACK_VOLTS = 5

/** What the base watches with or without a session: its driver, its pack and its buttons. */
const TOLD_WHEN_OVER = [25, 30, 46, 47]

const TUNES_THAT_CALL = [TUNES.alarmUrgent, TUNES.alarmMild, TUNES.pourOut, TUNES.pourIn, TUNES.held]

export function createAlarmCheck(): Check {
  const before = new Uint8Array(ALARMS.length)
  let shownSeconds = Infinity
  let soundedSeconds = Infinity

  function checkLost(watch: Watch, base: Base): void {
    const { level } = base.session.alarms
    for (let i = 0; i < ALARMS.length; i++) {
      const gone = before[i] === CALLING && level[i] !== CALLING
      if (gone && watch.nowSeconds - watch.pressSeconds > PRESS_SECONDS && !isAnsweredFromAfar(watch, i)) {
        broke(watch, 'noAlarmLost', `alarm ${ALARMS[i].number} went without a press`)
      }
      before[i] = level[i] as number
    }
  }

  function checkCalled(watch: Watch, base: Base): void {
    const { panels } = watch.rig
    if (base.session.alarms.calling === 0) {
      shownSeconds = Infinity
      soundedSeconds = Infinity
      return
    }
    judge(watch, 'noAlarmLost')
    if (shownSeconds === Infinity) {
      shownSeconds = watch.nowSeconds
      soundedSeconds = watch.nowSeconds
    }
    if (panels.inverse[4] === true && !panels.screenGone) shownSeconds = watch.nowSeconds
    if (TUNES_THAT_CALL.includes(panels.tones)) soundedSeconds = Math.max(soundedSeconds, panels.tonesSeconds)
    if (watch.nowSeconds - shownSeconds > SHOWN_WITHIN_SECONDS) {
      broke(watch, 'noAlarmLost', `an alarm calls and the screen shows "${panels.texts[4]}"`)
    }
    if (watch.nowSeconds - soundedSeconds > SOUNDED_WITHIN_SECONDS)
      broke(watch, 'noAlarmLost', 'an alarm calls and is not heard')
  }

  function checkTold(watch: Watch, base: Base): void {
    const { running } = watch.play
    for (let i = 0; i < running.length; i++) {
      const fault = running[i] as Running
      const { tells } = fault.kind
      if (tells === undefined || fault.told || !has(base.file, tells.needs)) continue
      if (tells.fromStrength !== undefined && Math.abs(fault.event.strength) < tells.fromStrength) continue
      if (isHidden(base, fault, running)) {
        fault.tellableSeconds = 0
        continue
      }
      judge(watch, 'faultTold')
      if (tells.alarms.some(number => stands(base, number))) fault.told = true
      else if (!mayTell(watch, base, tells)) {
        if (tells.while !== 'driven') fault.tellableSeconds = 0
        continue
      }
      fault.tellableSeconds += watch.tickSeconds
      if (fault.tellableSeconds > tells.withinSeconds && !fault.told) {
        fault.told = true
        broke(
          watch,
          'faultTold',
          `${fault.event.fault} for ${tells.withinSeconds} s without alarm ${tells.alarms.join(' or ')}`,
        )
      }
    }
  }

  return {
    tick(watch, base) {
      const { session } = base
      for (let i = 0; i < session.eventCount; i++) {
        const event = session.events[i]
        if (event.kind !== 'alarmRaised' || watch.play.explained.has(event.number)) continue
        if (!isTrue(watch, base, event.number)) {
          broke(
            watch,
            'noAlarmWithoutCause',
            `alarm ${event.number} ${ALARMS.find(one => one.number === event.number)?.name}`,
          )
        }
      }
      checkLost(watch, base)
      checkCalled(watch, base)
      if (watch.play.running.length > 0) checkTold(watch, base)
    },
    restarted() {
      before.fill(0)
      shownSeconds = Infinity
    },
  }
}

/** What an alarm of the hands asks for was done from afar: a drain begun or ended, or the session given up. */
function isAnsweredFromAfar({ rig, nowSeconds }: Watch, place: number): boolean {
  const number = ALARMS[place]?.number ?? 0
  const doneSeconds = Math.max(rig.asked.advance, rig.asked.abandon)
  return number >= 40 && number <= 45 && nowSeconds - doneSeconds < ASKED_SECONDS
}

/** Whether the fault cannot be seen: its sensor is broken too, or magnets pass too seldom to be missed. */
function isHidden(base: Base, fault: Running, running: Running[]): boolean {
  const { group, tells } = fault.kind
  if (group === 'probe') return running.some(one => one !== fault && one.kind.group === 'probe')
  if (tells?.needs !== 'discAndMagnets') return false
  if (running.some(one => one.kind.group === 'rotation')) return true
  const { session, file } = base
  const { legTurns, stagger } = session.recipe.agitations[session.recipe.baths[session.bathIndex].agitation]
  return (legTurns - (stagger ? 0.5 : 0)) * file.rotation.magnetsOnTank < LEAST_SPACINGS
}

/** Raised and not over, or called out before in this session and acknowledged. */
function stands(base: Base, number: number): boolean {
  const { alarms } = base.session
  for (let i = 0; i < ALARMS.length; i++) if (ALARMS[i].number === number) return (alarms.level[i] as number) >= CALLING
  return false
}

function mayTell(watch: Watch, base: Base, tells: Tells): boolean {
  const { state, want, underway } = base.session
  if (watch.rig.ticking.missedShare > 0) return false
  const over = state === 'finished' || state === 'abandoned'
  if (over && !tells.alarms.some(number => TOLD_WHEN_OVER.includes(number))) return false
  switch (tells.while) {
    case 'any':
      return true
    case 'driven':
      return want === 'turn' && watch.rig.plant.pins.motorDuty !== 0
    case 'still':
      return want !== 'turn' && watch.rig.plant.pins.motorDuty === 0 && watch.rig.plant.pins.packVolts > LIVE_PACK_VOLTS
    case 'inBath':
      return underway.contents === 'full' && watch.rig.plant.bath.phase === 'full'
  }
}

/** What the alarm says is so. */
function isTrue(watch: Watch, base: Base, number: number): boolean {
  const { plant } = watch.rig
  const { session } = base
  const { bathCelsius } = plant.bath
  const spec = session.recipe.baths[session.bathIndex]
  switch (number) {
    case 11: {
      const rate = session.rates[session.bathIndex]
      if (rate === undefined) return false
      return bathCelsius < rate.sheetLowCelsius + NEARLY_CELSIUS || bathCelsius > rate.sheetHighCelsius - NEARLY_CELSIUS
    }
    case 12:
      return spec.usableCelsius !== undefined && bathCelsius < spec.usableCelsius[0] + NEARLY_CELSIUS
    case 13:
      return spec.usableCelsius !== undefined && bathCelsius > spec.usableCelsius[1] - NEARLY_CELSIUS
    case 15: {
      // A short developer poured hot into a cold, dry tank: what the film got in the pour is known only so well.
      const pourCelsius = plant.evening.pourCelsius[session.bathIndex] as number
      return session.bathIndex === 0 && pourCelsius - plant.bath.roomCelsius > HOT_POUR_KELVIN
    }
    case 30:
      return plant.pack.cutOff
    case 44:
    case 45:
      return plant.bath.phase === 'empty' && plant.bath.phaseSeconds > SLOW_CHANGE_SECONDS
    case 31:
    case 32:
    case 33:
      return plant.evening.startCharge < SHORT_CHARGE
    default:
      return false
  }
}
