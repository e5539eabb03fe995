/**
 * How long a bath is expected to last before anyone knows its temperature, for the budget of a session and for the plan.
 *
 * Assumes a checked recipe and that the operator aims at the process temperature. The clock decides the real time later.
 */
import { makeRate, secondsAt } from '../recipe/rate.ts'
import type { Bath } from '../recipe/recipe.ts'
import { timedSeconds } from '../recipe/reuse.ts'

/** Black-and-white sheets are written for 20 C; the row printed there may be 68 F, which is 20.0 C. */
const PLAIN_CELSIUS = 20
const SAME_CELSIUS = 0.6

/**
 * The temperature a developed bath is meant for: the one of its coefficient; the row at 20 C where the sheet has one
 * (black and white); else the warmest row that is usable (colour). NaN for a bath without a rate.
 */
export function processCelsius(bath: Bath): number {
  if (bath.kind !== 'developed') return NaN
  if (bath.atCelsius !== undefined) return bath.atCelsius
  const rows = bath.rows
  if (rows === undefined || rows.length === 0) return NaN
  let warmest = NaN
  for (let i = 0; i < rows.length; i++) {
    if (Math.abs(rows[i][0] - PLAIN_CELSIUS) < SAME_CELSIUS) return rows[i][0]
    if (
      bath.usableCelsius === undefined ||
      (rows[i][0] >= bath.usableCelsius[0] && rows[i][0] <= bath.usableCelsius[1])
    ) {
      warmest = rows[i][0]
    }
  }
  return isNaN(warmest) ? rows[rows.length - 1][0] : warmest
}

/**
 * Expected seconds of a bath from first contact to the end of its drain, at a mean `bathCelsius` (the process temperature when
 * NaN), in a solution through which `filmsPerLitre` films went. Never NaN: 0 for a bath without any time.
 */
export function expectedSeconds(bath: Bath, bathCelsius: number, filmsPerLitre: number, fillSeconds: number): number {
  let seconds: number
  if (bath.kind === 'developed') {
    seconds = secondsAt(makeRate(bath, filmsPerLitre), isNaN(bathCelsius) ? processCelsius(bath) : bathCelsius)
  } else seconds = timedSeconds(bath, filmsPerLitre)
  if (bath.startsWhen === 'full') seconds += fillSeconds
  return seconds > 0 ? seconds : 0
}
