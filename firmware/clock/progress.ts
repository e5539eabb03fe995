/**
 * One step of development: the integral of 1 / seconds(T) between two bath temperatures.
 *
 * Assumes that the temperature runs straight from one to the other, so that the speed runs exponentially, and takes
 * Simpson's rule with the middle that an exponential has: for steps of 1 K the error is a part in ten million. Pure
 * functions; a temperature that is no number is taken by the rate as the middle of the sheet.
 */
import type { Rate } from '../recipe/rate.ts'
import { secondsAt } from '../recipe/rate.ts'

/** How fast development goes at a temperature: the fraction of the bath's whole per second. */
export function speedAt(rate: Rate, bathCelsius: number): number {
  return 1 / secondsAt(rate, bathCelsius)
}

/** What `stepSeconds` add to the progress, from the speed at their beginning and at their end. */
export function progressStep(speedBefore: number, speedAfter: number, stepSeconds: number): number {
  return ((speedBefore + speedAfter + 4 * Math.sqrt(speedBefore * speedAfter)) * stepSeconds) / 6
}
