/**
 * What varies from evening to evening: the described distribution that a population is drawn from. A file may say any of
 * it; what it leaves out is as in `usual`.
 *
 * Nothing here says what a base is told of itself: how well its probe and tank are known stands in the base and tank files,
 * and counts here in their own sigmas.
 */
import type { Spread } from './spread.ts'

export interface Distribution {
  name: string
  note?: string
  source?: string
  roomCelsius: Spread
  /** Share of evenings without the baths before the developer. */
  withoutPrewet: number
  /** Part of the reels that have a film, 0 to 1; one film at least. */
  reelsLoaded: Spread
  /** Films already through a litre of the solutions, whole. */
  filmsThrough: Spread
  /** From what the plan advises (0) to what the tank holds lying (1). */
  volumeFraction: Spread
  /** How far off the measuring jug is, as a fraction. */
  jugError: Spread
  /** Share of evenings on which the operator pours as the plan advises; on the others at the temperature of the sheet. */
  pourByPlan: number
  /** What is in the bottle against what was meant, for each bath. */
  pourOffCelsius: Spread
  /** What calibration left, in the base file's sigmas. */
  probeCalibration: Spread
  /** The lag against the base file's, in its sigmas, of its logarithm. */
  probeLag: Spread
  /** The heat of the tank against the tank file's, in its sigmas, of its logarithm. */
  tankHeat: Spread
  startCharge: Spread
  /** 0 for a new pack, 1 for one at the end of its life. */
  packAge: Spread
  reactionSeconds: Spread
  reactionSigmaSeconds: Spread
  handSpread: Spread
  changeSeconds: Spread
  pressSigmaSeconds: Spread
}

/**
 * Evenings as they are: poured at the sheet's temperature, give or take, whatever the tank has. All assumed but where a
 * source is named; rooms, pours and what is known of the probe are what the clock's error is promised for.
 */
const usual: Distribution = {
  name: 'usual',
  note: 'Poured within 2 C of the sheet whatever the tank has, in rooms from 10 to 32 C.',
  source: 'assumed, each figure as its comment says',
  // An unheated bathroom in winter to a flat in summer: assumed.
  roomCelsius: { between: [10, 32] },
  // Makers disagree: about 60 s advised (KODAK J-109, 2018, for trays; MACO/ROLLEI RETRO, 2021), not recommended (ILFORD
  // HP5 Plus, 2018; AgfaPhoto APX 400, 2014). Half and half: assumed.
  withoutPrewet: 0.5,
  reelsLoaded: { between: [0, 1] },
  // Half of the solutions fresh, the others used before: assumed.
  filmsThrough: {
    choose: [
      [0, 6],
      [1, 1],
      [2, 1],
      [3, 1],
      [4, 1],
      [5, 1],
      [6, 1],
    ],
  },
  volumeFraction: { between: [0, 1] },
  // A jug of 500 mL with marks every 5 or 10: assumed.
  jugError: { around: [0, 0.01] },
  pourByPlan: 0,
  // A bottle out of a water bath, by a thermometer that is read in a hurry: assumed.
  pourOffCelsius: { between: [-2, 2] },
  probeCalibration: { around: [0, 1] },
  probeLag: { around: [0, 1] },
  tankHeat: { around: [0, 1] },
  // Charged now and then: assumed.
  startCharge: { between: [0.35, 1] },
  // Packs of all ages, but those that their owner would replace: assumed.
  packAge: { between: [0, 0.8] },
  // A person in gloves who listens for the call: all assumed.
  reactionSeconds: { between: [1, 4] },
  reactionSigmaSeconds: { between: [0.3, 1] },
  handSpread: { between: [0.05, 0.2] },
  changeSeconds: { between: [10, 30] },
  pressSigmaSeconds: { is: 0.15 },
}

/** The same evenings, poured as the plan advises: warmer into a cold tank. */
const planned: Distribution = {
  ...usual,
  name: 'planned',
  note: 'As usual, but poured as the plan advises for the room, within 2 C.',
  pourByPlan: 1,
  pourOffCelsius: { around: [0, 0.7], within: [-2, 2] },
}

export const DISTRIBUTIONS: Distribution[] = [usual, planned]
export const DEFAULT_DISTRIBUTION = usual.name

export function findDistribution(name: string): Distribution | undefined {
  return DISTRIBUTIONS.find(one => one.name === name)
}
