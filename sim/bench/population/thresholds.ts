/** What a population is asked to keep, for a machine that watches over changes: exit 3 where it does not. */
import type { ComparedFigures, PopulationFigures } from './summary.ts'

export interface Thresholds {
  mostErrorP95?: number
  mostErrorP99?: number
  mostTotalP95?: number
  leastBoundHolds?: number
  mostBoundP50?: number
  mostUnevennessP95?: number
  leastSessionsPerCharge?: number
  mostAlarmed?: number
  mostUnfinished?: number
  mostWorse?: number
}

export interface Threshold {
  key: keyof Thresholds
  flag: string
  words: string
  unit: string
  /** True where more is better. */
  least: boolean
  /** NaN where the population does not say: such a threshold is not kept. */
  found: (figures: PopulationFigures, compared: ComparedFigures | undefined) => number
}

const number = (value: number | null | undefined): number => value ?? NaN

export const THRESHOLDS: Threshold[] = [
  {
    key: 'mostErrorP95',
    flag: '--most-error-p95',
    words: 'error of the clock in 95 of 100 evenings',
    unit: '%',
    least: false,
    found: figures => number(figures.clockErrorPercent.p95),
  },
  {
    key: 'mostErrorP99',
    flag: '--most-error-p99',
    words: 'error of the clock in 99 of 100 evenings',
    unit: '%',
    least: false,
    found: figures => number(figures.clockErrorPercent.p99),
  },
  {
    key: 'mostTotalP95',
    flag: '--most-total-p95',
    words: "error of the film, the operator's hand included, in 95 of 100",
    unit: '%',
    least: false,
    found: figures => number(figures.totalErrorPercent.p95),
  },
  {
    key: 'leastBoundHolds',
    flag: '--least-bound-holds',
    words: 'evenings on which the stated bound holds',
    unit: '%',
    least: true,
    found: figures => 100 * number(figures.boundHolds),
  },
  {
    key: 'mostBoundP50',
    flag: '--most-bound-p50',
    words: 'bound that the base states, in the middle of all evenings',
    unit: '%',
    least: false,
    found: figures => number(figures.boundPercent.p50),
  },
  {
    key: 'mostUnevennessP95',
    flag: '--most-unevenness-p95',
    words: 'unevenness round the film in 95 of 100 evenings',
    unit: '%',
    least: false,
    found: figures => 100 * number(figures.immersionCv.p95),
  },
  {
    key: 'leastSessionsPerCharge',
    flag: '--least-sessions-per-charge',
    words: 'sessions for a charge in 95 of 100 evenings',
    unit: '',
    least: true,
    found: figures => number(figures.sessionsPerCharge.p5),
  },
  {
    key: 'mostAlarmed',
    flag: '--most-alarmed',
    words: 'evenings with an alarm',
    unit: '%',
    least: false,
    found: figures => (100 * figures.alarmed) / figures.sessions,
  },
  {
    key: 'mostUnfinished',
    flag: '--most-unfinished',
    words: 'evenings that were not finished',
    unit: '%',
    least: false,
    found: figures => (100 * (figures.sessions - figures.finished)) / figures.sessions,
  },
  {
    key: 'mostWorse',
    flag: '--most-worse',
    words: 'mean error of the clock that the other adds, surely (the lower end of its interval)',
    unit: '%',
    least: false,
    found: (_, compared) => number(compared?.differences.clockErrorPercent.interval[0]),
  },
]

export interface Judged {
  threshold: string
  words: string
  asked: number
  found: number | null
  kept: boolean
}

/** Those that were asked for, in the order of the table. */
export function judge(
  thresholds: Thresholds,
  figures: PopulationFigures,
  compared: ComparedFigures | undefined,
): Judged[] {
  const judged: Judged[] = []
  for (const { key, flag, words, least, found } of THRESHOLDS) {
    const asked = thresholds[key]
    if (asked === undefined) continue
    const value = found(figures, compared)
    judged.push({
      threshold: flag,
      words,
      asked,
      found: isNaN(value) ? null : value,
      kept: least ? value >= asked : value <= asked,
    })
  }
  return judged
}

const KEPT = '\u2713'
const BROKEN = '\u2717'

export function judgedWords({ threshold, words, asked, found, kept }: Judged): string {
  const { unit, least } = THRESHOLDS.find(one => one.flag === threshold) as Threshold
  const behind = unit === '' ? '' : ` ${unit}`
  const was = found === null ? 'not known' : `${found.toFixed(2)}${behind}`
  return `${kept ? KEPT : BROKEN} ${words}: ${least ? 'at least' : 'at most'} ${asked}${behind} asked, ${was} found`
}
