/**
 * What the observer knew before readings began to contradict it, kept while they are on trial: a probe that turns out to
 * have failed has said nothing of the bath, and what was believed of it is taken back.
 *
 * Assumes a full bath from `keep` to `takeBack`: its own seconds are the time between the two. Made once, with the observer.
 */

import type { Rate } from '../recipe/rate.ts'
import { advanceFull } from './heatStep.ts'
import { type Observer, TRIAL_NUMBERS } from './observer.ts'

/** Longer ago than any trial lasts. */
const LONG_AGO_SECONDS = 1e9

/** Readings begin to contradict the model. */
export function keep(observer: Observer): void {
  const kept = observer.trial
  kept[0] = observer.fullForSeconds
  kept[1] = observer.probeCelsius
  kept[2] = observer.bathCelsius
  kept[3] = observer.progress
  kept[4] = observer.bodyCelsius
  kept[5] = observer.lnLag
  kept[6] = observer.lnConductance
  kept[7] = observer.lnHeat
  kept[8] = observer.progressPerKelvin
  kept.set(observer.covariance, TRIAL_NUMBERS)
}

/** The probe has failed: as it was, and on by the model alone up to now. */
export function takeBack(observer: Observer, turning: boolean, rate: Rate | undefined, counting: boolean): void {
  const kept = observer.trial
  let left = observer.fullForSeconds - kept[0]
  observer.fullForSeconds = kept[0]
  observer.probeCelsius = kept[1]
  observer.bathCelsius = kept[2]
  observer.progress = kept[3]
  observer.bodyCelsius = kept[4]
  observer.lnLag = kept[5]
  observer.lnConductance = kept[6]
  observer.lnHeat = kept[7]
  observer.progressPerKelvin = kept[8]
  observer.covariance.set(kept.subarray(TRIAL_NUMBERS))
  observer.progressPerSecond = NaN
  observer.pendingSeconds = 0
  observer.pendingWorth = 0
  observer.doubted = 0
  while (left > 0) {
    const seconds = left < 1.5 ? left : 1
    left -= seconds
    advanceFull(observer, seconds, turning, rate, counting)
  }
  observer.freedForSeconds = LONG_AGO_SECONDS
}
