/**
 * The pack's charge: coulombs counted, corrected by the resting voltage, each weighed by what it is worth. A Kalman
 * filter of two states, the charge and what one coulomb is of it (one over the capacity), so that the capacity is learned
 * as charge and voltage fall together.
 *
 * Assumes cells that match. Where there is no current sense the coulombs are those of a load model, and the second
 * state learns the model's error along with the capacity; charge and sessions come out right, joules in the model's measure.
 * Nothing is known until the first resting voltage. A reading that is not a number is left out.
 */
import type { BaseFile } from '../baseFile.ts'
import { chargeAtVolts, makeCurve, type RestingCurve, slopeAtCharge, voltsAtCharge } from './curve.ts'

/** One sigma of a resting cell against the base file's curve: ten straight lines are up to 10 mV off the measured one, cells differ by some (assumed). */
const CURVE_SIGMA_VOLTS = 0.008
/** The curve's error is the same for neighbouring charges: corrections a step apart within this reach are one and the same. */
const CURVE_REACH = 0.1
/** A correction is made each time so much charge has gone: enough for the mean of many rests. */
const CORRECTION_STEP = 0.01
/** One sigma of the capacity against its file, makers' tolerance and temperature (assumed); and with a load that is only modelled. */
const CAPACITY_SIGMA = 0.025
const MODEL_SIGMA = 0.25
const COLD_FRACTION = 0.65
/** How well what still ebbs away after load is known. */
const EBB_SIGMA = 0.4
/** A coulomb is never learned to be less or more than this against the file: beyond, the file or the sense is wrong. */
const LEAST_OF_FILE = 0.3
const MOST_OF_FILE = 3
/** What ebbs away within minutes: its resistance against the one learned, and its time (assumed, middle of lithium-ion cells). */
const EBB_OF_RESISTANCE = 0.35
const EBB_SECONDS = 80
/** One sigma of the charge at the end of discharge, where the curve is steep (assumed). */
const END_SIGMA = 0.01
/** Rests that the first charge is read from: the mean of this many seconds. */
const FIRST_RESTS = 3

/**
 * Capacity against temperature: the Samsung INR18650-15L sheet, item 7.5, has 80 % at 0 C and 100 % at 25 C, at 6.7 C of
 * current; two thirds of that loss are taken for the small currents of a roller base (assumed).
 */
export function capacityFactorAt(celsius: number): number {
  if (!(celsius < 25)) return 1
  return celsius > -20 ? 1 - COLD_FRACTION * 0.008 * (25 - celsius) : 1 - COLD_FRACTION * 0.36
}

export interface ChargeFilter {
  curve: RestingCurve
  cells: number
  /** What the base file says, at 25 C; and the part of it that the pack's temperature leaves. */
  fileCoulombs: number
  temperatureFactor: number
  known: boolean
  charge: number
  chargePerCoulomb: number
  /** The covariance of the two. */
  chargeVariance: number
  crossVariance: number
  perCoulombVariance: number
  /** Of the whole pack: what ebbs away within minutes after load. */
  ebbVolts: number
  /** Charge when it was last corrected, and what the rests said since. */
  correctedCharge: number
  innovationSum: number
  rests: number
  /** A charge that an earlier session left, waiting for the first resting voltage to agree; NaN for none. */
  rememberedCharge: number
}

export function createCharge(base: BaseFile): ChargeFilter {
  const fileCoulombs = base.pack.capacityMilliampHours * 3.6
  const sigma = base.pack.currentSense ? CAPACITY_SIGMA : MODEL_SIGMA
  return {
    charge: NaN,
    known: false,
    cells: base.pack.cells,
    chargePerCoulomb: 1 / fileCoulombs,
    curve: makeCurve(base.pack.restingCellVolts),
    ebbVolts: 0,
    chargeVariance: 1,
    crossVariance: 0,
    perCoulombVariance: (sigma / fileCoulombs) * (sigma / fileCoulombs),
    rests: 0,
    innovationSum: 0,
    correctedCharge: NaN,
    temperatureFactor: 1,
    fileCoulombs,
    rememberedCharge: NaN,
  }
}

/** Takes the room's temperature for the pack's: what a coulomb is of its charge, before anything is counted. */
export function fitToCelsius(f: ChargeFilter, celsius: number): void {
  const factor = capacityFactorAt(celsius)
  const change = f.temperatureFactor / factor
  f.chargePerCoulomb *= change
  f.perCoulombVariance *= change * change
  f.crossVariance *= change
  f.temperatureFactor = factor
}

