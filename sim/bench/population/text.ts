/** What a person reads of a population, within 80 columns. */
import { ALARMS, alarmPlace } from '../../../firmware/session/alarmTable.ts'
import { wrapped } from '../../report/words.ts'
import { histogram, stepsBetween } from './bars.ts'
import { comparedText } from './comparedText.ts'
import type { Distribution } from './distribution.ts'
import type { PopulationDocument } from './document.ts'
import { count, hundredths, percent, plain, range, signedPercent } from './figureWords.ts'
import { sensitivityText } from './sensitivityText.ts'
import { countsBetween, quantile } from './sketch.ts'
import { spreadWords } from './spread.ts'
import type { BathFigures, ErrorFigures, PopulationFigures, SpreadFigures } from './summary.ts'
import type { Tally } from './tally.ts'
import { judgedWords } from './thresholds.ts'
import { toleranceWords } from './tolerance.ts'

const STEPS = 15
const LABEL = 27
const CELL = 13

export function populationText(document: PopulationDocument, tally: Tally): string {
  const { asked, compared } = document
  const lines = [
    ...wrapped(title(document), 0),
    ...wrapped(distributionWords(asked.distribution), 2),
    '',
    ...bathText(document, true),
    ...errorHistogram(document, tally),
    ...document.otherBaths.flatMap(bath => ['', ...bathText(bath, false)]),
    '',
    ...packAndAlarms(document),
    ...furthestText(document),
    ...tolerance(document),
    ...(compared === undefined ? [] : ['', ...comparedText(compared.with, compared)]),
  ]
  if (document.sensitivity !== undefined) lines.push('', sensitivityText(document.sensitivity))
  if (document.thresholds.length > 0) {
    lines.push('', ...document.thresholds.flatMap(judged => wrapped(judgedWords(judged), 2)))
  }
  return lines.join('\n')
}

export function title({ sessions, asked }: PopulationDocument): string {
  const parts = asked.parts === undefined ? '' : `, part ${asked.parts.join(', ')}`
  return `${count(sessions)} evenings of ${asked.title}, "${asked.distribution.name}" (seeds from ${asked.seed} on${parts})`
}

/** What varies, in one sentence. */
export function distributionWords(d: Distribution): string {
  const pour =
    d.pourByPlan >= 1
      ? 'as the plan advises'
      : d.pourByPlan <= 0
        ? "at the sheet's temperature"
        : `as the plan advises in ${Math.round(100 * d.pourByPlan)} of 100, else at the sheet's temperature`
  return (
    `Rooms ${spreadWords(d.roomCelsius, 'C')}; poured ${pour}, off by ${spreadWords(d.pourOffCelsius, 'C')}; ` +
    `${Math.round(100 * d.withoutPrewet)} of 100 without a prewet; films already through ${spreadWords(d.filmsThrough, '')}; ` +
    `reaction ${spreadWords(d.reactionSeconds, 's')}; charge ${spreadWords(d.startCharge, '')}.`
  )
}

function bathText(bath: BathFigures, first: boolean): string[] {
  if (bath.bath === '') return ['No evening came to a developer.']
  const head = `${bath.bath}${first ? '' : ' (later)'}`
  const columns = ['half within', '95 of 100', '99 of 100', 'worst']
  return [
    head.padEnd(LABEL) + columns.map(column => column.padStart(CELL)).join(''),
    errorLine('clock off by', bath.clockErrorPercent),
    intervalLine(bath.clockErrorPercent),
    errorLine('film off by, hand included', bath.totalErrorPercent),
    intervalLine(bath.totalErrorPercent),
    spreadLine('bound stated by the base', bath.boundPercent, 1),
    spreadLine('unevenness round the film', bath.immersionCv, 100),
    ...wrapped(boundWords(bath), 2),
  ]
}

function errorLine(label: string, { p50, p95, p99, max }: ErrorFigures): string {
  return label.padEnd(LABEL) + [p50, p95, p99, max].map(value => percent(value).padStart(CELL)).join('')
}

