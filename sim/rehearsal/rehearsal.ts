/**
 * A rehearsal: the firmware as it is, with the base, the tank, the room and a hand simulated around it, step by step.
 * Knows no Node, so that it runs on the board's own engine; whoever steps it decides how fast.
 *
 * Nothing is kept of how evenly the film was wetted: that takes memory which a board needs for other things. What a
 * checked recipe and base file do not allow is thrown by `createRehearsal`; a step never throws.
 */
import { type Base, createBase, tick } from '../../firmware/base.ts'
import type { BaseFile } from '../../firmware/baseFile.ts'
import { type ConsoleOptions, UNNAMED } from '../../firmware/console/console.ts'
import { makeRate } from '../../firmware/recipe/rate.ts'
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import type { SessionEvent, SessionEventKind } from '../../firmware/session/events.ts'
import { expectedPourCelsius } from '../../firmware/session/pour.ts'
import type { Tank } from '../../firmware/tank/tank.ts'
import type { Board } from '../../hal/board.ts'
import { drawEvening } from '../plant/evening.ts'
import type { Act } from '../plant/operator.ts'
import type { Pins } from '../plant/pins.ts'
import { createPlant, handle, type Plant, STEP_SECONDS, stepPlant } from '../plant/plant.ts'
import { ASKED, LOOK_ROUND_SECONDS, USUAL_REACTION } from './asked.ts'

/** Who presses advance; `nobody` while a rehearsal has not begun. */
export type Hand = 'simulated' | 'person' | 'nobody'

export interface RehearsalOptions {
  recipe: Recipe
  tank: Tank
  file: BaseFile
  seed: number
  roomCelsius: number
  /** Of each bath. */
  millilitres: number
  /** Who presses advance: the simulated hand, or a person, whose every press stands for its act. */
  hand: Hand
  /** What the console says and may do; it only answers when left out. */
  console?: ConsoleOptions | undefined
  /** Opens the simulated board on the plant's pins. */
  openBoard: (pins: Pins) => Board
}

export interface Rehearsal {
  plant: Plant
  board: Board
  base: Base
  hand: Hand
}

/** The pack is taken as charged. */
const START_CHARGE = 0.95
const LOOK_ROUND_STEPS = LOOK_ROUND_SECONDS / STEP_SECONDS

export function createRehearsal(options: RehearsalOptions): Rehearsal {
  const { recipe, tank, file } = options
  const baths = recipe.baths
  const plant = createPlant(
    recipe,
    tank,
    file,
    baths.map(bath => (bath.kind === 'developed' ? makeRate(bath, 0) : undefined)),
    drawEvening({
      tank,
      base: file,
      seed: options.seed,
      roomCelsius: options.roomCelsius,
      millilitres: baths.map(() => options.millilitres),
      pourCelsius: baths.map((_, index) => expectedPourCelsius(recipe, index)),
      startCharge: START_CHARGE,
    }),
    undefined,
  )
  const board = options.openBoard(plant.pins)
  const base = createBase(board, file, tank, recipe, {
    millilitres: options.millilitres,
    films: 1,
    filmsPerLitre: 0,
    operator: USUAL_REACTION,
    lagKnown: false,
    console: options.console === undefined ? UNNAMED : options.console,
  })
  return { plant, board, base, hand: options.hand }
}

/** What a person's press does to the tank. */
const DONE_BY_PRESS: { [kind in SessionEventKind]?: Act } = {
  bathBegun: 'beginPour',
  turningBegun: 'close',
  drainBegun: 'beginDrain',
  bathEnded: 'emptied',
}

/** One tick of the firmware: afterwards `base.session.events` say what happened. `movePlant` follows. */
export function tickFirmware(r: Rehearsal): void {
  tick(r.base)
}

/** A tenth of a second goes by in room, tank and base. */
export function movePlant(r: Rehearsal): void {
  const { session } = r.base
  const { plant } = r
  if (r.hand === 'person') {
    for (let i = 0; i < session.eventCount; i++) {
      const act = DONE_BY_PRESS[(session.events[i] as SessionEvent).kind]
      if (act === undefined) continue
      plant.operator.takesSeconds =
        act === 'beginDrain' ? plant.recipe.pour.drainSeconds : plant.recipe.pour.fillSeconds
      handle(plant, act)
    }
    stepPlant(plant, 'nothing')
  } else if (r.hand === 'nobody') stepPlant(plant, 'nothing')
  else stepPlant(plant, plant.steps < LOOK_ROUND_STEPS ? 'wait' : ASKED[session.state])
}

/** The session is over, and the tank is empty. */
export function isOver(r: Rehearsal): boolean {
  const state = r.base.session.state
  return state === 'abandoned' || (state === 'finished' && r.plant.bath.phase === 'empty')
}
