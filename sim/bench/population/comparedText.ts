/** What a person reads of a comparison: what the other setting changes, evening by evening. */
import { wrapped } from '../../report/words.ts'
import { hundredths, percent, range, signed } from './figureWords.ts'
import type { PairedName } from './pairs.ts'
import type { ComparedFigures, DifferenceFigures, PopulationFigures } from './summary.ts'

type Compared = ComparedFigures & { figures: PopulationFigures }

/** What is shown, in which unit, and with how many digits. */
const SHOWN: { name: PairedName; label: string; factor: number; digits: number }[] = [
  { name: 'clockErrorPercent', label: 'clock off by, %', factor: 1, digits: 3 },
  { name: 'totalErrorPercent', label: 'film off by, %', factor: 1, digits: 3 },
  { name: 'boundPercent', label: 'bound, %', factor: 1, digits: 3 },
  { name: 'immersionCv', label: 'unevenness, %', factor: 100, digits: 3 },
  { name: 'sessionsPerCharge', label: 'sessions a charge', factor: 1, digits: 2 },
  { name: 'seconds', label: 'length, s', factor: 1, digits: 1 },
]

export const COMPARED_HEAD = [
  'its figure less this one',
  'on average',
  'surely within',
  '5 of 100 below',
  '95 of 100 below',
]
const WIDTHS = [25, 11, 19, 12, 13]
const SHORT_HEAD = ['its figure less this one', 'on average', 'surely within', '5 of 100', '95 of 100']

/** A row each; what neither setting says is not known. */
export function comparedRows({ differences }: ComparedFigures): string[][] {
  return SHOWN.map(({ name, label, factor, digits }) => [label, ...cells(differences[name], factor, digits)])
}

function cells({ count, mean, interval, p5, p95 }: DifferenceFigures, factor: number, digits: number): string[] {
  if (count === 0) return ['not known', '', '', '']
  const cell = (value: number | null): string => signed(value === null ? null : value * factor, digits)
  return [cell(mean), interval.map(cell).join(' to '), cell(p5), cell(p95)]
}

export function comparedText(other: string, compared: Compared): string[] {
  const line = (row: string[]): string =>
    row
      .map((cell, i) => (i === 0 ? cell.padEnd(WIDTHS[0] as number) : cell.padStart(WIDTHS[i] as number)))
      .join('')
      .trimEnd()
  return [
    ...wrapped(`The same evenings with ${other}: what that changes, evening by evening`, 2),
    ...[SHORT_HEAD, ...comparedRows(compared)].map(line),
    ...wrapped(verdict(compared), 2),
  ]
}

export function verdict({
  differences,
  otherNearer,
  otherNearerInterval,
  figures,
  onlyThisFinished,
  onlyOtherFinished,
}: ComparedFigures & { figures: PopulationFigures }): string {
  const [low, high] = differences.clockErrorPercent.interval
  const sure =
    otherNearer === null
      ? 'The clocks agree on every evening.'
      : low !== null && low > 0
        ? 'Its clock is further off, surely.'
        : high !== null && high < 0
          ? 'Its clock is nearer to the truth, surely.'
          : 'So many evenings do not tell which clock is nearer to the truth.'
  const nearer =
    otherNearer === null
      ? ''
      : ` Nearer in ${hundredths(otherNearer)} of 100 evenings (${range(otherNearerInterval, 100)}).`
  const lost =
    onlyThisFinished + onlyOtherFinished === 0
      ? ''
      : ` It did not finish ${onlyThisFinished} that this one did, and finished ${onlyOtherFinished} that this one did not.`
  const { clockErrorPercent, boundHolds } = figures
  return (
    `${sure}${nearer}${lost} Its clock is within ${percent(clockErrorPercent.p95)} in 95 of 100, its bound holds in ` +
    `${hundredths(boundHolds)} of 100.`
  )
}
