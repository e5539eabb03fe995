/** Promises of the inside: what is believed stays a number, and nothing is thrown in a tick. */
import type { Base } from '../../../firmware/base.ts'
import { broke, type Check, type Watch } from './watch.ts'

/** A bath's first forecast comes within a second or two. */
const FORECAST_SECONDS = 3

export function createNumbersCheck(): Check {
  let mishaps = 0

  function checkFigures(watch: Watch, base: Base): void {
    const { estimates, clock, energy, session } = base
    // A bath that began in this tick is sensed with the next.
    const inBath = session.underway.contents !== 'empty' && base.bathSense.contents !== 'empty'
    const figures: [string, number][] = [
      ['bathCelsius', estimates.bathCelsius],
      ['bathSigmaCelsius', estimates.bathSigmaCelsius],
      ['lagSeconds', estimates.lagSeconds],
      ['progress', clock.view.progress],
      ['boundPercent', clock.view.boundPercent],
      ['tankTurns', estimates.tankTurns],
      ['tankRpm', estimates.tankRpm],
      ['charge', energy.view.charge],
      ['leftJoules', energy.view.leftJoules],
    ]
    // Before the first good reading nothing is known of bath and pack.
    const from = inBath ? 0 : 3
    for (let i = from; i < (energy.read ? 9 : 7); i++) {
      const [name, value] = figures[i] as [string, number]
      if (!isFinite(value)) broke(watch, 'figuresStayNumbers', `${name} is ${value}`)
    }
    const sinceSeconds = Math.max(watch.rig.startedSeconds, watch.rig.zeroSeconds + session.underway.sinceSeconds)
    const knows = inBath && watch.nowSeconds - sinceSeconds > FORECAST_SECONDS
    if (knows && !session.cueGiven && !isFinite(clock.view.cueAtSeconds)) {
      broke(watch, 'figuresStayNumbers', `cueAtSeconds is ${clock.view.cueAtSeconds}`)
    }
  }

  return {
    tick(watch, base) {
      if (base.mishaps + base.console.mishaps > mishaps) {
        mishaps = base.mishaps + base.console.mishaps
        // A write that the power tore is the end of this base in any case.
        if (!watch.rig.store.torn) broke(watch, 'nothingThrown', `${mishaps} mishaps inside`)
      }
      if (base.estimates.slow) checkFigures(watch, base)
    },
    restarted() {
      mishaps = 0
    },
  }
}
