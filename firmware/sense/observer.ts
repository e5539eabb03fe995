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
  /** Process noise of the bath in K2/s: raised by odd readings, and calming down again. */
  bathNoise: number
  /** Running mean of the residuals, in sigma: 0 as long as the model is right. */
  leaning: number
  roomCelsius: number
  heat: HeatModel
}

/** What a bath's heat does that the model does not know: in K²/s, as a rule and after a contradiction (tuned). */
const BATH_NOISE = 4e-4
const FREED_BATH_NOISE = 0.02
/** The model counts as freed for so long after it was contradicted. */
export const FREED_SECONDS = 15
/** While it is poured, mixing is not what the model says it is. */
const POURING_BATH_NOISE = 0.03
const BODY_NOISE = 0.01

/** A residual beyond this many sigma, squared, contradicts the model. */
const CONTRADICTION = 16
/** Residuals that lean to one side: beyond three sigma of their running mean more noise is allowed for a while (tuned). */
const LEANING_SHARE = 0.2
const ODD = 0.9
const CALMING = 0.1
/** Nearer to the bath, the probe's lag cannot be told from its noise (tuned: some ten sigma of a reading). */
const BEHIND_CELSIUS = 0.15
/** How long before it is noticed a surprise began (tuned). */
const NOTICED_AFTER_SECONDS = 1

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
    bathNoise: BATH_NOISE,
    leaning: 0,
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
  observer.bathNoise = BATH_NOISE
  observer.leaning = 0
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
    pourIn(observer, Math.min(wanted, observer.toPourMillilitres))
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
  const room = turning ? TURNING_ROOM_FACTOR : 1
  advance(observer, seconds, turning ? 1 : STANDING_FRACTION, 1, room, observer.bathNoise, rate, counting)
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
  advance(observer, seconds, STANDING_FRACTION * filled, 0, 1, BATH_NOISE, rate, counting)
  observer.liquidMillilitres = millilitresLeft
}

/** The tank is empty: its wall goes towards the room, and the probe in its air is no witness of a bath. */
export function advanceEmpty(observer: Observer, seconds: number): void {
  const body = Math.exp(observer.lnHeat)
  const x = (observer.heat.roomWattsPerKelvin * seconds) / body
  observer.bodyCelsius += ((observer.roomCelsius - observer.bodyCelsius) * x) / (1 + x / 2)
  observer.bathCelsius = observer.bodyCelsius
  observer.covariance[9] += BODY_NOISE * Math.max(seconds, 0)
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
  const in01 = immersed >= 1 ? 1 : Math.max(immersed, 0)
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
 *
 * Lag, conductance and heat are learned only while the probe is well behind the bath and nothing contradicts the model:
 * otherwise noise would slowly talk them into anything. Their uncertainty counts all the same.
 */
export function observeProbe(observer: Observer, celsius: number, variance: number): number {
  const p = observer.covariance
  const pouring = observer.pouring
  const residual = celsius - observer.probeCelsius
  let expected = p[0] + variance
  const surprise = (residual * residual) / expected
  if (!pouring) judgeSurprise(observer, surprise, residual / Math.sqrt(expected), residual * residual - expected)
  expected = p[0] + variance
  const behind = observer.bathCelsius - observer.probeCelsius
  const learning = (behind > BEHIND_CELSIUS || behind < -BEHIND_CELSIUS) && observer.bathNoise < 4 * BATH_NOISE
  const gain = 1 / expected
  const weight = residual * gain
  const bathMoved = p[1] * weight
  // Development is exponential in temperature: a kelvin downwards takes less off than the slope says.
  const x = observer.sensitivity * bathMoved
  observer.progress += p[3] * weight * (1 + x * (0.5 + x * (1 / 6 + x / 24)))
  if (observer.progress < 0) observer.progress = 0
  observer.probeCelsius += p[0] * weight
  observer.bathCelsius += bathMoved
  observer.bodyCelsius += p[6] * weight
  if (learning) {
    observer.lnLag += p[10] * weight
    observer.lnConductance += p[15] * weight
    observer.lnHeat += p[21] * weight
    if (observer.lnLag < LN_LAG_LEAST) observer.lnLag = LN_LAG_LEAST
    if (observer.lnLag > LN_LAG_MOST) observer.lnLag = LN_LAG_MOST
  }
  if (pouring) observer.pourCelsius += p[28] * weight
  readProbe(p, gain, learning, pouring)
  if (x > 0.01 || x < -0.01) {
    const ratio = Math.exp(x)
    observer.speed *= ratio
    if (pouring) scaleProgress(observer, ratio)
  }
  return surprise
}

/** All that was counted was counted in this pour, whose temperature turns out to be another. */
function scaleProgress(observer: Observer, ratio: number): void {
  const p = observer.covariance
  observer.progressPerKelvin *= ratio
  p[3] *= ratio
  p[4] *= ratio
  p[5] *= ratio * ratio
  p[8] *= ratio
  p[12] *= ratio
  p[17] *= ratio
  p[23] *= ratio
  p[30] *= ratio
}

/** How far the model is to be believed, from how well it foretold this reading. */
function judgeSurprise(observer: Observer, surprise: number, signed: number, excess: number): void {
  if (surprise > CONTRADICTION) {
    const p = observer.covariance
    const probeShare = 1 - Math.exp(-NOTICED_AFTER_SECONDS / Math.exp(observer.lnLag))
    const speed = isNaN(observer.speed) ? 0 : observer.speed
    addShock(p, excess / (probeShare * probeShare), probeShare, speed * observer.sensitivity * NOTICED_AFTER_SECONDS)
    observer.freedForSeconds = 0
    observer.bathNoise = FREED_BATH_NOISE
    observer.leaning = 0
    return
  }
  observer.leaning += LEANING_SHARE * (signed - observer.leaning)
  if (observer.leaning > ODD || observer.leaning < -ODD) {
    observer.bathNoise *= 1.5
    if (observer.bathNoise > FREED_BATH_NOISE) observer.bathNoise = FREED_BATH_NOISE
  } else {
    observer.bathNoise += CALMING * (BATH_NOISE - observer.bathNoise)
  }
}
