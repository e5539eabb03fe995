/**
 * How the base is now: the answer to `status`, and what telemetry sends. Figures that are not known are null, because the
 * engine would write NaN, which is no JSON; all are rounded, because nobody reads further.
 */
import type { Base } from '../base.ts'
import { standingAlarms } from '../session/alarms.ts'

/** Rounded to 1/`steps`; null for what is no number. */
export function rounded(value: number, steps: number): number | null {
  return isFinite(value) ? Math.floor(value * steps + 0.5) / steps : null
}

/** The method `status`. */
export function statusOf(_line: unknown, base: Base): unknown {
  const session = base.session
  const view = base.clock.view
  const energy = base.energy.view
  const estimates = base.estimates
  const inBath = session.underway.contents !== 'empty'
  const nowSeconds = estimates.nowSeconds
  return {
    atClockSeconds: rounded(nowSeconds, 10),
    state: session.state,
    recipe: session.recipe.name,
    bath: session.recipe.baths[session.bathIndex].name,
    bathNumber: session.bathIndex + 1,
    baths: session.recipe.baths.length,
    progress: inBath ? rounded(view.progress, 1e4) : 0,
    boundPercent: inBath ? rounded(view.boundPercent, 10) : null,
    bathCelsius: inBath ? rounded(estimates.bathCelsius, 100) : null,
    probeCelsius: rounded(estimates.probeCelsius, 100),
    believed: view.bridging,
    secondsToCue: inBath ? rounded(view.cueAtSeconds - nowSeconds, 10) : null,
    rpm: rounded(estimates.tankRpm, 10),
    charge: estimates.packKnown ? rounded(energy.charge, 100) : null,
    enough: estimates.packKnown ? energy.enough : null,
    darkSeconds: base.dark === undefined ? null : [base.dark.seconds, base.dark.leastSeconds, base.dark.mostSeconds],
    alarms: standingAlarms(session.alarms),
    says: session.refusal,
    testTurn: base.turnTest.stage,
    mishaps: base.mishaps,
  }
}
