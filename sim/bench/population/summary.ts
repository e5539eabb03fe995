/** From counts to the figures of `population --json`: others rely on the names. Figures that are not known are null. */
import { ALARMS, alarmPlace } from '../../../firmware/session/alarmTable.ts'
import { type Interval, meanInterval, quantileInterval, shareInterval } from './interval.ts'
import { PAIRED, type PairedName, type Pairs } from './pairs.ts'
import { meanOf, quantile, type Sketch, sizesOf } from './sketch.ts'
import type { BathTally, Tally } from './tally.ts'
import { type DevelopersSlope, toleranceOf } from './tolerance.ts'

type Known = number | null
type KnownInterval = [Known, Known]

/** Of the sizes of the errors; `bias` is the mean with its sign. Intervals hold in 95 of 100 populations. */
export interface ErrorFigures {
  mean: Known
  p50: Known
  p95: Known
  p99: Known
  max: Known
  bias: Known
  intervals: { mean: KnownInterval; p50: KnownInterval; p95: KnownInterval; p99: KnownInterval; bias: KnownInterval }
}

export interface SpreadFigures {
  p5: Known
  p50: Known
  p95: Known
  max: Known
  intervals: { p5: KnownInterval; p50: KnownInterval; p95: KnownInterval }
}

export interface BathFigures {
  bath: string
  judged: number
  clockErrorPercent: ErrorFigures
  totalErrorPercent: ErrorFigures
  /** Share of sessions in which the truth lay within what the base stated. */
  boundHolds: Known
  boundHoldsInterval: KnownInterval
  boundPercent: SpreadFigures
  immersionCv: SpreadFigures
  /** Share of sessions with any time outside the sheet, and how long. */
  outsideSheet: Known
  outsideSheetSeconds: SpreadFigures
}

export interface PopulationFigures extends BathFigures {
  sessions: number
  simulatedSeconds: number
  finished: number
  unfinished: { [reason: string]: number }
  sessionsPerCharge: SpreadFigures
  toleranceCelsius: Known
  toleranceClockCelsius: Known
  /** Sessions in which an alarm of the number was raised. */
  alarms: { [number: string]: number }
  alarmShares: { [number: string]: { name: string; share: Known; interval: KnownInterval } }
  alarmed: number
  /** The developed baths after the first. */
  otherBaths: BathFigures[]
}

export function figuresOf(tally: Tally, slope: DevelopersSlope | undefined): PopulationFigures {
  const [first, ...others] = [...tally.baths].map(([name, bath]) => bathFigures(name, bath))
  const leading = first ?? bathFigures('', undefined)
  const tolerance = (percent: Known): Known =>
    slope === undefined || percent === null ? null : known(toleranceOf(slope, percent))
  return {
    sessions: tally.sessions,
    simulatedSeconds: known(tally.tenths / 10) ?? 0,
    finished: tally.finished,
    unfinished: Object.fromEntries(tally.unfinished),
    ...leading,
    sessionsPerCharge: spreadFigures(tally.sessionsPerCharge),
    toleranceCelsius: tolerance(leading.totalErrorPercent.p95),
    toleranceClockCelsius: tolerance(leading.clockErrorPercent.p95),
    alarms: Object.fromEntries(tally.alarms),
    alarmShares: alarmShares(tally),
    alarmed: tally.alarmed,
    otherBaths: others,
  }
}

function alarmShares(tally: Tally): PopulationFigures['alarmShares'] {
  const shares: PopulationFigures['alarmShares'] = {}
  for (const [number, count] of tally.alarms) {
    shares[number] = {
      name: ALARMS[alarmPlace(number)]?.name ?? '',
      share: known(count / tally.sessions),
      interval: both(shareInterval(count, tally.sessions)),
    }
  }
  return shares
}

