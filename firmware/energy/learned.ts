/**
 * What the base has learned of its pack and its load, as plain numbers that the journal can keep, and back again.
 *
 * Every number is checked on its way in: one that is missing or absurd is left out and the base file's figure stays, so
 * that a torn or old record costs some learning and nothing else.
 */
import { MOST_SPEEDS } from './load.ts'
import type { EnergyState } from './state.ts'

export interface LearnedEnergy {
  resistanceOhms: number
  /** Of the pack at 25 C, by the current sense or by the load model; its one sigma as a fraction. */
  capacityCoulombs: number
  capacitySpread: number
  /** Charge when it was exported, its sigma, and how the two errors go together (-1 to 1). NaN for a charge not known. */
  charge: number
  chargeSigma: number
  correlation: number
  sessionFactor: number
  sessions: number
  /** [rpm, joules per turn, legs] of each speed. */
  speeds: number[][]
}

export function exportLearned(state: EnergyState): LearnedEnergy {
  const f = state.charge
  const load = state.load
  const speeds: number[][] = []
  for (let i = 0; i < load.rpm.length; i++) speeds.push([load.rpm[i], load.joulesPerTurn[i], load.legs[i]])
  const both = Math.sqrt(f.chargeVariance * f.perCoulombVariance)
  return {
    resistanceOhms: state.view.resistanceOhms,
    capacityCoulombs: 1 / (f.chargePerCoulomb * f.temperatureFactor),
    capacitySpread: Math.sqrt(f.perCoulombVariance) / f.chargePerCoulomb,
    charge: f.known ? f.charge : NaN,
    chargeSigma: Math.sqrt(f.chargeVariance),
    correlation: both > 0 ? f.crossVariance / both : 0,
    sessionFactor: state.sessionFactor,
    sessions: state.sessions,
    speeds,
  }
}

function within(value: number, least: number, most: number): boolean {
  return typeof value === 'number' && value >= least && value <= most
}

/** Takes learned figures into a state that has not ticked yet. False when any of them was left out. */
export function importLearned(state: EnergyState, learned: LearnedEnergy): boolean {
  let all = true
  const ohms = learned.resistanceOhms
  if (within(ohms, state.fileOhms * 0.2, state.fileOhms * 5)) {
    state.view.resistanceOhms = ohms
    state.stepSquare *= 10
    state.stepProduct = state.stepSquare * ohms
  } else all = false
  all = importCharge(state, learned) && all
  if (within(learned.sessionFactor, 0.3, 3) && within(learned.sessions, 0, 1e6)) {
    state.sessionFactor = learned.sessionFactor
    state.sessions = learned.sessions
  } else all = false
  return importSpeeds(state, learned.speeds) && all
}

function importCharge(state: EnergyState, learned: LearnedEnergy): boolean {
  const f = state.charge
  if (!within(learned.capacityCoulombs, f.fileCoulombs / 3, f.fileCoulombs / 0.3)) return false
  if (!within(learned.capacitySpread, 0, 1)) return false
  f.chargePerCoulomb = 1 / (learned.capacityCoulombs * f.temperatureFactor)
  const sigma = learned.capacitySpread * f.chargePerCoulomb
  f.perCoulombVariance = sigma * sigma
  if (!within(learned.charge, 0, 1) || !within(learned.chargeSigma, 0, 1) || !within(learned.correlation, -1, 1)) {
    return false
  }
  f.rememberedCharge = learned.charge
  f.chargeVariance = learned.chargeSigma * learned.chargeSigma
  f.crossVariance = learned.correlation * learned.chargeSigma * sigma
  return true
}

function importSpeeds(state: EnergyState, speeds: number[][]): boolean {
  if (!Array.isArray(speeds)) return false
  const load = state.load
  for (let i = 0; i < speeds.length; i++) {
    const ofOneRpm = speeds[i]
    if (load.rpm.length >= MOST_SPEEDS || !Array.isArray(ofOneRpm)) return false
    if (!within(ofOneRpm[0], 1, 500) || !within(ofOneRpm[1], 1e-3, 1e4) || !within(ofOneRpm[2], 1, 1e6)) return false
    load.rpm.push(ofOneRpm[0])
    load.joulesPerTurn.push(ofOneRpm[1])
    load.legs.push(ofOneRpm[2])
  }
  return true
}
