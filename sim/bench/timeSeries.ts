/**
 * The full time series of a run as CSV, from first contact: truth (names that begin with `true`), readings, estimates and
 * commands of every tick. Every column's name carries its unit; what does not exist at a moment is left empty.
 */
import type { Bench } from './run.ts'

type Column = [name: string, digits: number, value: (bench: Bench) => number]

const COLUMNS = [
  ['seconds', 1, ({ plant }) => plant.pins.seconds - plant.firstContactSeconds],
  ['bathIndex', 0, ({ base }) => base.session.bathIndex],
  ['trueBathCelsius', 3, ({ plant }) => (plant.bath.phase === 'empty' ? NaN : plant.bath.bathCelsius)],
  ['trueBodyCelsius', 3, ({ plant }) => plant.bath.bodyCelsius],
  ['probeCelsius', 3, ({ base }) => base.estimates.probeCelsius],
  ['bathCelsius', 3, ({ base }) => base.estimates.bathCelsius],
  ['bathSigmaCelsius', 3, ({ base }) => base.estimates.bathSigmaCelsius],
  ['roomCelsius', 2, ({ base }) => base.estimates.roomCelsius],
  ['trueProgress', 5, ({ plant }) => plant.bath.trueProgress],
  ['progress', 5, ({ base }) => base.clock.view.progress],
  ['boundPercent', 2, ({ base }) => base.clock.view.boundPercent],
  ['trueTankTurns', 3, ({ plant }) => plant.rollers.tankTurns],
  ['tankTurns', 3, ({ base }) => base.estimates.tankTurns],
  ['trueTankRpm', 2, ({ plant }) => plant.rollers.tankRpm],
  ['tankRpm', 2, ({ base }) => base.estimates.tankRpm],
  ['targetRpm', 2, ({ base }) => base.agitation.view.targetRpm],
  ['motorDuty', 3, ({ base }) => base.session.underway.motorDuty],
  ['packVolts', 3, ({ base }) => base.estimates.packVolts],
  ['motorAmps', 3, ({ base }) => base.estimates.motorAmps],
  ['trueCharge', 5, ({ plant }) => plant.pack.charge],
  ['charge', 5, ({ base }) => base.energy.view.charge],
] as const satisfies Column[]

export type ColumnName = (typeof COLUMNS)[number][0]

/** What the column of this name reads of a moment; NaN for what does not exist then. */
export function columnNamed(name: ColumnName): (bench: Bench) => number {
  return COLUMNS.find(column => column[0] === name)![2]
}

export function timeSeriesHeader(): string {
  return [...COLUMNS.map(([name]) => name), 'state'].join(',')
}

/** One line of the moment; a quantity that does not exist now is left empty. */
export function timeSeriesLine(bench: Bench): string {
  const cells = COLUMNS.map(([, digits, value]) => {
    const now = value(bench)
    return Number.isFinite(now) ? now.toFixed(digits) : ''
  })
  return [...cells, bench.base.session.state].join(',')
}
