/**
 * The bath behind the probe's lag: a Kalman filter on a model of probe, bath and tank, linearised at each step.
 *
 * It knows eight things and how they hang together: probe, bath, progress, body, ln lag, ln conductance between bath
 * and body, ln heat of the body, and while it is poured the temperature of what flows in. Progress is one of them, so
 * that what a later reading says of lag and heat also corrects what was counted before. The probe's calibration cannot
 * be told from the readings; it is carried beside the filter as what one kelvin of it is worth in progress.
 *
 * Assumes a bath that only tank and room warm or cool. Readings that contradict this free it: the surprise is taken to
 * have begun a few seconds before it was noticed, in the bath, the probe and the progress alike. Without readings the
 * model goes on alone and its variance grows.
 */
import { progressStep, speedAt } from '../clock/progress.ts'
import type { Rate } from '../recipe/rate.ts'
import { sensitivityAt } from '../recipe/rate.ts'
import {
  addShock,
  bathLikeBody,
  COVARIANCE_SIZE,
  exchangeHeat,
  followAndCount,
  isolate,
  mixPour,
  readProbe,
} from './covariance.ts'
import type { HeatModel } from './heat.ts'
import {
  CONDUCTANCE_LN_SIGMA,
  STANDING_FRACTION,
  TURNING_ROOM_FACTOR,
  WATER_JOULES_PER_MILLILITRE_KELVIN,
} from './heat.ts'

export interface Observer {
  probeCelsius: number
  bathCelsius: number
  progress: number
  bodyCelsius: number
  lnLag: number
  lnConductance: number
  lnHeat: number
  pourCelsius: number
  /** Packed as `covariance.ts` says. */
  covariance: Float64Array
  /** What one kelvin of the probe's calibration is worth in progress so far. */
  progressPerKelvin: number
  /** The speed of development when it was last worked out, and what a kelvin is worth there; NaN at the start. */
  speed: number
  sensitivity: number
  sensitivityCelsius: number
  /** In the tank now; still to flow in; when full. */
  liquidMillilitres: number
  toPourMillilitres: number
  fullMillilitres: number
  /** Between first contact and full and closed. */
  pouring: boolean
  /** Since the bath was full, for what is only known to matter early. */
  fullForSeconds: number
  /** Since the model was last contradicted; large when it never was. */
  freedForSeconds: number
  roomCelsius: number
  heat: HeatModel
}

/** What a bath's heat does that the model does not know: in K²/s, early, later, and after a contradiction (all tuned). */
const EARLY_BATH_NOISE = 1e-5
const LATER_BATH_NOISE = 4e-4
const FREED_BATH_NOISE = 0.02
const EARLY_SECONDS = 60
/** The model counts as freed for so long after it was contradicted. */
export const FREED_SECONDS = 15
/** While it is poured, mixing is not what the model says it is. */
const POURING_BATH_NOISE = 1e-3
const BODY_NOISE = 1e-4

/** A residual beyond this many sigma, squared, contradicts the model. */
const CONTRADICTION = 16
/** How long before it is noticed a surprise began (tuned). */
const NOTICED_AFTER_SECONDS = 2

/** The probe comes into the bath somewhere between these filled fractions (assumed). */
const IMMERSED_FROM = 0.1
const IMMERSED_BY = 0.55

const LN_LAG_LEAST = Math.log(0.5)
const LN_LAG_MOST = Math.log(60)

