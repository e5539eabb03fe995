/**
 * The simulated operator: does what the base asks, after a time to react, with imperfect hands. Sees only what a person
 * sees (what the screen asks for), acts on the tank (pours, closes, drains) and presses the buttons. Every act falls on
 * a step of the plant, so that the moment of a press and of what it stands for are the same.
 */
import type { Pins } from './pins.ts'
import { pressButton, releaseButton } from './pins.ts'
import { between, gaussian, type Random } from './random.ts'

/** What the screen asks the operator to do now. */
export type Asked = 'pourIn' | 'close' | 'wait' | 'pourOut' | 'drain' | 'nothing'

/** What the operator does to the tank in this step. */
export type Act = 'none' | 'beginPour' | 'close' | 'beginDrain' | 'emptied'

export interface OperatorHabits {
  /** Between the cue to pour out and the press: mean and one sigma. */
  reactionSeconds: number
  reactionSigmaSeconds: number
  /** Filling and draining take the recipe's time, more or less: one sigma, as a fraction. */
  handSpread: number
  /** Between an empty tank and the next pour: putting the bottle away, taking the next. */
  changeSeconds: number
  /** Presses a little before or after the act they stand for: one sigma. */
  pressSigmaSeconds: number
}

/** Acts at once and exactly: the operator of a run on a trace. */
export const EXACT_HABITS: OperatorHabits = {
  reactionSeconds: 0,
  reactionSigmaSeconds: 0,
  handSpread: 0,
  changeSeconds: 0,
  pressSigmaSeconds: 0,
}

/** Draws a person's habits. All assumed: a person in gloves who listens for the cue. */
export function drawHabits(random: Random): OperatorHabits {
  return {
    reactionSeconds: between(random, 1, 4),
    reactionSigmaSeconds: between(random, 0.3, 1),
    handSpread: between(random, 0.05, 0.2),
    changeSeconds: between(random, 10, 30),
    pressSigmaSeconds: 0.15,
  }
}

export interface Operator {
  habits: OperatorHabits
  random: Random
  /** What the recipe allows for. */
  fillSeconds: number
  drainSeconds: number
  /** How long the pour or the drain that was begun last takes in these hands. */
  takesSeconds: number
  /** What was asked when the operator last looked, and when the act that answers it is due. */
  asked: Asked
  actSeconds: number
  pressSeconds: number
  /** The act is done; only the press is still to come, or the other way round. */
  acted: boolean
  pressed: boolean
  releaseSeconds: number
}

export function createOperator(
  habits: OperatorHabits,
  pour: { fillSeconds: number; drainSeconds: number },
  random: Random,
): Operator {
  return {
    habits,
    random,
    fillSeconds: pour.fillSeconds,
    drainSeconds: pour.drainSeconds,
    takesSeconds: 0,
    asked: 'nothing',
    actSeconds: NaN,
    pressSeconds: NaN,
    acted: true,
    pressed: true,
    releaseSeconds: Infinity,
  }
}

/** No hand fills or drains faster: a button has to come up before it is pressed again. */
export const SHORTEST_SECONDS = 0.3
const PRESS_LASTS_SECONDS = 0.1
const PRESS_AGAIN_SECONDS = 3
/** Steps of the plant are a tenth of a second: half of one is near enough to count as due. */
const DUE_SECONDS = 0.05

function hand(operator: Operator, seconds: number): number {
  return Math.max(SHORTEST_SECONDS, seconds * (1 + operator.habits.handSpread * gaussian(operator.random)))
}

/** How long until the operator does what is newly asked. */
function secondsUntil(operator: Operator, asked: Asked): number {
  const { habits, random } = operator
  switch (asked) {
    case 'pourIn':
      return hand(operator, habits.changeSeconds)
    case 'close':
    case 'drain':
      return operator.takesSeconds
    case 'pourOut':
      return Math.max(0, habits.reactionSeconds + habits.reactionSigmaSeconds * gaussian(random))
    default:
      return Infinity
  }
}

const ACTS: { [asked in Asked]: Act } = {
  pourIn: 'beginPour',
  close: 'close',
  pourOut: 'beginDrain',
  drain: 'emptied',
  wait: 'none',
  nothing: 'none',
}

/** Looks at what is asked and acts. Called once each step, after the firmware's tick. Returns what happens to the tank now. */
export function stepOperator(operator: Operator, asked: Asked, pins: Pins): Act {
  const nowSeconds = pins.seconds
  if (nowSeconds > operator.releaseSeconds - DUE_SECONDS) {
    releaseButton(pins, 'advance')
    operator.releaseSeconds = Infinity
  }
  const free = operator.acted && operator.pressed
  // A call to pour out breaks off the filling of a bath that is shorter than its own pour.
  if (asked !== operator.asked && (free || (asked === 'pourOut' && operator.asked === 'close'))) {
    // Filling and draining run from the act that began them, not from when the screen noticed.
    const sinceSeconds = asked === 'close' || asked === 'drain' ? operator.actSeconds : nowSeconds
    operator.asked = asked
    operator.actSeconds = sinceSeconds + secondsUntil(operator, asked)
    const off = operator.habits.pressSigmaSeconds
    operator.pressSeconds = off === 0 ? operator.actSeconds : operator.actSeconds + off * gaussian(operator.random)
    operator.acted = operator.actSeconds === Infinity
    operator.pressed = operator.acted
  }
  // Nothing came of the press: a person presses again.
  const unanswered = operator.pressed && operator.acted && asked === operator.asked && ACTS[asked] !== 'none'
  if (unanswered && nowSeconds > operator.pressSeconds + PRESS_AGAIN_SECONDS) {
    operator.pressed = false
    operator.pressSeconds = nowSeconds
  }
  if (!operator.pressed && nowSeconds > operator.pressSeconds - DUE_SECONDS && operator.releaseSeconds === Infinity) {
    pressButton(pins, 'advance')
    operator.pressed = true
    operator.releaseSeconds = nowSeconds + PRESS_LASTS_SECONDS
  }
  if (!operator.acted && nowSeconds > operator.actSeconds - DUE_SECONDS) {
    operator.acted = true
    operator.actSeconds = nowSeconds
    if (operator.asked === 'pourIn') operator.takesSeconds = hand(operator, operator.fillSeconds)
    else if (operator.asked === 'pourOut') operator.takesSeconds = hand(operator, operator.drainSeconds)
    return ACTS[operator.asked]
  }
  return 'none'
}