function bathFigures(name: string, bath: BathTally | undefined): BathFigures {
  const judged = bath?.clockErrorPercent.count ?? 0
  return {
    bath: name,
    judged,
    clockErrorPercent: errorFigures(bath?.clockErrorPercent),
    totalErrorPercent: errorFigures(bath?.totalErrorPercent),
    boundHolds: bath === undefined ? null : known(bath.held / judged),
    boundHoldsInterval: both(shareInterval(bath?.held ?? 0, judged)),
    boundPercent: spreadFigures(bath?.boundPercent),
    immersionCv: spreadFigures(bath?.immersionCv),
    outsideSheet: bath === undefined ? null : known(bath.outsideSheet / judged),
    outsideSheetSeconds: spreadFigures(bath?.outsideSheetSeconds),
  }
}

function errorFigures(signed: Sketch | undefined): ErrorFigures {
  const sizes = signed && sizesOf(signed)
  const at = (part: number): Known => (sizes === undefined ? null : known(quantile(sizes, part)))
  const between = (part: number): KnownInterval =>
    sizes === undefined ? [null, null] : both(quantileInterval(sizes, part))
  return {
    mean: sizes === undefined ? null : known(meanOf(sizes)),
    p50: at(0.5),
    p95: at(0.95),
    p99: at(0.99),
    max: sizes === undefined ? null : known(sizes.most),
    bias: signed === undefined ? null : known(meanOf(signed)),
    intervals: {
      mean: sizes === undefined ? [null, null] : both(meanInterval(sizes)),
      p50: between(0.5),
      p95: between(0.95),
      p99: between(0.99),
      bias: signed === undefined ? [null, null] : both(meanInterval(signed)),
    },
  }
}

function spreadFigures(sketch: Sketch | undefined): SpreadFigures {
  const at = (part: number): Known => (sketch === undefined ? null : known(quantile(sketch, part)))
  const between = (part: number): KnownInterval =>
    sketch === undefined ? [null, null] : both(quantileInterval(sketch, part))
  return {
    p5: at(0.05),
    p50: at(0.5),
    p95: at(0.95),
    max: sketch === undefined ? null : known(sketch.most),
    intervals: { p5: between(0.05), p50: between(0.5), p95: between(0.95) },
  }
}

/** What an other setting changed, evening by evening: its figure less this one's. */
export interface DifferenceFigures {
  /** How many evenings gave both figures. */
  count: number
  mean: Known
  interval: KnownInterval
  p5: Known
  p50: Known
  p95: Known
}

export interface ComparedFigures {
  differences: { [name in PairedName]: DifferenceFigures }
  /** Of the evenings on which the clocks differed, the share on which the other's was nearer to the truth. */
  otherNearer: Known
  otherNearerInterval: KnownInterval
  onlyThisFinished: number
  onlyOtherFinished: number
}

export function comparedFigures(pairs: Pairs): ComparedFigures {
  const differences = {} as ComparedFigures['differences']
  for (const name of PAIRED) {
    const sketch = pairs.differences[name]
    differences[name] = {
      count: sketch.count,
      mean: known(meanOf(sketch)),
      interval: both(meanInterval(sketch)),
      p5: known(quantile(sketch, 0.05)),
      p50: known(quantile(sketch, 0.5)),
      p95: known(quantile(sketch, 0.95)),
    }
  }
  const { otherNearer, thisNearer, onlyThisFinished, onlyOtherFinished } = pairs
  const decided = otherNearer + thisNearer
  return {
    differences,
    otherNearer: known(otherNearer / decided),
    otherNearerInterval: both(shareInterval(otherNearer, decided)),
    onlyThisFinished,
    onlyOtherFinished,
  }
}

/** Six decimals: more than anything here is known to. No number becomes null, as JSON has it. */
export function known(value: number): Known {
  return isFinite(value) ? Math.round(value * 1e6) / 1e6 : null
}

function both([low, high]: Interval): KnownInterval {
  return [known(low), known(high)]
}
