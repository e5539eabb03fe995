/**
 * The pack as it really is: one or two lithium-ion cells in series, their resting voltage, the resistance that shows at
 * once and the part that comes and goes within seconds and minutes, and what cold does to both capacity and resistance.
 *
 * The firmware knows a curve of ten points and a rounded capacity; the truth here is a smooth, slightly different curve
 * and a capacity and resistance drawn for this one pack. Currents are the pack's: motor and electronics together.
 * A current that is not a number counts as none. Below the protection's limit the pack opens and gives 0 V until
 * `resetPack`; that is the cells' own hardware, not firmware.
 */
import type { BaseFile } from '../../firmware/baseFile.ts'
import { between, gaussian, type Random } from './random.ts'

/** One sigma of what the board's converter adds to a reading; assumed: 12 bits over a divider, averaged a little. */
export const PACK_VOLTS_SIGMA = 0.004
export const MOTOR_AMPS_SIGMA = 0.01

/** Points of the fine curve, evenly over the charge: the step of 0.5 % is below any structure of a real curve. */
const CURVE_STEPS = 200
/** Cell protection opens here (usual for a hardware protection circuit; from memory). */
const PROTECTION_CELL_VOLTS = 2.5
/** Resistance rises in the cold like exp(E/R (1/T - 1/298 K)): 20 kJ/mol, E/R in kelvin (from memory, literature 15 to 30). */
const RESISTANCE_SLOPE_KELVIN = 2400
const REFERENCE_KELVIN = 298.15
/**
 * Capacity against temperature in percent of that at 25 C: Samsung INR18650-15L sheet, item 7.5. It was measured at 6.7
 * C, where resistance ends the discharge early; at our rates a part of that loss is seen, drawn for each pack (assumed).
 */
const CAPACITY_PERCENT: [number, number][] = [
  [-20, 60],
  [-10, 75],
  [0, 80],
  [25, 100],
  [60, 100],
]

/** What one pack is: drawn once, never changed by the simulation. */
export interface PackTruth {
  cells: number
  /** Of each cell at 25 C. */
  capacityCoulombs: number
  /** The weakest cell's part of that; 1 for cells that match. */
  weakCellFactor: number
  /** How much of the sheet's loss in the cold this pack shows: 0 to 1. */
  coldFraction: number
  /** Resting volts of one cell at charge 0, 1/200 ... 1. */
  restingCellVolts: number[]
  /** Of the pack at 25 C: what shows at once, with wiring; what follows within a second; what follows within a minute. */
  resistanceOhms: number
  quickOhms: number
  quickSeconds: number
  slowOhms: number
  slowSeconds: number
  celsius: number
}

/** What a pack is doing: one flat object, written by every step. */
export interface PackState {
  truth: PackTruth
  cells: number
  /** Fraction of its capacity that the ordinary cell still holds. */
  charge: number
  /** The same of the weakest cell. */
  weakCharge: number
  /** At the terminals, after the last step. */
  packVolts: number
  /** The lowest cell's share of it. */
  leastCellVolts: number
  quickVolts: number
  slowVolts: number
  /** Given at the terminals since the pack was made. */
  joules: number
  /** The protection has opened. */
  cutOff: boolean
  chargePerCoulomb: number
  weakChargePerCoulomb: number
  resistanceOhms: number
  quickOhms: number
  slowOhms: number
  stepSeconds: number
  quickKept: number
  slowKept: number
}

/** Volts between the points [charge, volts] of a curve, rising in charge; the end points' beyond the ends. */
export function curveAt(points: [number, number][], charge: number): number {
  if (!(charge > points[0][0])) return points[0][1]
  for (let i = 1; i < points.length; i++) {
    if (charge <= points[i][0]) {
      const part = (charge - points[i - 1][0]) / (points[i][0] - points[i - 1][0])
      return points[i - 1][1] + part * (points[i][1] - points[i - 1][1])
    }
  }
  return points[points.length - 1][1]
}

/** A fine table of 201 volts from the points of a curve, each shifted by `shiftVolts(charge)`; kept rising. */
export function fineCurve(points: [number, number][], shiftVolts: (charge: number) => number): number[] {
  const fine: number[] = []
  for (let i = 0; i <= CURVE_STEPS; i++) {
    const charge = i / CURVE_STEPS
    const volts = curveAt(points, charge) + shiftVolts(charge)
    fine.push(i > 0 && volts < fine[i - 1] ? fine[i - 1] : volts)
  }
  return fine
}

/** Part of the capacity at 25 C that a pack at this temperature gives at high current, 0 to 1: the sheet's figure. */
export function capacityFactorAt(celsius: number): number {
  return curveAt(CAPACITY_PERCENT, celsius) / 100
}

/** Factor on the resistance at 25 C. */
export function resistanceFactorAt(celsius: number): number {
  return Math.exp(RESISTANCE_SLOPE_KELVIN * (1 / (celsius + 273.15) - 1 / REFERENCE_KELVIN))
}

/**
 * Draws the pack of one base. Assumed spreads, one sigma: capacity 1.5 % (makers guarantee 98 % of nominal: ICR18650-26C
 * 2550 of 2600 mAh; whoever builds a base of old cells measures them), resistance 15 %, curve 4 mV as a whole and 4 mV as a slow wave along it.
 */
