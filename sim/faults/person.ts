/**
 * The operator of the campaign: a person who sees the screen and hears the sounder, who knows what is in the tank, and who
 * goes on when the base and the tank no longer agree. Does what is asked, acknowledges what calls, and has the faults of
 * the hands: late, early, away, forgetful, with buttons that bounce, jam or are dead.
 *
 * Acts on the tank through `handle` and on the buttons through `press`, like the simulated operator of a plain run. That
 * one trusts the base; this one is needed because a base under faults cannot always be trusted.
 */
import { pressButton, releaseButton } from '../plant/pins.ts'
import { handle } from '../plant/plant.ts'
import { createRandom, gaussian, type Random, uniform } from '../plant/random.ts'
import { FAULT_STREAM } from './draw.ts'
import { look, type Seen } from './eyes.ts'
import type { Rig } from './rig.ts'

type Which = 'advance' | 'hold'

interface ButtonState {
  /** Extra edges of each press and each release. */
  bounces: number
  /** How many faults hold it down, and how many keep it from being felt. */
  jammed: number
  dead: number
  releaseSeconds: number
}

export interface Person {
  random: Random
  buttons: { advance: ButtonState; hold: ButtonState }
  /** Faults. */
  lateSeconds: number
  earlySeconds: number
  forgetsSeconds: number
  pourOffCelsius: number
  away: number
  holdAgainSeconds: number
  /** What was seen, and when it was seen to change. */
  seen: Seen
  askedSeconds: number
  callingSeconds: number
  /** How long this person takes to hear and come, for this call. */
  comesSeconds: number
  /** The act that answers what is asked: when it is due (NaN: not thought of yet), and whether it was done. */
  actSeconds: number
  acted: boolean
  /** When the press that goes with it is due; NaN when there is none to make. */
  pressSeconds: number
  lastPressSeconds: number
  /** When the pour or the drain that was begun will be over. */
  pourEndsSeconds: number
  /** The bath in the tank was poured out on the person's own account. */
  drainedEarly: boolean
}

export const PRESS_LASTS_SECONDS = 0.15
/** Nothing came of a press: it is made again after this. */
const AGAIN_SECONDS = 3
/** Steps are a tenth of a second. */
const DUE_SECONDS = 0.05

function createButton(): ButtonState {
  return { bounces: 0, jammed: 0, dead: 0, releaseSeconds: Infinity }
}

export function createPerson(seed: number): Person {
  return {
    random: createRandom(seed, FAULT_STREAM.person),
    buttons: { advance: createButton(), hold: createButton() },
    lateSeconds: 0,
    earlySeconds: NaN,
    forgetsSeconds: 0,
    pourOffCelsius: 0,
    away: 0,
    holdAgainSeconds: NaN,
    seen: { asked: 'unknown', bathIndex: 0, calling: false, alarm: '', frames: -1 },
    askedSeconds: 0,
    callingSeconds: NaN,
    comesSeconds: 0,
    actSeconds: NaN,
    acted: false,
    pressSeconds: NaN,
    lastPressSeconds: -Infinity,
    pourEndsSeconds: NaN,
    drainedEarly: false,
  }
}

/** Presses a button and lets it go a moment later. What the board notices depends on the button. */
export function press(rig: Rig, person: Person, which: Which): void {
  const { pins } = rig.plant
  const button = person.buttons[which]
  person.lastPressSeconds = pins.seconds
  if (button.dead > 0 || button.jammed > 0 || pins[which].down) return
  pressButton(pins, which)
  pins[which].presses += button.bounces
  button.releaseSeconds = pins.seconds + PRESS_LASTS_SECONDS
}

function release(rig: Rig, person: Person, which: Which): void {
  const button = person.buttons[which]
  const { pins } = rig.plant
  if (button.jammed > 0 || pins.seconds < button.releaseSeconds - DUE_SECONDS) return
  button.releaseSeconds = Infinity
  releaseButton(pins, which)
  if (button.bounces === 0) return
  pins[which].presses += button.bounces
  pins[which].pressedSeconds = pins.seconds
}

