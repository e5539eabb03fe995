/** Baths for the tests of tuning: exact lengths, a charged pack, the default base and tank. */
import { defaultBase } from '../../../../firmware/defaultBase.ts'
import type { Agitation } from '../../../../firmware/recipe/recipe.ts'
import { defaultTank } from '../../../../firmware/tank/defaultTank.ts'
import { mostLyingMillilitres } from '../../../../firmware/tank/volume.ts'
import type { Figures } from '../../../../sim/bench/tune/figures.ts'
import type { TuneSetup } from '../../../../sim/bench/tune/setup.ts'

/** The surface goes through the axis: every turn of film is in the bath for half of each turn. */
export const HALF_FULL = mostLyingMillilitres(defaultTank)

export function halfFullFor(turningSeconds: number): TuneSetup {
  return {
    base: defaultBase,
    tank: defaultTank,
    millilitres: HALF_FULL,
    turningSeconds,
    secondsSpread: 0,
    roomCelsius: 20,
    charge: [0.9, 0.9],
    seed: 1,
  }
}

/** One leg longer than the bath: the tank never turns back. */
export function oneWay(rpm: number): Agitation {
  return { rpm, legTurns: 50, restSeconds: 0.2, rampSeconds: 0.1, stagger: false }
}

/** Figures of a good programme, changed as a test needs. */
export function figuresWith(changed: Partial<Figures>): Figures {
  return {
    immersionCv: 0.008,
    longestDrySeconds: 2,
    exchangesPerMinute: 40,
    reversals: 40,
    joules: 200,
    motorJoules: 150,
    peakAmps: 0.3,
    foamMillimetresPerSecond: 150,
    oneWaySeconds: 5,
    reachedFraction: 1,
    failedFraction: 0,
    ...changed,
  }
}
