/**
 * Puts the observer back into a bath that was in the tank when the power went: temperatures as they are now,
 * progress as it was counted, and what happened in the dark on top. What was learned of lag and heat in that bath is
 * gone; the prior of the base file takes its place.
 */
import type { BathSense } from './bathSense.ts'
import { isolate } from './covariance.ts'
import { celsiusFromCounts } from './thermistor.ts'
import type { Underway } from './underway.ts'

export interface BathNow {
  /** What the probe itself has; NaN where it says nothing. */
  probeCelsius: number
  bathCelsius: number
  bathSigmaCelsius: number
  bodyCelsius: number
  /** What happened in the dark counted in, with one sigma; and what a kelvin of the probe's calibration is worth in it. */
  progress: number
  progressSigma: number
  progressPerKelvin: number
}

const PROBE_SIGMA_CELSIUS = 0.3
/** The tank is known less well than the bath that stood in it (assumed). */
const BODY_SIGMA_CELSIUS = 1
/** The pour is over for so long that nothing of it is left to settle. */
const SETTLED_SECONDS = 600

/** What the probe says to so many counts; NaN where that is no bath. */
export function celsiusOfProbe(sense: BathSense, counts: number | undefined): number {
  if (counts === undefined) return NaN
  const celsius = celsiusFromCounts(sense.judge.curve, counts)
  return celsius > 0 && celsius < 60 ? celsius : NaN
}

export function resumeBath(sense: BathSense, underway: Underway, now: BathNow, nowSeconds: number): void {
  const observer = sense.observer
  const p = observer.covariance
  const bathVariance = now.bathSigmaCelsius * now.bathSigmaCelsius
  sense.contents = underway.contents
  sense.bathIndex = underway.bathIndex
  sense.rate = underway.rate
  sense.counting = underway.contents !== 'filling' || underway.startsWhen === 'contact'
  sense.wet = true
  sense.drainFromSeconds = underway.contents === 'draining' ? underway.sinceSeconds : NaN
  sense.modelSeconds = nowSeconds
  const seen = !isNaN(now.probeCelsius)
  observer.probeCelsius = seen ? now.probeCelsius : now.bathCelsius
  observer.bathCelsius = now.bathCelsius
  observer.bodyCelsius = now.bodyCelsius
  observer.progress = now.progress
  observer.progressPerKelvin = now.progressPerKelvin
  observer.pourCelsius = now.bathCelsius
  observer.liquidMillilitres = underway.millilitres
  observer.fullMillilitres = underway.millilitres
  observer.toPourMillilitres = 0
  observer.pouring = false
  observer.fullForSeconds = SETTLED_SECONDS
  isolate(p, 0, seen ? PROBE_SIGMA_CELSIUS * PROBE_SIGMA_CELSIUS : bathVariance)
  isolate(p, 1, bathVariance)
  isolate(p, 2, now.progressSigma * now.progressSigma)
  isolate(p, 3, bathVariance + BODY_SIGMA_CELSIUS * BODY_SIGMA_CELSIUS)
  isolate(p, 7, 0)
}