/** How sure the line above is. */
function intervalLine({ intervals }: ErrorFigures): string {
  const cells = [intervals.p50, intervals.p95, intervals.p99].map(([low, high]) => `${plain(low)}-${plain(high)}`)
  return `${''.padEnd(LABEL)}${cells.map(cell => cell.padStart(CELL)).join('')}`
}

function spreadLine(label: string, { p50, p95, max }: SpreadFigures, factor: number): string {
  const cell = (value: number | null): string => percent(value === null ? null : value * factor).padStart(CELL)
  return label.padEnd(LABEL) + cell(p50) + cell(p95) + ''.padStart(CELL) + cell(max)
}

export function boundWords({
  boundHolds,
  boundHoldsInterval,
  clockErrorPercent,
  outsideSheet,
  outsideSheetSeconds,
}: BathFigures): string {
  const outside =
    outsideSheet === null || outsideSheet === 0
      ? 'The bath never left its sheet.'
      : `The bath was outside its sheet for a while in ${hundredths(outsideSheet)} of 100, for up to ` +
        `${plain(outsideSheetSeconds.p95)} s in 95 of 100.`
  return (
    `The stated bound holds in ${hundredths(boundHolds)} of 100 evenings (${range(boundHoldsInterval, 100)}). The clock is ` +
    `off by ${signedPercent(clockErrorPercent.bias)} on average. ${outside}`
  )
}

/** As wide as the error of nearly all evenings; the ends take the rest. */
function errorHistogram(document: PopulationDocument, tally: Tally): string[] {
  const sketch = tally.baths.get(document.bath)?.clockErrorPercent
  if (sketch === undefined || sketch.count < STEPS) return []
  const reach = Math.max(0.1, -quantile(sketch, 0.005), quantile(sketch, 0.995))
  const edges = stepsBetween(-reach, reach, STEPS)
  return [
    '',
    'The film got less (-) or more (+) than the clock believed, in percent:',
    ...histogram(edges, countsBetween(sketch, edges), '', 56),
  ]
}

function packAndAlarms(figures: PopulationFigures): string[] {
  const { sessionsPerCharge: pack, sessions, finished, alarmed, alarmShares } = figures
  const lines: string[] = []
  if (pack.p50 !== null) {
    lines.push(
      ...wrapped(
        `A full charge carries ${plain(pack.p50, 1)} such sessions in the middle; fewer than ${plain(pack.p5, 1)} in 5 of 100 ` +
          `evenings, more than ${plain(pack.p95, 1)} in 5 of 100.`,
        2,
      ),
    )
  }
  if (finished < sessions) {
    lines.push(`${count(sessions - finished)} of ${count(sessions)} were not finished:`)
    for (const [reason, times] of Object.entries(figures.unfinished))
      lines.push(...wrapped(`- ${count(times)}: ${reason}`, 2))
  }
  lines.push(
    alarmed === 0
      ? 'No alarm was raised.'
      : `An alarm was raised in ${hundredths(alarmed / sessions)} of 100 evenings:`,
  )
  for (const [number, { share, interval }] of Object.entries(alarmShares)) {
    const short = ALARMS[alarmPlace(Number(number))]?.short ?? ''
    lines.push(
      `  ${number.padStart(3)} ${short.padEnd(22)}${hundredths(share).padStart(6)} of 100 (${range(interval, 100)})`,
    )
  }
  return lines
}

function furthestText({ furthest }: PopulationDocument): string[] {
  if (furthest.length === 0) return []
  const each = furthest.map(({ seed, clockErrorPercent }) => `${seed} (${signedPercent(clockErrorPercent)})`)
  return wrapped(`Furthest off: seeds ${each.join(', ')}.`, 2)
}

function tolerance({ asked, totalErrorPercent, clockErrorPercent }: PopulationDocument): string[] {
  if (asked.slope === undefined || totalErrorPercent.p95 === null || clockErrorPercent.p95 === null) return []
  const words = toleranceWords(asked.slope, totalErrorPercent.p95, clockErrorPercent.p95)
  return ['', 'What that is worth', ...words.flatMap(text => wrapped(text, 2))]
}
