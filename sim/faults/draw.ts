/**
 * From a seed to a scenario. First the base, the recipe and the evening; then, fault by fault, whether it is possible in
 * this session at all ("swarm": a few kinds, often, find more than all kinds at once), how often, when, how long, how strong.
 *
 * Every fault draws from a stream of its own, always the same figures in the same order: a fault that is added or left
 * out does not change the others, so a session can be replayed with some of its faults only.
 */
import type { BaseFile } from '../../firmware/baseFile.ts'
import { defaultBase } from '../../firmware/defaultBase.ts'
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { findRecipe, SHIPPED_NAMES } from '../../firmware/recipe/shipped/shipped.ts'
import { runByPlan } from '../bench/defaults.ts'
import { between, createRandom, type Random, uniform } from '../plant/random.ts'
import { drawShortRecipe } from './drawRecipe.ts'
import type { FaultKind, Needs } from './faultKind.ts'
import type { FaultEvent, Moment, Scenario } from './scenario.ts'
import { FAULT_NAMES, FAULTS, type FaultName } from './table.ts'

/** The streams of the plant are below. */
export const FAULT_STREAM = { scenario: 900, effects: 901, person: 902, firstFault: 1000 }

/** One session in so many has a shipped recipe, which takes half an hour and more; the others take minutes. */
const SHIPPED_SHARE = 0.08
/** One session in so many has no fault at all: nothing may be raised in it. */
const CLEAN_SHARE = 0.08
/** Kinds of fault that are possible in one session, on average, at least and at most. */
const KINDS = [1, 9] as const
/** Share of the events that wait for a moment of the session. */
const AFTER_SHARE = 0.4
const MOMENTS: Moment[] = ['bathBegun', 'turningBegun', 'cueGiven', 'drainBegun', 'bathEnded', 'alarmRaised']

/** Draws the session of this seed. */
export function drawScenario(seed: number): Scenario {
  const random = createRandom(seed, FAULT_STREAM.scenario)
  const isClean = uniform(random) < CLEAN_SHARE
  const kinds = between(random, KINDS[0], KINDS[1])
  const recipe = drawRecipe(random)
  const base = drawBase(random)
  const run = runByPlan({
    seed,
    recipe,
    base,
    roomCelsius: Math.round(between(random, 12, 30)),
    startCharge: drawCharge(uniform(random), uniform(random)),
  })
  const wallClockSet = uniform(random) < 0.5
  const scenario: Scenario = { seed, run, possible: [], events: [], wallClockSet }
  const expectedSeconds = expectedLength(recipe)
  FAULT_NAMES.forEach((name, index) => {
    const kind: FaultKind = FAULTS[name]
    const stream = createRandom(seed, FAULT_STREAM.firstFault + index)
    const isPossible = uniform(stream) < kinds / FAULT_NAMES.length
    const times = kind.lasts === 'session' ? 1 : Math.round(between(stream, kind.times[0] - 0.5, kind.times[1] + 0.499))
    if (isClean || !isPossible || !has(base, kind.needs)) return
    scenario.possible.push({ fault: name, times })
    for (let place = 1; place <= times; place++) {
      scenario.events.push(drawEvent(stream, name, kind, place, recipe, expectedSeconds))
    }
  })
  return scenario
}

function drawEvent(
  random: Random,
  fault: FaultName,
  kind: FaultKind,
  place: number,
  recipe: Recipe,
  expectedSeconds: number,
): FaultEvent {
  const isAfter = uniform(random) < AFTER_SHARE
  const moment = MOMENTS[Math.floor(uniform(random) * MOMENTS.length)] as Moment
  const bathIndex = Math.floor(uniform(random) * recipe.baths.length)
  const soon = between(random, 0, 20)
  const anywhere = between(random, 0, expectedSeconds)
  const strength = tidy(drawStrength(uniform(random), kind))
  const part = uniform(random)
  if (kind.lasts === 'session') return { fault, place, atSeconds: 0, lastsSeconds: Infinity, strength }
  const [least, most] = kind.lasts
  // Short ones are as likely as long ones: evenly over the logarithm.
  const lastsSeconds = most === 0 ? 0 : tidy(least * (most / least) ** part)
  if (!isAfter) return { fault, place, atSeconds: tidy(anywhere), lastsSeconds, strength }
  return { fault, place, atSeconds: tidy(soon), after: { moment, bathIndex }, lastsSeconds, strength }
}

/** `part`: 0 to 1. */
function drawStrength(part: number, { range, oftenWithin }: FaultKind): number {
  if (oftenWithin === undefined) return range[0] + part * (range[1] - range[0])
  if (part < 0.5) return range[0] + 2 * part * (range[1] - range[0])
  const [least, most] = oftenWithin
  const sign = part < 0.75 ? -1 : 1
  return sign * least * (most / least) ** (4 * part - (part < 0.75 ? 2 : 3))
}

/** Four digits are enough to print, and what is printed is what is meant. */
function tidy(value: number): number {
  return Number(value.toPrecision(4))
}

function drawRecipe(random: Random): Recipe {
  const isShipped = uniform(random) < SHIPPED_SHARE
  const which = Math.floor(uniform(random) * SHIPPED_NAMES.length)
  const short = drawShortRecipe(random)
  return isShipped ? (findRecipe(SHIPPED_NAMES[which] as string) as Recipe) : short
}

/** What makers build: with and without a disc, magnets, a current sense, a second thermistor. */
function drawBase(random: Random): BaseFile {
  const [disc, magnets, sense, room] = [uniform(random), uniform(random), uniform(random), uniform(random)]
  const { room: roomProbe, ...rest } = defaultBase
  return {
    ...rest,
    ...(room < 0.75 && roomProbe !== undefined && { room: roomProbe }),
    rotation: { edgesPerShaftTurn: disc < 0.8 ? 8 : 0, magnetsOnTank: magnets < 0.5 ? 1 : magnets < 0.8 ? 2 : 0 },
    pack: { ...defaultBase.pack, currentSense: sense < 0.8 },
  }
}

/** Most packs were charged the evening before; some were not, and some give out within minutes. */
function drawCharge(kind: number, part: number): number {
  if (kind < 0.65) return 0.95
  return kind < 0.85 ? 0.03 + 0.47 * part : 0.005 + 0.075 * part
}

export function has(base: BaseFile, needs: Needs | undefined): boolean {
  const disc = base.rotation.edgesPerShaftTurn > 0
  const magnets = base.rotation.magnetsOnTank > 0
  switch (needs) {
    case undefined:
      return true
    case 'disc':
      return disc
    case 'magnets':
      return magnets
    case 'discAndMagnets':
      return disc && magnets
    case 'currentSense':
      return base.pack.currentSense
    case 'room':
      return base.room !== undefined
  }
}

/** About how long a session takes, the changes of bottles counted in. */
export function expectedLength(recipe: Recipe): number {
  let seconds = 20
  for (const bath of recipe.baths) {
    const rows = bath.rows
    const own = rows === undefined ? (bath.seconds ?? 60) : ((rows[rows.length - 1] as [number, number])[1] ?? 60)
    seconds += own + 25
  }
  return seconds
}
