/**
 * The operator's hands of a recorded session: each press at its recorded moment, and what it stood for done to the tank.
 *
 * Where today's firmware asks before it takes a press, or takes it for the silencing of an alarm, the hand presses again,
 * as a person would, and that is noted. A press that does nothing even so means that base and hands have parted: `lost`.
 */
import type { SessionEvent } from '../../firmware/session/events.ts'
import { NEAR_CUE_SECONDS } from '../../firmware/session/hands.ts'
import type { Session } from '../../firmware/session/session.ts'
import { pressButton, releaseButton } from '../plant/pins.ts'
import { handle, STEP_SECONDS } from '../plant/plant.ts'
import type { RecordedPress } from './replayPresses.ts'
import type { Bench } from './run.ts'

/** A recorded press that today's firmware did not take at once. */
export interface PressToday {
  press: RecordedPress
  /** Its words; empty when it said nothing. */
  reason: string
  /** Taken when it was made again. */
  takenAgain: boolean
}

interface Waiting {
  press: RecordedPress
  untilSeconds: number
  /** How often it was made. */
  times: number
  reason: string
  /** It silenced an alarm. */
  silenced: boolean
}

export interface Hands {
  presses: RecordedPress[]
  next: number
  /** The press that waits for its answer, and when it is made again; NaN when it is not. */
  waiting: Waiting | undefined
  againSeconds: number
  /** When the buttons come up again. */
  releaseSeconds: { advance: number; hold: number }
  noted: PressToday[]
  lost: boolean
}

/** A hand that is asked presses again after so long: later than a slip, sooner than the question is forgotten. */
const AGAIN_SECONDS = 0.6
const TIMES_AT_MOST = 3
const PRESS_LASTS_SECONDS = 0.1
const HALF_STEP_SECONDS = 0.05
/** A press is answered within two ticks. */
export const ANSWER_SECONDS = 0.35
const SILENCED = 'it silences an alarm first'

export function createHands(presses: RecordedPress[]): Hands {
  return {
    presses,
    next: 0,
    waiting: undefined,
    againSeconds: NaN,
    releaseSeconds: { advance: Infinity, hold: Infinity },
    noted: [],
    lost: false,
  }
}

/** What became of the press that waits for its answer. For every event of a tick. */
export function hearAnswer(hands: Hands, session: Session, event: SessionEvent, sessionSeconds: number): void {
  const { waiting } = hands
  if (waiting === undefined) return
  const { press } = waiting
  if (event.kind === press.event) {
    if (waiting.reason !== '') hands.noted.push({ press, reason: waiting.reason, takenAgain: true })
    hands.waiting = undefined
  } else if (event.kind === 'acknowledged') waiting.silenced = true
  else if (event.kind === 'refused') {
    // A person who meant to pour out early then was asked then, too: the answer alone was written down.
    if (!press.beforeCue) waiting.reason = event.reason
    const mayAnswer = session.asked !== 'none' && press.event !== 'acknowledged'
    if (waiting.times < TIMES_AT_MOST && mayAnswer) hands.againSeconds = sessionSeconds + AGAIN_SECONDS
    else giveUp(hands, waiting, event.reason)
  }
}

function giveUp(hands: Hands, waiting: Waiting, reason: string): void {
  hands.waiting = undefined
  // One that was to silence an alarm has no other work.
  if (waiting.press.event === 'acknowledged') return
  hands.noted.push({ press: waiting.press, reason, takenAgain: false })
  hands.lost = true
}

/** After the tick: what is due is done. `shiftSeconds` is the plant's second of the session's second 0. */
export function moveHands(hands: Hands, bench: Bench, sessionSeconds: number, shiftSeconds: number): void {
  release(hands, bench, 'advance')
  release(hands, bench, 'hold')
  if (hands.waiting !== undefined) pressAgain(hands, hands.waiting, bench, sessionSeconds)
  const press = hands.presses[hands.next]
  if (press === undefined) return
  if (press.beforeCue && hands.waiting === undefined) askFirst(hands, press, bench, sessionSeconds)
  if (sessionSeconds < press.atSeconds - 1e-6) return
  hands.next++
  makePress(hands, press, bench, sessionSeconds, shiftSeconds)
}

