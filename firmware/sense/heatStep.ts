/**
 * Moves the observer on in time: bath, body and room exchange heat, the probe follows the bath, development goes on.
 *
 * The quantities move at every step. Their covariance, which costs more, moves with them while much happens; in a bath
 * that has been full for a while and does what the model says it moves every few seconds. Heat exchanged in a step is
 * the rational approximation x/(1 + x/2) of 1 - exp(-x). A step may be negative by a tick: a press lies in the past.
 */
import { progressStep, speedAt } from '../clock/progress.ts'
import type { Rate } from '../recipe/rate.ts'
import { sensitivityAt } from '../recipe/rate.ts'
import { exchangeHeat, followAndCount } from './covariance.ts'
import { STANDING_FRACTION, TURNING_ROOM_FACTOR, WATER_JOULES_PER_MILLILITRE_KELVIN } from './heat.ts'
import { BATH_NOISE, FREED_SECONDS, type Observer, pourIn } from './observer.ts'

/** While it is poured, mixing is not what the model says it is, nor is a wall of one temperature: in K2/s (tuned). */
const POURING_BATH_NOISE = 0.03
const BODY_NOISE = 0.01

/** The probe comes into the bath somewhere between these filled fractions (assumed). */
const IMMERSED_FROM = 0.1
export const IMMERSED_BY = 0.75
/** What its air may do to the probe until then, in K2 a step (assumed). */
const AIR_NOISE = 0.02

/** From then on a bath that does as foretold is calm, and the covariance moves in steps of so long. */
const CALM_AFTER_SECONDS = 60
const CALM_STEP_SECONDS = 4

/** The steps into which a second of pouring is cut: the bath changes by degrees within it. */
const POUR_STEP_SECONDS = 0.5

/** A bath that holds no heat would have no temperature. */
const LEAST_MILLILITRES = 1

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
    const immersed = Math.max(0, Math.min(1, (filled - IMMERSED_FROM) / (IMMERSED_BY - IMMERSED_FROM)))
    const wetted = STANDING_FRACTION * filled
    advance(observer, step, wetted, immersed, 1, rate, counting)
    spread(observer, wetted, immersed, POURING_BATH_NOISE)
  }
}

/** The bath is full, turning or not, for `seconds` (some 1 s; negative by a tick at most). */
export function advanceFull(
  observer: Observer,
  seconds: number,
  turning: boolean,
  rate: Rate | undefined,
  counting: boolean,
): void {
  observer.fullForSeconds += seconds
  observer.freedForSeconds += seconds
  advance(observer, seconds, turning ? 1 : STANDING_FRACTION, 1, turning ? TURNING_ROOM_FACTOR : 1, rate, counting)
  if (!isCalm(observer) || observer.pendingSeconds > CALM_STEP_SECONDS - 0.5) catchUp(observer)
}

/** The covariance catches up with a full bath. */
export function catchUp(observer: Observer): void {
  if (observer.pendingSeconds !== 0) spread(observer, 1, 1, observer.bathNoise)
}

/** Nothing odd has been read for a while. */
function isCalm(observer: Observer): boolean {
  return (
    observer.fullForSeconds > CALM_AFTER_SECONDS &&
    observer.freedForSeconds > FREED_SECONDS &&
    observer.bathNoise < 1.2 * BATH_NOISE
  )
}

/** Draining, until `millilitresLeft` are left. The probe is on its way out. */
export function advanceDrain(
  observer: Observer,
  seconds: number,
  millilitresLeft: number,
  rate: Rate | undefined,
  counting: boolean,
): void {
  const wetted = (STANDING_FRACTION * observer.liquidMillilitres) / observer.fullMillilitres
  advance(observer, seconds, wetted, 0, 1, rate, counting)
  spread(observer, wetted, 0, BATH_NOISE)
  observer.liquidMillilitres = millilitresLeft
}

/** The tank is empty: its wall goes towards the room, and the probe in its air is no witness of a bath. */
export function advanceEmpty(observer: Observer, seconds: number): void {
  const x = (observer.heat.roomWattsPerKelvin * seconds) / Math.exp(observer.lnHeat)
  observer.bodyCelsius += ((observer.roomCelsius - observer.bodyCelsius) * x) / (1 + x / 2)
  observer.bathCelsius = observer.bodyCelsius
  if (seconds > 0) observer.covariance[9] += BODY_NOISE * seconds
}