export function drawPackTruth(random: Random, base: BaseFile, roomCelsius: number): PackTruth {
  const capacityFactor = Math.min(1.06, Math.max(0.9, 1 + 0.015 * gaussian(random)))
  const resistance = base.pack.resistanceOhms * Math.exp(0.15 * gaussian(random))
  const offsetVolts = 0.004 * gaussian(random)
  const waveVolts = 0.004 * gaussian(random)
  const phase = between(random, 0, 2 * Math.PI)
  return {
    cells: base.pack.cells,
    capacityCoulombs: base.pack.capacityMilliampHours * 3.6 * capacityFactor,
    weakCellFactor: 1,
    coldFraction: between(random, 0.4, 0.9),
    restingCellVolts: fineCurve(
      base.pack.restingCellVolts,
      charge => offsetVolts + waveVolts * Math.sin(2 * Math.PI * 1.5 * charge + phase),
    ),
    resistanceOhms: resistance * 0.8,
    quickOhms: resistance * 0.2,
    quickSeconds: between(random, 0.3, 1.5),
    slowOhms: resistance * between(random, 0.2, 0.5),
    slowSeconds: between(random, 40, 120),
    celsius: roomCelsius,
  }
}

/** A pack at rest for hours, with this charge (0 to 1). */
export function createPackPlant(truth: PackTruth, charge: number): PackState {
  const state: PackState = {
    packVolts: 0,
    charge,
    truth,
    quickVolts: 0,
    slowVolts: 0,
    joules: 0,
    cells: truth.cells,
    stepSeconds: 0,
    leastCellVolts: 0,
    resistanceOhms: 0,
    chargePerCoulomb: 0,
    quickOhms: 0,
    slowOhms: 0,
    quickKept: 0,
    slowKept: 0,
    weakCharge: charge,
    cutOff: false,
    weakChargePerCoulomb: 0,
  }
  setPackCelsius(state, truth.celsius)
  stepPack(state, 0, 0)
  return state
}

/** The pack takes another temperature: its charge stays, what the charge is worth and its resistance change. */
export function setPackCelsius(state: PackState, celsius: number): void {
  const truth = state.truth
  const coulombs = truth.capacityCoulombs * (1 - truth.coldFraction * (1 - capacityFactorAt(celsius)))
  const resistanceFactor = resistanceFactorAt(celsius)
  state.chargePerCoulomb = 1 / coulombs
  state.weakChargePerCoulomb = 1 / (coulombs * truth.weakCellFactor)
  state.resistanceOhms = truth.resistanceOhms * resistanceFactor
  state.quickOhms = truth.quickOhms * resistanceFactor
  state.slowOhms = truth.slowOhms * resistanceFactor
}

/** Puts the charge where it is wanted (a charged pack, a start in the middle) and closes the protection again. */
export function resetPack(state: PackState, charge: number): void {
  state.charge = charge
  state.weakCharge = charge
  state.quickVolts = 0
  state.slowVolts = 0
  state.cutOff = false
  stepPack(state, 0, 0)
}

/** Opens the protection, as a fault or the cells' own limit does: 0 V until `resetPack`. */
export function cutOffPack(state: PackState): void {
  state.cutOff = true
  state.packVolts = 0
  state.leastCellVolts = 0
}

/** Resting volts of one cell from the fine table; beyond empty it falls steeply, as a cell does. */
function restingVolts(fine: number[], charge: number): number {
  if (charge >= 1) return fine[CURVE_STEPS]
  const place = charge * CURVE_STEPS
  if (place <= 0) return fine[0] + place * 0.2
  const below = place | 0
  return fine[below] + (place - below) * (fine[below + 1] - fine[below])
}

/** Draws `amps` for `dtSeconds` and gives the volts at the terminals after it. Allocates nothing. */
export function stepPack(state: PackState, amps: number, dtSeconds: number): number {
  if (state.cutOff) return 0
  const drawn = isNaN(amps) ? 0 : amps
  if (dtSeconds !== state.stepSeconds) {
    state.stepSeconds = dtSeconds
    state.quickKept = Math.exp(-dtSeconds / state.truth.quickSeconds)
    state.slowKept = Math.exp(-dtSeconds / state.truth.slowSeconds)
  }
  const quick = drawn * state.quickOhms
  const slow = drawn * state.slowOhms
  state.quickVolts = quick + (state.quickVolts - quick) * state.quickKept
  state.slowVolts = slow + (state.slowVolts - slow) * state.slowKept
  const coulombs = drawn * dtSeconds
  state.charge -= coulombs * state.chargePerCoulomb
  const fine = state.truth.restingCellVolts
  const lostVolts = drawn * state.resistanceOhms + state.quickVolts + state.slowVolts
  const resting = restingVolts(fine, state.charge)
  let weakResting = resting
  if (state.truth.weakCellFactor !== 1) {
    state.weakCharge -= coulombs * state.weakChargePerCoulomb
    weakResting = restingVolts(fine, state.weakCharge)
  } else state.weakCharge = state.charge
  const volts = resting * (state.cells - 1) + weakResting - lostVolts
  state.leastCellVolts = weakResting - lostVolts / state.cells
  state.packVolts = volts
  state.joules += volts * coulombs
  if (state.leastCellVolts < PROTECTION_CELL_VOLTS) cutOffPack(state)
  return state.packVolts
}