function makePress(
  hands: Hands,
  press: RecordedPress,
  bench: Bench,
  sessionSeconds: number,
  shiftSeconds: number,
): void {
  const { plant } = bench
  const button = press.event === 'acknowledged' ? silencer(bench) : press.button
  if (button === undefined) return
  if (!isNaN(press.takesSeconds)) plant.operator.takesSeconds = press.takesSeconds
  if (press.act !== 'none') handle(plant, press.act)
  push(hands, bench, button, press.atSeconds + shiftSeconds)
  hands.againSeconds = NaN
  hands.waiting = { press, untilSeconds: sessionSeconds + ANSWER_SECONDS, times: 1, reason: '', silenced: false }
}

/** A press that did nothing else was of the button that has no work now. Nobody silences what does not call. */
function silencer({ base, plant }: Bench): 'advance' | 'hold' | undefined {
  const { session, clock } = base
  if (session.alarms.calling === 0 || session.state === 'due' || session.state === 'heldDue') return undefined
  if (session.state !== 'turning' && session.state !== 'held') return 'hold'
  // So near the call, or after a question, advance would pour out.
  const poursOut = session.asked === 'advance' || !(clock.view.cueAtSeconds - plant.pins.seconds > NEAR_CUE_SECONDS)
  return poursOut ? undefined : 'advance'
}

/** A press that was asked about, or that only silenced an alarm, is made again; one without an answer is given up. */
function pressAgain(hands: Hands, waiting: Waiting, bench: Bench, sessionSeconds: number): void {
  if (isNaN(hands.againSeconds)) {
    if (sessionSeconds <= waiting.untilSeconds) return
    if (!waiting.silenced || waiting.times >= TIMES_AT_MOST) {
      giveUp(hands, waiting, waiting.reason)
      return
    }
    if (waiting.press.event === 'acknowledged') {
      hands.waiting = undefined
      return
    }
    waiting.reason = SILENCED
    hands.againSeconds = sessionSeconds
  }
  if (sessionSeconds < hands.againSeconds - HALF_STEP_SECONDS) return
  hands.againSeconds = NaN
  waiting.times++
  waiting.silenced = false
  waiting.untilSeconds = sessionSeconds + ANSWER_SECONDS
  push(hands, bench, waiting.press.button, bench.plant.pins.seconds)
}

/** An early pour-out takes two presses, of which the second was written down: the first is made so that it falls there. */
function askFirst(hands: Hands, press: RecordedPress, bench: Bench, sessionSeconds: number): void {
  const leadSeconds = press.atSeconds - sessionSeconds
  if (!(leadSeconds <= AGAIN_SECONDS + 1e-6 && leadSeconds > AGAIN_SECONDS - STEP_SECONDS + 1e-6)) return
  const { session, clock } = bench.base
  const { pins } = bench.plant
  const asks = session.state === 'turning' || session.state === 'held' || session.state === 'stopped'
  if (asks && clock.view.cueAtSeconds - pins.seconds > NEAR_CUE_SECONDS) push(hands, bench, 'advance', pins.seconds)
}

function push(hands: Hands, bench: Bench, button: 'advance' | 'hold', atSeconds: number): void {
  const { pins } = bench.plant
  pressButton(pins, button)
  // The board keeps the moment of a press, which may lie between two steps.
  pins[button].pressedSeconds = Math.min(atSeconds, pins.seconds)
  hands.releaseSeconds[button] = pins.seconds + PRESS_LASTS_SECONDS
}

function release(hands: Hands, bench: Bench, button: 'advance' | 'hold'): void {
  const { pins } = bench.plant
  if (pins.seconds < hands.releaseSeconds[button] - HALF_STEP_SECONDS) return
  releaseButton(pins, button)
  hands.releaseSeconds[button] = Infinity
}