/** The end of discharge was reached at what must be this charge, known to a hundredth. */
export function anchorEmpty(f: ChargeFilter, charge: number): void {
  if (!f.known || !isFinite(charge)) return
  applyCorrection(f, charge - f.charge, 1, END_SIGMA * END_SIGMA)
  beginCorrection(f)
}

/** Counts what left the pack in `seconds`, at a mean of `amps`. Once a second. */
export function countCoulombs(f: ChargeFilter, amps: number, seconds: number, resistanceOhms: number): void {
  f.ebbVolts +=
    (amps * resistanceOhms * EBB_OF_RESISTANCE - f.ebbVolts) * (seconds < EBB_SECONDS ? seconds / EBB_SECONDS : 1)
  if (!f.known) return
  const coulombs = amps * seconds
  f.charge -= coulombs * f.chargePerCoulomb
  f.chargeVariance += coulombs * (coulombs * f.perCoulombVariance - 2 * f.crossVariance)
  f.crossVariance -= coulombs * f.perCoulombVariance
}

/** Takes the volts of the pack with the motor at rest and `amps` drawn by the electronics alone. */
export function takeRest(f: ChargeFilter, packVolts: number, amps: number, resistanceOhms: number): void {
  const cellVolts = (packVolts + amps * resistanceOhms + f.ebbVolts) / f.cells
  if (!isFinite(cellVolts)) return
  f.rests++
  if (!f.known) {
    f.innovationSum += cellVolts
    if (f.rests >= FIRST_RESTS) firstCharge(f, f.innovationSum / f.rests)
    return
  }
  f.innovationSum += cellVolts - voltsAtCharge(f.curve, f.charge)
  const gone = f.correctedCharge - f.charge
  if (gone >= CORRECTION_STEP || gone <= -CORRECTION_STEP) correct(f)
}

/** Variance of a resting cell's voltage against the curve. */
function restVariance(f: ChargeFilter): number {
  const ebb = (EBB_SIGMA * f.ebbVolts) / f.cells
  return CURVE_SIGMA_VOLTS * CURVE_SIGMA_VOLTS + ebb * ebb
}

/** The first voltage decides the charge, unless an earlier session left one that agrees: then counting goes on from that. */
function firstCharge(f: ChargeFilter, cellVolts: number): void {
  const read = chargeAtVolts(f.curve, cellVolts)
  const slope = slopeAtCharge(f.curve, read)
  const readVariance = restVariance(f) / (slope * slope)
  const off = read - f.rememberedCharge
  f.known = true
  if (off * off < 4 * (readVariance + f.chargeVariance)) {
    f.charge = f.rememberedCharge
  } else {
    f.charge = read
    f.chargeVariance = readVariance
    f.crossVariance = 0
  }
  f.rememberedCharge = NaN
  beginCorrection(f)
}

function beginCorrection(f: ChargeFilter): void {
  f.correctedCharge = f.charge
  f.innovationSum = 0
  f.rests = 0
}

/** The correction by the mean of the rests since the last one. */
function correct(f: ChargeFilter): void {
  const slope = slopeAtCharge(f.curve, f.charge)
  applyCorrection(f, f.innovationSum / f.rests, slope, (restVariance(f) * CURVE_REACH) / CORRECTION_STEP)
  beginCorrection(f)
}

/** Kalman's: something that rises by `slope` with the charge was found `innovation` above what the charge says. */
function applyCorrection(f: ChargeFilter, innovation: number, slope: number, variance: number): void {
  const total = slope * slope * f.chargeVariance + variance
  const chargeGain = (slope * f.chargeVariance) / total
  const perCoulombGain = (slope * f.crossVariance) / total
  const charge = f.charge + chargeGain * innovation
  f.charge = charge > 1 ? 1 : charge < 0 ? 0 : charge
  const perCoulomb = f.chargePerCoulomb + perCoulombGain * innovation
  const least = LEAST_OF_FILE / (f.fileCoulombs * f.temperatureFactor)
  const most = MOST_OF_FILE / (f.fileCoulombs * f.temperatureFactor)
  f.chargePerCoulomb = perCoulomb < least ? least : perCoulomb > most ? most : perCoulomb
  f.perCoulombVariance -= perCoulombGain * slope * f.crossVariance
  f.crossVariance -= perCoulombGain * slope * f.chargeVariance
  f.chargeVariance -= chargeGain * slope * f.chargeVariance
}