/** One step of the person: after the base's tick, before the plant's step. */
export function stepPerson(rig: Rig, person: Person): void {
  release(rig, person, 'advance')
  release(rig, person, 'hold')
  if (person.away > 0) return
  notice(rig, person)
  if (rig.plant.pins.seconds >= person.holdAgainSeconds) {
    person.holdAgainSeconds = NaN
    press(rig, person, 'hold')
  }
  answer(rig, person)
  pressWhenDue(rig, person)
}

/** Looks and listens; something new is thought about anew. */
function notice(rig: Rig, person: Person): void {
  const nowSeconds = rig.plant.pins.seconds
  const { seen } = person
  const askedBefore = seen.asked
  const callingBefore = seen.calling
  look(rig, seen)
  if (seen.calling && !callingBefore) {
    person.callingSeconds = nowSeconds
    person.comesSeconds = 2 + 5 * uniform(person.random) + person.lateSeconds
  }
  if (seen.asked === askedBefore) return
  person.askedSeconds = nowSeconds
  person.actSeconds = NaN
  person.acted = false
  person.pressSeconds = NaN
}

function answer(rig: Rig, person: Person): void {
  const { bath } = rig.plant
  switch (person.seen.asked) {
    case 'pourIn':
      if (person.acted) break
      if (bath.phase === 'full' || bath.phase === 'filling') drain(rig, person)
      else if (bath.phase === 'empty') whenDue(rig, person, changeSeconds(rig, person), pour)
      break
    case 'close':
      if (bath.phase === 'empty' && !person.acted) pour(rig, person)
      else if (bath.phase === 'filling') whenPoured(rig, person)
      else if (bath.phase === 'full' && isNaN(person.pressSeconds)) pressAgain(rig, person)
      break
    case 'wait':
      whileItTurns(rig, person)
      break
    case 'held':
      whileHeld(rig, person)
      break
    case 'pourOut':
      if (bath.phase === 'empty') pressAgain(rig, person)
      else if (bath.phase !== 'draining' && !person.acted) whenDue(rig, person, reactionSeconds(rig, person), drain)
      break
    case 'drain':
      if (bath.phase === 'full' || bath.phase === 'filling') drain(rig, person)
      else if (bath.phase === 'empty' && isNaN(person.pressSeconds) && !person.acted) {
        person.acted = true
        pressSoon(rig, person)
      }
      break
    case 'over':
      if (bath.phase === 'full' || bath.phase === 'filling') drain(rig, person)
      break
    case 'unknown':
      if (bath.phase === 'filling') whenPoured(rig, person)
      break
  }
  const asked = person.seen.asked
  if (person.acted && isNaN(person.pressSeconds) && asked !== 'wait' && asked !== 'unknown' && asked !== 'over') {
    pressAgain(rig, person)
  }
}

/** The tank turns, or rests because the base stopped: a full tank is left alone, anything else is put right. */
function whileItTurns(rig: Rig, person: Person): void {
  const { bath, pins } = rig.plant
  if (bath.phase === 'filling') whenPoured(rig, person)
  else if (bath.phase === 'empty') {
    if (person.drainedEarly) pressAgain(rig, person)
    else if (!person.acted) pour(rig, person)
  } else if (bath.phase === 'full') {
    const cueAt = rig.base === undefined ? NaN : rig.base.clock.view.cueAtSeconds + rig.zeroSeconds
    if (cueAt - pins.seconds < person.earlySeconds && !person.drainedEarly) {
      drain(rig, person)
      person.drainedEarly = true
    } else acknowledge(rig, person)
  }
}

function whileHeld(rig: Rig, person: Person): void {
  if (rig.plant.bath.phase === 'filling') whenPoured(rig, person)
  if (!isNaN(person.holdAgainSeconds)) return
  // A hold that nobody remembers is ended when the base calls it out.
  if (person.seen.calling && hasCome(rig, person)) {
    if (rig.plant.pins.seconds - person.lastPressSeconds > AGAIN_SECONDS) press(rig, person, 'hold')
  }
}

