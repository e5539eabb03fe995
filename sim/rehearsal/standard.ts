/** The rehearsal that is bundled: the standard colour process in the tank and on the base that ship. */

import type { ConsoleOptions } from '../../firmware/console/console.ts'
import { defaultBase } from '../../firmware/defaultBase.ts'
import { makeColourNegative } from '../../firmware/recipe/shipped/colourNegative.ts'
import { defaultTank } from '../../firmware/tank/defaultTank.ts'
import { openPlainBoard, type Shown } from './plainBoard.ts'
import { createRehearsal, type Hand, type Rehearsal } from './rehearsal.ts'

export interface StandardOptions {
  hand: Hand
  shown?: Shown | undefined
  console?: ConsoleOptions | undefined
}

/** Two reels in the tank that ships, in an ordinary room. */
const MILLILITRES = 300
const ROOM_CELSIUS = 20

export function standardRehearsal(options: StandardOptions): Rehearsal {
  return createRehearsal({
    recipe: makeColourNegative(),
    tank: defaultTank,
    file: defaultBase,
    seed: 1,
    roomCelsius: ROOM_CELSIUS,
    millilitres: MILLILITRES,
    hand: options.hand,
    console: options.console,
    openBoard: pins =>
      openPlainBoard({
        pins,
        adcBits: defaultBase.adcBits,
        hasRoom: defaultBase.room !== undefined,
        hasShaft: defaultBase.rotation.edgesPerShaftTurn > 0,
        hasTank: defaultBase.rotation.magnetsOnTank > 0,
        shown: options.shown,
      }),
  })
}
