/**
 * The bath behind the probe's lag: a Kalman filter on a model of probe, bath and tank, linearised at each step. This
 * file holds what it knows and how a bath begins; `heatStep.ts` moves it on in time, `observe.ts` takes readings.
 *
 * It knows eight things and how they hang together: probe, bath, progress, body, ln lag, ln conductance between bath
 * and body, ln heat of the body, and while it is poured the temperature of what flows in. Progress is one of them, so
 * that what a later reading says of lag and heat also corrects what was counted before. The probe's calibration cannot
 * be told from the readings; it is carried beside the filter as what one kelvin of it is worth in progress.
 *
 * Assumes a bath that only tank and room warm or cool; what contradicts this frees it. Without readings the model goes
 * on alone and its variance grows.
 */
import { bathLikeBody, COVARIANCE_SIZE, isolate, mixPour } from './covariance.ts'
import type { HeatModel } from './heat.ts'
import { CONDUCTANCE_LN_SIGMA } from './heat.ts'

export interface Observer {
  probeCelsius: number
  bathCelsius: number
  progress: number
  bodyCelsius: number
  /** Natural logarithms of seconds, W/K and J/K. */
  lnLag: number
  lnConductance: number
  lnHeat: number
  pourCelsius: number
  /** Packed as `covariance.ts` says. */
  covariance: Float64Array
  /** Steps that moved the quantities but not yet their covariance: how long, and what a kelvin was worth in them. */
  pendingSeconds: number
  pendingWorth: number
  /** What one kelvin of the probe's calibration is worth in progress so far. */
  progressPerKelvin: number
  /** The speed of development when it was last worked out, and what a kelvin is worth there; NaN at the start. */
  progressPerSecond: number
  sensitivity: number
  sensitivityCelsius: number
  /** In the tank now; still to flow in; when full. */
  liquidMillilitres: number
  toPourMillilitres: number
  fullMillilitres: number
  /** Between first contact and full and closed. */
  pouring: boolean
  /** Since the tank was closed. */
  fullForSeconds: number
  /** Since the model was last contradicted; large when it never was. */
  freedForSeconds: number
  /** Process noise of the bath in K2/s: raised by odd readings, and calming down again. */
  bathNoise: number
  /** Running mean of the residuals, in sigma: 0 as long as the model is right. */
  leaning: number
  /** The last reading's residual if it was not believed, else 0; and how many in a row were not, on the same side. */
  doubted: number
  doubts: number
  /** What was known before, as `trial.ts` keeps it. */
  trial: Float64Array
  roomCelsius: number
  heat: HeatModel
}

/** What `trial.ts` keeps besides the covariance. */
export const TRIAL_NUMBERS = 9

/** What a bath's heat does that the model does not know: in K2/s, as a rule and after a contradiction (tuned). */
export const BATH_NOISE = 4e-4
export const FREED_BATH_NOISE = 0.02
/** The model counts as freed for so long after it was contradicted. */
export const FREED_SECONDS = 15

/** No probe answers at once, and the logarithm of none at all is no number. */
const LEAST_LAG_SECONDS = 0.1

/** `lagSigma` and `heatSigma` are fractions: how well the lag and the tank's heat are known before any pour. */
export function createObserver(heat: HeatModel, lagSeconds: number, lagSigma: number, heatSigma: number): Observer {
  const covariance = new Float64Array(COVARIANCE_SIZE)
  covariance[14] = lagSigma * lagSigma
  covariance[20] = CONDUCTANCE_LN_SIGMA * CONDUCTANCE_LN_SIGMA
  covariance[27] = heatSigma * heatSigma
  return {
    bathCelsius: NaN,
    bodyCelsius: NaN,
    roomCelsius: 20,
    probeCelsius: NaN,
    progress: 0,
    pouring: false,
    pendingSeconds: 0,
    lnLag: Math.log(Math.max(LEAST_LAG_SECONDS, lagSeconds)),
    fullForSeconds: 0,
    covariance: covariance,
    freedForSeconds: 1e9,
    fullMillilitres: 0,
    lnHeat: Math.log(heat.bodyJoulesPerKelvin),
    liquidMillilitres: 0,
    lnConductance: Math.log(heat.turningWattsPerKelvin),
    bathNoise: BATH_NOISE,
    leaning: 0,
    heat: heat,
    pendingWorth: 0,
    progressPerKelvin: 0,
    progressPerSecond: NaN,
    sensitivity: 0,
    pourCelsius: NaN,
    doubted: 0,
    doubts: 0,
    trial: new Float64Array(TRIAL_NUMBERS + COVARIANCE_SIZE),
    sensitivityCelsius: NaN,
    toPourMillilitres: 0,
  }
}

/** The tank has stood since nobody knows when: all of it has about the temperature that the probe says. */
export function startAt(observer: Observer, celsius: number, sigmaCelsius: number): void {
  observer.probeCelsius = celsius
  observer.bathCelsius = celsius
  observer.bodyCelsius = celsius
  isolate(observer.covariance, 0, 0.01)
  isolate(observer.covariance, 1, sigmaCelsius * sigmaCelsius)
  isolate(observer.covariance, 3, sigmaCelsius * sigmaCelsius)
}

/** A reading in the empty tank: the probe has its own temperature, which says little of anything else. */
export function watchProbe(observer: Observer, celsius: number, variance: number): void {
  observer.probeCelsius = celsius
  isolate(observer.covariance, 0, variance)
}

/**
 * A new bath is about to flow in, onto what the last one left at the wall's temperature: progress from 0, the pour about
 * where it is expected.
 */
export function beginPour(
  observer: Observer,
  millilitres: number,
  residueMillilitres: number,
  pourCelsius: number,
  pourSigmaCelsius: number,
): void {
  const p = observer.covariance
  observer.progress = 0
  observer.progressPerKelvin = 0
  observer.pendingSeconds = 0
  observer.pendingWorth = 0
  observer.progressPerSecond = NaN
  observer.sensitivityCelsius = NaN
  observer.pourCelsius = pourCelsius
  isolate(p, 2, 0)
  isolate(p, 7, pourSigmaCelsius * pourSigmaCelsius)
  observer.bathCelsius = observer.bodyCelsius
  bathLikeBody(p)
  observer.liquidMillilitres = residueMillilitres
  observer.toPourMillilitres = millilitres
  observer.fullMillilitres = residueMillilitres + millilitres
  observer.pouring = true
  observer.fullForSeconds = 0
  observer.freedForSeconds = 1e9
  observer.bathNoise = BATH_NOISE
  observer.leaning = 0
  observer.doubted = 0
}

/** `millilitres` flow in at once. */
export function pourIn(observer: Observer, millilitres: number): void {
  if (!(millilitres > 0)) return
  const share = millilitres / (observer.liquidMillilitres + millilitres)
  observer.liquidMillilitres += millilitres
  observer.toPourMillilitres -= millilitres
  observer.bathCelsius += share * (observer.pourCelsius - observer.bathCelsius)
  mixPour(observer.covariance, share)
}

/** Full and closed: whatever was still to be poured is in. */
export function closePour(observer: Observer): void {
  pourIn(observer, observer.toPourMillilitres)
  observer.pouring = false
}
