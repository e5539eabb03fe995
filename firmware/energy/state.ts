/**
 * All that the energy room keeps: one object made at start, in plain numbers, written by `energy.ts` and `budget.ts`.
 */
import type { BaseFile } from '../baseFile.ts'
import type { Recipe } from '../recipe/recipe.ts'
import { type ChargeFilter, createCharge } from './charge.ts'
import { createLoad, type LoadModel } from './load.ts'
import type { EnergyView } from './view.ts'

/** One sigma of a reading's volts, and of the base file's resistance as a fraction (assumed). */
const VOLTS_SIGMA = 0.005
const RESISTANCE_SPREAD = 0.3
/** The rate at which makers state a cell's capacity and end of discharge: 0.2 C, a fifth of its capacity in an hour. */
const RATING_PER_HOUR = 0.2
/** How many ticks after the motor was turned off its rest is measured: with a current sense the filtered amps make up for the filtered volts; without, the filter must settle. */
const REST_TICKS_SENSED = 2
const REST_TICKS_MODELLED = 4

export interface EnergyState {
  view: EnergyView
  charge: ChargeFilter
  load: LoadModel
  currentSense: boolean
  restTicksNeeded: number
  electronicsWatts: number
  screenWatts: number
  fileOhms: number
  emptyPackVolts: number
  ratingAmps: number
  restSecondsAtLeast: number

  /** Sums since the last slow tick: of the motor alone, in modelled amps where there is no sense. */
  seconds: number
  voltSeconds: number
  coulombs: number
  joules: number
  /** The leg that runs. */
  legs: number
  /** Of the motor since the base started, less `joules`; and that with `joules` when the leg began. */
  motorJoules: number
  legBeganJoules: number
  legRpm: number
  legTurnsBefore: number
  lastRpm: number
  restTicks: number
  cruiseVolts: number
  cruiseAmps: number
  stepSquare: number
  stepProduct: number

  /** Since the base started. */
  spentJoules: number
  watts: number
  emptySeconds: number
  chargedSeconds: number
  judgeSeconds: number
  /** The pack was read at least once. */
  read: boolean

  /** The session's: joules that its rest needs at each level of shedding, and when that was reckoned. */
  needed: number[]
  neededSpread: number
  neededAtSpentJoules: number
  budgeted: boolean
  underway: boolean
  sessionBeganJoules: number
  levelWaits: number
  /** Learned: what sessions take against what their budget says, and how many were seen. */
  sessionFactor: number
  sessions: number
  /** Expected seconds of each bath of the recipe that was budgeted last. */
  recipe: Recipe | undefined
  bathSeconds: number[]
}

export function createEnergy(base: BaseFile): EnergyState {
  const stepAmps = VOLTS_SIGMA / (RESISTANCE_SPREAD * base.pack.resistanceOhms)
  const stepSquare = stepAmps * stepAmps
  return {
    view: {
      charge: 0,
      chargeSigma: 1,
      resistanceOhms: base.pack.resistanceOhms,
      neededJoules: 0,
      neededSigmaJoules: 0,
      leftJoules: 0,
      leftSigmaJoules: 0,
      enough: true,
      shedding: 0,
      callByHand: false,
      empty: false,
    },
    seconds: 0,
    read: false,
    charge: createCharge(base),
    underway: false,
    joules: 0,
    legs: 0,
    currentSense: base.pack.currentSense,
    voltSeconds: 0,
    lastRpm: 0,
    cruiseVolts: NaN,
    cruiseAmps: 0,
    coulombs: 0,
    electronicsWatts: base.power.electronicsWatts,
    restTicks: 0,
    motorJoules: 0,
    legBeganJoules: 0,
    recipe: undefined,
    legRpm: 0,
    restTicksNeeded: base.pack.currentSense ? REST_TICKS_SENSED : REST_TICKS_MODELLED,
    watts: base.power.electronicsWatts + base.power.turningWatts,
    judgeSeconds: 0,
    emptySeconds: 0,
    ratingAmps: (base.pack.capacityMilliampHours / 1000) * RATING_PER_HOUR,
    emptyPackVolts: base.pack.emptyCellVolts * base.pack.cells,
    spentJoules: 0,
    screenWatts: base.power.screenWatts,
    chargedSeconds: 0,
    bathSeconds: [],
    stepSquare,
    needed: [0, 0, 0, 0],
    neededSpread: 0,
    stepProduct: stepSquare * base.pack.resistanceOhms,
    fileOhms: base.pack.resistanceOhms,
    legTurnsBefore: 0,
    neededAtSpentJoules: 0,
    levelWaits: 0,
    load: createLoad(base),
    budgeted: false,
    restSecondsAtLeast: base.drive.restSecondsAtLeast,
    sessionFactor: 1,
    sessions: 0,
    sessionBeganJoules: 0,
  }
}