export function createObserver(heat: HeatModel, lagSeconds: number, lagSigma: number, heatSigma: number): Observer {
  const covariance = new Float64Array(COVARIANCE_SIZE)
  covariance[14] = lagSigma * lagSigma
  covariance[20] = CONDUCTANCE_LN_SIGMA * CONDUCTANCE_LN_SIGMA
  covariance[27] = heatSigma * heatSigma
  return {
    probeCelsius: NaN,
    bathCelsius: NaN,
    progress: 0,
    bodyCelsius: NaN,
    lnLag: Math.log(lagSeconds),
    lnConductance: Math.log(heat.turningWattsPerKelvin),
    lnHeat: Math.log(heat.bodyJoulesPerKelvin),
    pourCelsius: NaN,
    covariance,
    progressPerKelvin: 0,
    speed: NaN,
    sensitivity: 0,
    sensitivityCelsius: NaN,
    liquidMillilitres: 0,
    toPourMillilitres: 0,
    fullMillilitres: 0,
    pouring: false,
    fullForSeconds: 0,
    freedForSeconds: 1e9,
    roomCelsius: 20,
    heat,
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

/** A new bath is about to flow in: progress from 0, the pour about where it is expected. */
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
  observer.speed = NaN
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
}

/** `millilitres` flow in at once. */
function pourIn(observer: Observer, millilitres: number): void {
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
  observer.fullForSeconds = 0
}

/** The steps into which a second of pouring is cut: the bath changes by degrees within it. */
const POUR_STEP_SECONDS = 0.5

/** Filling goes on for `seconds`, at a rate that fills the tank in `fillSeconds`. */
export function advancePour(
  observer: Observer,
  seconds: number,
  fillSeconds: number,
  rate: Rate | undefined,
  counting: boolean,
): void {
  let left = seconds
  while (left > 1e-6) {
    const step = left < POUR_STEP_SECONDS * 1.5 ? left : POUR_STEP_SECONDS
    left -= step
    const wanted = fillSeconds > 0 ? (observer.fullMillilitres * step) / fillSeconds : observer.toPourMillilitres
    pourIn(observer, wanted < observer.toPourMillilitres ? wanted : observer.toPourMillilitres)
    const filled = observer.liquidMillilitres / observer.fullMillilitres
    const immersed = (filled - IMMERSED_FROM) / (IMMERSED_BY - IMMERSED_FROM)
    advance(observer, step, STANDING_FRACTION * filled, immersed, 1, POURING_BATH_NOISE, rate, counting)
  }
}

/** The bath is full, turning or not, for `seconds` (1 s or less; negative by a tick at most). */
export function advanceFull(
  observer: Observer,
  seconds: number,
  turning: boolean,
  rate: Rate | undefined,
  counting: boolean,
): void {
  observer.fullForSeconds += seconds
  observer.freedForSeconds += seconds
  let noise = observer.fullForSeconds < EARLY_SECONDS ? EARLY_BATH_NOISE : LATER_BATH_NOISE
  if (observer.freedForSeconds < FREED_SECONDS) noise = FREED_BATH_NOISE
  const room = turning ? TURNING_ROOM_FACTOR : 1
  advance(observer, seconds, turning ? 1 : STANDING_FRACTION, 1, room, noise, rate, counting)
}

/** Draining, from `millilitres` left at its beginning to those left at its end. The probe is on its way out. */
export function advanceDrain(
  observer: Observer,
  seconds: number,
  millilitresLeft: number,
  rate: Rate | undefined,
  counting: boolean,
): void {
  const filled = observer.liquidMillilitres / observer.fullMillilitres
  advance(observer, seconds, STANDING_FRACTION * filled, 0, 1, LATER_BATH_NOISE, rate, counting)
  observer.liquidMillilitres = millilitresLeft
}

/** The tank is empty: its wall goes towards the room, and the probe in its air is no witness of a bath. */
export function advanceEmpty(observer: Observer, seconds: number): void {
  const body = Math.exp(observer.lnHeat)
  const x = (observer.heat.roomWattsPerKelvin * seconds) / body
  observer.bodyCelsius += ((observer.roomCelsius - observer.bodyCelsius) * x) / (1 + x / 2)
  observer.bathCelsius = observer.bodyCelsius
  observer.covariance[9] += BODY_NOISE * (seconds > 0 ? seconds : 0)
}

/**
 * One step of the model and of its covariance. `wetted`: the fraction of the turning conductance that acts; `immersed`:
 * how likely it is that the probe is in the bath.
 */
function advance(
  observer: Observer,
  seconds: number,
  wetted: number,
  immersed: number,
  roomFactor: number,
  bathNoise: number,
  rate: Rate | undefined,
  counting: boolean,
): void {
  const p = observer.covariance
  const pouring = observer.pouring
  const conductance = wetted * Math.exp(observer.lnConductance)
  const body = Math.exp(observer.lnHeat)
  const liquid = observer.liquidMillilitres * WATER_JOULES_PER_MILLILITRE_KELVIN
  const x = conductance * seconds * (1 / body + 1 / liquid)
  const perKelvin = (conductance * seconds) / (1 + x / 2)
  const joules = perKelvin * (observer.bathCelsius - observer.bodyCelsius)
  const bathFell = joules / liquid
  const bodyRose = joules / body
  const slope = 1 / (1 + x / 2)
  exchangeHeat(p, perKelvin / liquid, perKelvin / body, bathFell * slope, bodyRose * slope, bodyRose, pouring)
  const before = observer.bathCelsius
  observer.bathCelsius -= bathFell
  observer.bodyCelsius +=
    bodyRose +
    ((observer.roomCelsius - observer.bodyCelsius) * observer.heat.roomWattsPerKelvin * roomFactor * seconds) / body
  if (seconds > 0) {
    p[2] += bathNoise * seconds
    p[9] += BODY_NOISE * seconds
  }

  const lag = Math.exp(observer.lnLag)
  const stays = Math.exp(-seconds / lag)
  const in01 = immersed >= 1 ? 1 : immersed > 0 ? immersed : 0
  const behind = 0.5 * (before + observer.bathCelsius) - observer.probeCelsius
  const follows = in01 * (1 - stays)
  const lagSlope = (in01 * behind * stays * seconds) / lag
  let worth = 0
  if (counting && rate !== undefined) worth = count(observer, seconds, before, rate)
  followAndCount(p, follows, lagSlope, worth, pouring)
  observer.probeCelsius += follows * behind
  if (in01 < 1) {
    const unsure = (1 - stays) * behind
    p[0] += 0.02 + unsure * unsure * (in01 > 0 ? 1 : 0.1)
  }
}

/** What a kelvin is worth is worked out anew when the bath has moved so far: it changes by 1 % in this (assumed). */
const SENSITIVITY_REACH_CELSIUS = 0.7

/** Adds a step to the progress; returns what a kelvin of the bath was worth in it. */
function count(observer: Observer, seconds: number, beforeCelsius: number, rate: Rate): number {
  const speed = speedAt(rate, observer.bathCelsius)
  if (isNaN(observer.speed)) observer.speed = speedAt(rate, beforeCelsius)
  const moved = observer.bathCelsius - observer.sensitivityCelsius
  if (!(moved < SENSITIVITY_REACH_CELSIUS && moved > -SENSITIVITY_REACH_CELSIUS)) {
    observer.sensitivity = sensitivityAt(rate, observer.bathCelsius)
    observer.sensitivityCelsius = observer.bathCelsius
  }
  const step = progressStep(observer.speed, speed, seconds)
  observer.speed = speed
  observer.progress += step
  const worth = step * observer.sensitivity
  observer.progressPerKelvin += worth
  return worth
}

/**
 * A reading of the probe with its variance. Returns the squared residual over its variance, before any freeing.
 */
export function observeProbe(observer: Observer, celsius: number, variance: number): number {
  const p = observer.covariance
  const residual = celsius - observer.probeCelsius
  let expected = p[0] + variance
  const surprise = (residual * residual) / expected
  const pouring = observer.pouring
  if (!pouring && surprise > CONTRADICTION) {
    const probeShare = 1 - Math.exp(-NOTICED_AFTER_SECONDS / Math.exp(observer.lnLag))
    const shock = (residual * residual - expected) / (probeShare * probeShare)
    const speed = isNaN(observer.speed) ? 0 : observer.speed
    addShock(p, shock, probeShare, speed * observer.sensitivity * NOTICED_AFTER_SECONDS)
    observer.freedForSeconds = 0
    expected = p[0] + variance
  }
  const gain = 1 / expected
  const weight = residual * gain
  observer.probeCelsius += p[0] * weight
  const bathMoved = p[1] * weight
  observer.bathCelsius += bathMoved
  observer.speed *= 1 + observer.sensitivity * bathMoved
  observer.progress += p[3] * weight
  observer.bodyCelsius += p[6] * weight
  observer.lnLag += p[10] * weight
  observer.lnConductance += p[15] * weight
  observer.lnHeat += p[21] * weight
  if (pouring) observer.pourCelsius += p[28] * weight
  if (observer.lnLag < LN_LAG_LEAST) observer.lnLag = LN_LAG_LEAST
  if (observer.lnLag > LN_LAG_MOST) observer.lnLag = LN_LAG_MOST
  readProbe(p, gain, pouring)
  return surprise
}
