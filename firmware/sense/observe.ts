/**
 * What a reading of the probe tells the observer, and how far a reading and the model are to be believed.
 *
 * One or two readings that contradict the model may be slips and are left out; a third one on the same side is not, and
 * frees the model: the surprise is taken to have begun a little before it was noticed, in bath, probe and progress
 * alike, so that progress is put right as well. It stays on trial for a while (`trial.ts`). Readings that lean to one side without contradicting only allow more
 * noise for a while. In a calm bath most readings are only looked at.
 */
import { addShock, readProbe } from './covariance.ts'
import { catchUp, IMMERSED_BY } from './heatStep.ts'
import { BATH_NOISE, FREED_BATH_NOISE, FREED_SECONDS, type Observer, watchProbe } from './observer.ts'
import { keep } from './trial.ts'

/** A residual beyond this many sigma, squared, contradicts the model; beyond the other it is worth a closer look. */
const CONTRADICTION = 16
const CLOSER_LOOK = 6
/** So many readings in a row, on the same side, are no slips (assumed). */
const DOUBTS = 3
/** How long before it is noticed a surprise began: half a reading, and those that were not believed (tuned). */
const NOTICED_AFTER_SECONDS = 2.8
/** No bath that is in the tank moves further at once: a probe that says more is not believed more (assumed). */
const MOST_STEP_CELSIUS = 10

/** Residuals that lean to one side: beyond three sigma of their running mean more noise is allowed for a while (tuned). */
const LEANING_SHARE = 0.2
const ODD = 0.9
const GROWING = 1.5
const CALMING = 0.1

/** Nearer to the bath, the probe's lag cannot be told from its noise (tuned: some ten sigma of a reading). */
const BEHIND_CELSIUS = 0.15

/** No bath of film is outside, whatever the readings say. */
const COLDEST_CELSIUS = -5
const WARMEST_CELSIUS = 70

/** No probe that is any use is outside. */
const LN_LAG_LEAST = Math.log(2)
const LN_LAG_MOST = Math.log(25)

/**
 * A reading of the probe with its variance in K2.
 *
 * Lag, conductance and heat are learned only in a full bath, while the probe is well behind it and nothing contradicts
 * the model: otherwise noise would slowly talk them into anything. Their uncertainty counts all the same.
 */
export function observeProbe(observer: Observer, celsius: number, variance: number): void {
  const p = observer.covariance
  // In a tank that is not half full the probe may hang in air: what it says is only its own temperature.
  if (observer.pouring && observer.liquidMillilitres < IMMERSED_BY * observer.fullMillilitres) {
    watchProbe(observer, celsius, variance)
    return
  }
  let residual = celsius - observer.probeCelsius
  if (!observer.pouring) {
    if (observer.pendingSeconds > 0) {
      if (residual * residual < CLOSER_LOOK * (p[0] + variance)) return
      catchUp(observer)
    }
    residual = believe(observer, residual, p[0] + variance)
    if (residual === 0) return
  }
  const behind = observer.bathCelsius - observer.probeCelsius
  const learning =
    !observer.pouring && (behind > BEHIND_CELSIUS || behind < -BEHIND_CELSIUS) && observer.bathNoise < 4 * BATH_NOISE
  const gain = 1 / (p[0] + variance)
  correct(observer, residual * gain, learning)
  readProbe(p, gain, learning, observer.pouring)
}

/** Every quantity by its covariance with the probe. */
function correct(observer: Observer, weight: number, learning: boolean): void {
  const p = observer.covariance
  const bathMoved = p[1] * weight
  // Development is exponential in temperature: a kelvin downwards takes less off than the slope says.
  const x = Math.max(-1, Math.min(1, observer.sensitivity * bathMoved))
  observer.progress += p[3] * weight * (1 + x * (0.5 + x * (1 / 6 + x / 24)))
  if (observer.progress < 0) observer.progress = 0
  observer.probeCelsius += p[0] * weight
  observer.bathCelsius = Math.max(COLDEST_CELSIUS, Math.min(WARMEST_CELSIUS, observer.bathCelsius + bathMoved))
  observer.bodyCelsius += p[6] * weight
  if (learning) {
    observer.lnLag = Math.max(LN_LAG_LEAST, Math.min(LN_LAG_MOST, observer.lnLag + p[10] * weight))
    observer.lnConductance += p[15] * weight
    observer.lnHeat += p[21] * weight
  }
  if (observer.pouring) observer.pourCelsius += p[28] * weight
  if (x > 0.01 || x < -0.01) {
    const ratio = Math.exp(x)
    observer.progressPerSecond *= ratio
    if (observer.pouring) scaleProgress(observer, ratio)
  }
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

/** How much of a residual in a full bath is to be believed, 0 for none; says how far the model is, from how well it foretold this. */
function believe(observer: Observer, residual: number, expected: number): number {
  if (residual * residual > CONTRADICTION * expected) {
    observer.doubts = observer.doubted * residual > 0 ? observer.doubts + 1 : 1
    observer.doubted = residual
    if (observer.doubts === 1 && observer.freedForSeconds > FREED_SECONDS) keep(observer)
    if (observer.doubts < DOUBTS) return 0
    const probeShare = 1 - Math.exp(-NOTICED_AFTER_SECONDS / Math.exp(observer.lnLag))
    const progressPerSecond = isNaN(observer.progressPerSecond) ? 0 : observer.progressPerSecond
    const most = MOST_STEP_CELSIUS * probeShare
    const shock = (residual * residual - expected) / (probeShare * probeShare)
    addShock(observer.covariance, shock, probeShare, progressPerSecond * observer.sensitivity * NOTICED_AFTER_SECONDS)
    observer.freedForSeconds = 0
    observer.bathNoise = FREED_BATH_NOISE
    observer.leaning = 0
    return residual > most ? most : residual < -most ? -most : residual
  }
  observer.doubted = 0
  observer.leaning += LEANING_SHARE * (residual / Math.sqrt(expected) - observer.leaning)
  if (observer.leaning > ODD || observer.leaning < -ODD) {
    observer.bathNoise = Math.min(FREED_BATH_NOISE, observer.bathNoise * GROWING)
  } else {
    observer.bathNoise += CALMING * (BATH_NOISE - observer.bathNoise)
  }
  return residual
}
