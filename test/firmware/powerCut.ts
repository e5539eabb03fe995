/** A bench whose power can be cut: two short sessions, an operator who does as asked, and what may be expected afterwards. */
import { tick } from '../../firmware/base.ts'
import { defaultBase } from '../../firmware/defaultBase.ts'
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { evenAgitation } from '../../firmware/recipe/shipped/agitations.ts'
import { defaultTank } from '../../firmware/tank/defaultTank.ts'
import type { ByteStore, ResetCause } from '../../hal/board.ts'
import { type Bench, openBench, type RunOptions, restartBase } from '../../sim/bench/run.ts'
import { pressButton, releaseButton } from '../../sim/plant/pins.ts'
import { stepPlant } from '../../sim/plant/plant.ts'
import { ASKED } from '../../sim/rehearsal/asked.ts'

/** A developer and a stop: all that a session has, in five minutes. */
export const short: Recipe = {
  name: 'short',
  title: 'Short',
  pour: { fillSeconds: 4, drainSeconds: 5 },
  baths: [
    {
      name: 'developer',
      kind: 'developed',
      rows: [
        [20, 150],
        [30, 90],
      ],
      rowsFor: 'rotary',
      agitation: 'even',
    },
    { name: 'stop', kind: 'timed', seconds: 30, agitation: 'even' },
  ],
  agitations: { even: evenAgitation() },
}

export function optionsOf(seed: number, recipe: Recipe): RunOptions {
  return {
    recipe,
    tank: defaultTank,
    base: defaultBase,
    seed,
    filmsInTank: 1,
    filmsThrough: 0,
    roomCelsius: 20,
    millilitres: [300, 300],
    pourCelsius: [26, 20],
    startCharge: 0.9,
  }
}

export function open(seed: number, recipe = short, flash?: ByteStore): Bench {
  return openBench(optionsOf(seed, recipe), flash)
}

const LOOK_ROUND_STEPS = 100

/** One tick and a tenth of a second; the operator does as asked, and presses hold where a session waits to go on. */
export function step(bench: Bench): void {
  tick(bench.base)
  const { plant, base } = bench
  const state = base.session.state
  releaseButton(plant.pins, 'hold')
  const heldFor = base.estimates.nowSeconds - base.session.stateSeconds
  if (state === 'held' && heldFor > 3) pressButton(plant.pins, 'hold')
  stepPlant(plant, plant.steps < LOOK_ROUND_STEPS ? 'wait' : state === 'heldDue' ? 'pourOut' : ASKED[state])
}

export function isOver(bench: Bench): boolean {
  const { state } = bench.base.session
  return state === 'abandoned' || (state === 'finished' && bench.plant.bath.phase === 'empty')
}

export function runTo(bench: Bench, steps: number): void {
  while (bench.plant.steps < steps && !isOver(bench)) step(bench)
}

/** The tank stands in the dark: nobody does anything, and nothing is driven. */
export function goDark(bench: Bench, seconds: number): void {
  const { pins } = bench.plant
  pins.motorDuty = 0
  pins.motorGoodUntilSeconds = 0
  for (let i = 0; i < seconds * 10; i++) stepPlant(bench.plant, 'nothing')
}

/** The power goes, the tank stands in the dark, and the board starts. */
export function cut(bench: Bench, darkSeconds: number, cause: ResetCause): void {
  goDark(bench, darkSeconds)
  restartBase(bench, cause)
}

/** Seconds of ticks in which nobody touches the base. */
export function leave(bench: Bench, seconds: number): void {
  for (let i = 0; i < seconds * 10; i++) {
    tick(bench.base)
    stepPlant(bench.plant, 'nothing')
  }
}

/** A press of a moment, and the seconds after it. */
export function pressFor(bench: Bench, which: 'advance' | 'hold', seconds: number): void {
  pressButton(bench.plant.pins, which)
  leave(bench, 0.1)
  releaseButton(bench.plant.pins, which)
  leave(bench, seconds)
}

/** Why progress is not what the film got, within what the base says it knows; empty when it is. */
export function beyondBound(bench: Bench): string {
  const { base, plant } = bench
  const { progress, boundPercent } = base.clock.view
  const truth = plant.bath.trueProgress
  const off = Math.abs(truth / progress - 1) * 100
  return off <= boundPercent
    ? ''
    : `true ${truth.toFixed(4)}, believed ${progress.toFixed(4)} within ${boundPercent.toFixed(2)} %`
}
