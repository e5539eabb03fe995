import { createBase, tick } from '../../firmware/base.ts'
import { defaultBase } from '../../firmware/defaultBase.ts'
import { makeRate } from '../../firmware/recipe/rate.ts'
import { colourNegative } from '../../firmware/recipe/shipped/colourNegative.ts'
import { defaultTank } from '../../firmware/tank/defaultTank.ts'
import { openSimulatedBoard } from '../board.ts'
import { drawEvening } from '../plant/evening.ts'
import type { Asked } from '../plant/operator.ts'
import { createPlant, stepPlant } from '../plant/plant.ts'

declare const print: (text: string) => void

const asked: { [state: string]: Asked } = {
  planned: 'pourIn',
  ready: 'pourIn',
  filling: 'close',
  fillingDue: 'pourOut',
  turning: 'wait',
  due: 'pourOut',
  held: 'wait',
  heldDue: 'pourOut',
  stopped: 'wait',
  stoppedDue: 'pourOut',
  draining: 'drain',
  finished: 'nothing',
  abandoned: 'nothing',
}
const recipe = colourNegative
const millilitres = recipe.baths.map(() => 300)
const plant = createPlant(
  recipe,
  defaultTank,
  defaultBase,
  recipe.baths.map(bath => (bath.kind === 'developed' ? makeRate(bath, 0) : undefined)),
  drawEvening({
    tank: defaultTank,
    base: defaultBase,
    seed: 1,
    roomCelsius: 20,
    millilitres: millilitres,
    pourCelsius: recipe.baths.map(() => 38),
    startCharge: 1,
  }),
)
const board = openSimulatedBoard({
  pins: plant.pins,
  adcBits: defaultBase.adcBits,
  hasRoom: defaultBase.room !== undefined,
  hasShaft: true,
  hasTank: true,
})
const base = createBase(board, defaultBase, defaultTank, recipe, {
  millilitres: millilitres,
  films: 1,
  filmsPerLitre: 0,
  operator: { reactionSeconds: 2.5, reactionSigmaSeconds: 1.5, known: false },
  lagKnown: false,
})
let steps = 0
while (steps < 60_000) {
  tick(base)
  for (let i = 0; i < base.session.eventCount; i++) {
    const event = base.session.events[i]
    print(base.estimates.nowSeconds.toFixed(1) + ' ' + event.kind + ' ' + base.clock.view.progress.toFixed(6) + ' ' + base.mishaps)
  }
  if (base.session.state === 'finished') break
  stepPlant(plant, steps < 100 ? 'wait' : asked[base.session.state])
  steps++
}
print('end ' + steps + ' ' + base.mishaps)
