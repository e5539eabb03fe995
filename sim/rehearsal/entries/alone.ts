/** Entry that prints how many variables the firmware alone takes on the engine that runs it: on a board that does nothing, before the first press. */
import { createBase, tick } from '../../../firmware/base.ts'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { makeColourNegative } from '../../../firmware/recipe/shipped/colourNegative.ts'
import { defaultTank } from '../../../firmware/tank/defaultTank.ts'
import { createPins } from '../../plant/pins.ts'
import { USUAL_REACTION } from '../asked.ts'
import { openPlainBoard } from '../plainBoard.ts'

declare const print: (line: string) => void
declare const process: { memory(): { usage: number } }

const board = openPlainBoard({
  pins: createPins(),
  adcBits: defaultBase.adcBits,
  hasRoom: true,
  hasShaft: true,
  hasTank: true,
})
const code = process.memory().usage
const base = createBase(board, defaultBase, defaultTank, makeColourNegative(), {
  millilitres: 300,
  films: 1,
  filmsPerLitre: 0,
  operator: USUAL_REACTION,
  lagKnown: false,
})
for (let i = 0; i < 30; i++) tick(base)
print(JSON.stringify({ code, session: process.memory().usage }))