/**
 * The quantities alone. `wetted`: the fraction of the turning conductance that acts; `immersed`: how likely it is that
 * the probe is in the bath.
 */
function advance(
  observer: Observer,
  seconds: number,
  wetted: number,
  immersed: number,
  roomFactor: number,
  rate: Rate | undefined,
  counting: boolean,
): void {
  const body = Math.exp(observer.lnHeat)
  const liquid = Math.max(LEAST_MILLILITRES, observer.liquidMillilitres) * WATER_JOULES_PER_MILLILITRE_KELVIN
  const perKelvin = wetted * Math.exp(observer.lnConductance) * seconds
  const before = observer.bathCelsius
  const difference = before - observer.bodyCelsius
  const joules = (perKelvin * difference) / (1 + 0.5 * perKelvin * (1 / body + 1 / liquid))
  observer.bathCelsius = before - joules / liquid
  const lost = (observer.bodyCelsius - observer.roomCelsius) * observer.heat.roomWattsPerKelvin * roomFactor * seconds
  observer.bodyCelsius += (joules - lost) / body
  const follows = immersed * (1 - Math.exp(-seconds / Math.exp(observer.lnLag)))
  observer.probeCelsius += follows * (0.5 * (before + observer.bathCelsius) - observer.probeCelsius)
  observer.pendingSeconds += seconds
  if (counting && rate !== undefined) count(observer, seconds, before, rate)
}

/** What a kelvin is worth is worked out anew when the bath has moved so far: it changes by 1 % in this (assumed). */
const SENSITIVITY_REACH_CELSIUS = 0.7

/** Adds a step to the progress. */
function count(observer: Observer, seconds: number, beforeCelsius: number, rate: Rate): void {
  const progressPerSecond = speedAt(rate, observer.bathCelsius)
  if (isNaN(observer.progressPerSecond)) observer.progressPerSecond = speedAt(rate, beforeCelsius)
  const moved = observer.bathCelsius - observer.sensitivityCelsius
  if (!(moved < SENSITIVITY_REACH_CELSIUS && moved > -SENSITIVITY_REACH_CELSIUS)) {
    observer.sensitivity = sensitivityAt(rate, observer.bathCelsius)
    observer.sensitivityCelsius = observer.bathCelsius
  }
  const step = progressStep(observer.progressPerSecond, progressPerSecond, seconds)
  observer.progressPerSecond = progressPerSecond
  observer.progress = Math.max(0, observer.progress + step)
  const worth = step * observer.sensitivity
  observer.progressPerKelvin += worth
  observer.pendingWorth += worth
}

/** The covariance, over all that is pending. */
function spread(observer: Observer, wetted: number, immersed: number, bathNoise: number): void {
  const p = observer.covariance
  const pouring = observer.pouring
  const seconds = observer.pendingSeconds
  const body = Math.exp(observer.lnHeat)
  const liquid = Math.max(LEAST_MILLILITRES, observer.liquidMillilitres) * WATER_JOULES_PER_MILLILITRE_KELVIN
  const conductance = wetted * Math.exp(observer.lnConductance) * seconds
  const damping = 1 / (1 + 0.5 * conductance * (1 / body + 1 / liquid))
  const perKelvin = conductance * damping
  const joules = perKelvin * (observer.bathCelsius - observer.bodyCelsius)
  const bathFell = (joules / liquid) * damping
  const bodyRose = joules / body
  exchangeHeat(p, perKelvin / liquid, perKelvin / body, bathFell, bodyRose * damping, bodyRose, pouring)
  if (seconds > 0) {
    p[2] += bathNoise * seconds
    p[9] += BODY_NOISE * seconds
  }
  const lag = Math.exp(observer.lnLag)
  const stays = Math.exp(-seconds / lag)
  const behind = observer.bathCelsius - observer.probeCelsius
  followAndCount(p, immersed * (1 - stays), (immersed * behind * seconds) / lag, observer.pendingWorth, pouring)
  if (immersed < 1) {
    const unsure = (1 - stays) * behind
    p[0] += AIR_NOISE + unsure * unsure * (immersed > 0 ? 1 : 0.1)
  }
  observer.pendingSeconds = 0
  observer.pendingWorth = 0
}
