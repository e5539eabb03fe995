/**
 * The bath thermistor as it really is: a first-order lag, warmed a little by its own current, in the bath or in the
 * air of the empty tank, read through a divider by a converter with noise, and wrong by what its calibration left.
 *
 * Assumes that whoever calibrated it did so in liquid, so that its own warmth there is part of the offset; in air it
 * is warmer than that. Nothing fails here by itself: `failure` is set from outside, as a broken wire would.
 */
import type { Thermistor } from '../../firmware/baseFile.ts'
import { type Curve, countsFromOhms, makeCurve, ohmsAt } from '../../firmware/sense/thermistor.ts'
import type { BathState } from './bath.ts'
import { between, gaussian, type Random } from './random.ts'

/** What a broken probe does. `drifting`: its offset grows by 0.02 °C a second. */
export type ProbeFailure = 'none' | 'open' | 'short' | 'stuck' | 'jumping' | 'drifting'

export interface ProbeTruth {
  lagSeconds: number
  /** In air a probe answers this many times slower than in the bath. */
  airLagFactor: number
  /** Filled fraction from which the probe is in the bath. */
  immersedFrom: number
  /** What calibration left: added to what the probe says. */
  errorCelsius: number
  /** Self-heating in air beyond that in liquid. */
  airSelfHeatingCelsius: number
  /** Of one reading as the board gives it, averaging counted in. */
  noiseCounts: number
  /** A reading is rounded to this fraction of a count: the number of samples that were averaged. */
  stepsPerCount: number
}

export interface ProbeState {
  truth: ProbeTruth
  curve: Curve
  celsius: number
  failure: ProbeFailure
  failureSeconds: number
  heldCounts: number
  /** Coefficients of the last step, kept while the step is as long. */
  dtSeconds: number
  wetShare: number
  airShare: number
}

/** The electronics: supply of the divider, and samples averaged into one reading (assumed: what small boards do). */
const SUPPLY_VOLTS = 3.3
const SAMPLES = 16

/** A single conversion of a small board's 12-bit converter scatters by 1 to 2 counts (assumed). */
const NOISE_COUNTS: [number, number] = [1, 2]

/**
 * Draws a probe. `lagSpread` is how well its lag is known (one sigma, as a fraction; kept within 3 to 15 s unless the
 * file itself says otherwise), `calibrationSigmaCelsius` how well it is calibrated: 0 for what is known exactly. In air
 * a bead takes 5 to 15 times as long as in liquid (15 s against 1.2 s for the Vishay NTCLE100E3; a sleeve evens that out,
 * assumed 4 to 8). Dissipation 2 mW/K in still air and about 5 in still water (Mechanical Engineers' Handbook, table 7).
 */
export function drawProbeTruth(
  random: Random,
  thermistor: Thermistor & { lagSeconds: number },
  lagSpread: number,
  calibrationSigmaCelsius: number,
): ProbeTruth {
  const wanted = thermistor.lagSeconds * Math.exp(lagSpread * gaussian(random))
  const lagSeconds = lagSpread === 0 ? wanted : Math.min(15, Math.max(3, wanted))
  return {
    lagSeconds,
    airLagFactor: between(random, 4, 8),
    immersedFrom: between(random, 0.1, 0.5),
    errorCelsius: calibrationSigmaCelsius * gaussian(random),
    airSelfHeatingCelsius: selfHeatingCelsius(thermistor.dividerOhms, 10000, 2) * between(random, 0.3, 0.6),
    noiseCounts: between(random, NOISE_COUNTS[0], NOISE_COUNTS[1]) / Math.sqrt(SAMPLES),
    stepsPerCount: SAMPLES,
  }
}

/** How far a thermistor of `ohms` warms itself in a divider at 3.3 V: V²R/(R + divider)² over its dissipation constant. */
export function selfHeatingCelsius(dividerOhms: number, ohms: number, milliwattsPerKelvin: number): number {
  const amps = SUPPLY_VOLTS / (dividerOhms + ohms)
  return (amps * amps * ohms * 1000) / milliwattsPerKelvin
}

export function createProbe(
  truth: ProbeTruth,
  thermistor: Thermistor,
  adcBits: number,
  startCelsius: number,
): ProbeState {
  return {
    truth,
    curve: makeCurve(thermistor, adcBits),
    celsius: startCelsius,
    failure: 'none',
    failureSeconds: 0,
    heldCounts: NaN,
    dtSeconds: NaN,
    wetShare: 0,
    airShare: 0,
  }
}

/** One step of the probe in this bath, or in the air of the empty tank at the temperature of its wall. */
export function stepProbe(probe: ProbeState, bath: BathState, dtSeconds: number): void {
  const truth = probe.truth
  if (dtSeconds !== probe.dtSeconds) {
    probe.dtSeconds = dtSeconds
    probe.wetShare = 1 - Math.exp(-dtSeconds / truth.lagSeconds)
    probe.airShare = 1 - Math.exp(-dtSeconds / (truth.lagSeconds * truth.airLagFactor))
  }
  if (probe.failure !== 'none') probe.failureSeconds += dtSeconds
  if (bath.phase !== 'empty' && bath.filledFraction >= truth.immersedFrom) {
    probe.celsius += (bath.bathCelsius - probe.celsius) * probe.wetShare
  } else {
    probe.celsius += (bath.bodyCelsius + truth.airSelfHeatingCelsius - probe.celsius) * probe.airShare
  }
}

/** What the board's converter gives now: one reading, already averaged over its samples. Draws noise each time. */
export function probeCounts(probe: ProbeState, random: Random): number {
  const truth = probe.truth
  const full = probe.curve.fullScaleCounts
  if (probe.failure === 'open') return probe.curve.atGround ? full : 0
  if (probe.failure === 'short') return probe.curve.atGround ? 0 : full
  let said = probe.celsius + truth.errorCelsius - probe.curve.offsetCelsius
  if (probe.failure === 'drifting') said += 0.02 * probe.failureSeconds
  let counts = countsFromOhms(probe.curve, ohmsAt(probe.curve, said)) + truth.noiseCounts * gaussian(random)
  if (probe.failure === 'jumping') counts += between(random, -0.3, 0.3) * full
  counts = Math.round(counts * truth.stepsPerCount) / truth.stepsPerCount
  if (probe.failure === 'stuck' && !isNaN(probe.heldCounts)) return probe.heldCounts
  probe.heldCounts = counts < 0 ? 0 : counts > full ? full : counts
  return probe.heldCounts
}
