/**
 * Puts the observer back into a bath that was in the tank when the power went: temperatures as the probe says now,
 * progress as it was counted, and what happened in the dark on top. What was learned of lag and heat in that bath is
 * gone; the prior of the base file takes its place.
 */
import type { BathSense } from './bathSense.ts'
import { isolate } from './covariance.ts'
import { celsiusFromCounts } from './thermistor.ts'
import type { Underway } from './underway.ts'

export interface BathBefore {
  bathCelsius: number
  bodyCelsius: number
  /** What happened in the dark counted in, with one sigma; and what a kelvin of the probe's calibration is worth in it. */
  progress: number
  progressSigma: number
  progressPerKelvin: number
}

/** A bath that stood in the dark is known as well as the probe that stood in it; the tank less so (assumed). */
const BATH_SIGMA_CELSIUS = 0.3
const BODY_SIGMA_CELSIUS = 1
/** Where the probe says nothing, the bath is where it was, and that may be long ago. */
const UNSEEN_SIGMA_CELSIUS = 3
/** The pour is over for so long that nothing of it is left to settle. */
const SETTLED_SECONDS = 600

/** What the probe says to so many counts; NaN where that is no bath. */
export function celsiusOfProbe(sense: BathSense, counts: number | undefined): number {
  if (counts === undefined) return NaN
  const celsius = celsiusFromCounts(sense.judge.curve, counts)
  return celsius > 0 && celsius < 60 ? celsius : NaN
}

/** `probeCelsius` is NaN where the probe says nothing. */
export function resumeBath(
  sense: BathSense,
  underway: Underway,
  before: BathBefore,
  probeCelsius: number,
  nowSeconds: number,
): void {
  const observer = sense.observer
  const p = observer.covariance
  const seen = !isNaN(probeCelsius)
  const bathCelsius = seen ? probeCelsius : before.bathCelsius
  const bathSigma = seen ? BATH_SIGMA_CELSIUS : UNSEEN_SIGMA_CELSIUS
  sense.contents = underway.contents
  sense.bathIndex = underway.bathIndex
  sense.rate = underway.rate
  sense.counting = underway.contents !== 'filling' || underway.startsWhen === 'contact'
  sense.wet = true
  sense.drainFromSeconds = underway.contents === 'draining' ? underway.sinceSeconds : NaN
  sense.modelSeconds = nowSeconds
  observer.probeCelsius = bathCelsius
  observer.bathCelsius = bathCelsius
  observer.bodyCelsius = seen ? probeCelsius : before.bodyCelsius
  observer.progress = before.progress
  observer.progressPerKelvin = before.progressPerKelvin
  observer.pourCelsius = bathCelsius
  observer.liquidMillilitres = underway.millilitres
  observer.fullMillilitres = underway.millilitres
  observer.toPourMillilitres = 0
  observer.pouring = false
  observer.fullForSeconds = SETTLED_SECONDS
  isolate(p, 0, bathSigma * bathSigma)
  isolate(p, 1, bathSigma * bathSigma)
  isolate(p, 2, before.progressSigma * before.progressSigma)
  isolate(p, 3, BODY_SIGMA_CELSIUS * BODY_SIGMA_CELSIUS)
  isolate(p, 7, 0)
}
