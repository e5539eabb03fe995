/** What tests of whole sessions share: recipes of one bath, traces from points, and runs by the plan. */
import type { Bath, Recipe } from '../firmware/recipe/recipe.ts'
import { runByPlan } from '../sim/bench/defaults.ts'
import { type RunOptions, runSession } from '../sim/bench/run.ts'
import type { BathReport, RunReport } from '../sim/bench/runReport.ts'
import type { Trace } from '../sim/bench/trace.ts'

/** The example of a colour developer: about 11.5 % a degree. */
export const COLOUR_ROWS: [number, number][] = [
  [30, 480],
  [37.8, 195],
]

/** A recipe of one developed bath. */
export function oneBath(bath: Partial<Bath>, pour = { fillSeconds: 8, drainSeconds: 10 }): Recipe {
  return {
    name: 'one-bath',
    title: 'One bath',
    pour,
    baths: [{ name: 'developer', kind: 'developed', rows: COLOUR_ROWS, agitation: 'even', ...bath }],
    agitations: { even: { rpm: 45, legTurns: 2, restSeconds: 0.5, rampSeconds: 0.6, stagger: true } },
  }
}

/** A trace through [seconds, celsius] points. */
export function traceThrough(points: [number, number][]): Trace {
  return {
    seconds: Float64Array.from(points, point => point[0]),
    bathCelsius: Float64Array.from(points, point => point[1]),
    ambientCelsius: undefined,
  }
}

export function run(said: Partial<RunOptions>): RunReport {
  return runSession(runByPlan(said))
}

/** The report of the first developed bath. */
export function developedBath(report: RunReport): BathReport {
  const bath = report.baths.find(candidate => candidate.kind === 'developed')
  if (bath === undefined) throw new Error('no developed bath was run')
  return bath
}