function acknowledge(rig: Rig, person: Person): void {
  const nowSeconds = rig.plant.pins.seconds
  if (!person.seen.calling || !hasCome(rig, person) || nowSeconds - person.lastPressSeconds < AGAIN_SECONDS) return
  press(rig, person, buttonThatWorks(person))
}

function hasCome(rig: Rig, person: Person): boolean {
  return rig.plant.pins.seconds - person.callingSeconds > person.comesSeconds
}

/** The screen says when the advance button is stuck and hold does its work. */
function buttonThatWorks(person: Person): Which {
  return person.seen.alarm.indexOf('Advance stuck') === 0 ? 'hold' : 'advance'
}

function spread(person: Person, seconds: number, fraction: number): number {
  return Math.max(0.3, seconds * (1 + fraction * gaussian(person.random)))
}

function changeSeconds(rig: Rig, person: Person): number {
  const { habits } = rig.plant.evening
  return spread(person, habits.changeSeconds, habits.handSpread) + person.lateSeconds
}

function reactionSeconds(rig: Rig, person: Person): number {
  const { habits } = rig.plant.evening
  return (
    Math.max(0, habits.reactionSeconds + habits.reactionSigmaSeconds * gaussian(person.random)) + person.lateSeconds
  )
}

/** Does it once its time has come, counted from when it was asked for. */
function whenDue(rig: Rig, person: Person, seconds: number, act: (rig: Rig, person: Person) => void): void {
  const nowSeconds = rig.plant.pins.seconds
  if (isNaN(person.actSeconds)) person.actSeconds = nowSeconds + seconds
  if (nowSeconds < person.actSeconds - DUE_SECONDS) return
  act(rig, person)
  pressSoon(rig, person)
}

function pour(rig: Rig, person: Person): void {
  const { plant } = rig
  const { habits } = plant.evening
  const index = Math.min(person.seen.bathIndex, plant.recipe.baths.length - 1)
  plant.operator.takesSeconds = spread(person, plant.recipe.pour.fillSeconds, habits.handSpread)
  plant.bathIndex = index - 1
  plant.evening.pourCelsius[index] = Math.max(1, (plant.evening.pourCelsius[index] as number) + person.pourOffCelsius)
  person.pourOffCelsius = 0
  handle(plant, 'beginPour')
  person.pourEndsSeconds = plant.pins.seconds + plant.operator.takesSeconds
  person.acted = true
  person.drainedEarly = false
}

/** What was poured is in: the tank is closed. */
function whenPoured(rig: Rig, person: Person): void {
  if (rig.plant.pins.seconds < person.pourEndsSeconds + person.lateSeconds - DUE_SECONDS) return
  handle(rig.plant, 'close')
  if (person.seen.asked !== 'close') return
  person.acted = true
  pressSoon(rig, person)
}

function drain(rig: Rig, person: Person): void {
  const { plant } = rig
  plant.operator.takesSeconds = spread(person, plant.recipe.pour.drainSeconds, plant.evening.habits.handSpread)
  handle(plant, 'beginDrain')
  person.acted = person.seen.asked === 'pourOut'
  // The tank that the base wants filled is emptied first.
  person.actSeconds = NaN
}

/** The press that goes with an act: a little before or after it, unless it is forgotten. */
function pressSoon(rig: Rig, person: Person): void {
  const off = rig.plant.evening.habits.pressSigmaSeconds * gaussian(person.random)
  person.pressSeconds = rig.plant.pins.seconds + Math.max(0, off) + person.forgetsSeconds
}

function pressAgain(rig: Rig, person: Person): void {
  if (rig.plant.pins.seconds - person.lastPressSeconds < AGAIN_SECONDS) {
    // Pouring out early has to be insisted on: the second press comes soon after the first.
    if (!person.drainedEarly || rig.plant.pins.seconds - person.lastPressSeconds < 1) return
  }
  person.pressSeconds = rig.plant.pins.seconds
}

function pressWhenDue(rig: Rig, person: Person): void {
  if (!(rig.plant.pins.seconds > person.pressSeconds - DUE_SECONDS)) return
  person.pressSeconds = NaN
  press(rig, person, buttonThatWorks(person))
}
