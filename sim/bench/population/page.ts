/**
 * The page of a population: what the terminal says, and beside it error against bound, the distributions, what they are
 * worth and what moves them. Every figure is of the document that lies in the page. Pure.
 */
import { ALARMS, alarmPlace } from '../../../firmware/session/alarmTable.ts'
import type { Page, Section, Table } from '../../report/page/page.ts'
import { errorAgainstBound, errorDistribution, sensitivityChart, smallDistribution } from './charts.ts'
import { COMPARED_HEAD, comparedRows, verdict } from './comparedText.ts'
import { distributionSpec } from './distributionFields.ts'
import type { PopulationDocument } from './document.ts'
import { count, hundredths, percent, plain, range, signedPercent, wholePercent } from './figureWords.ts'
import type { SensitivityDocument } from './sensitivity.ts'
import { nextEuro } from './sensitivityText.ts'
import { type Spread, spreadWords } from './spread.ts'
import type { BathFigures, ErrorFigures } from './summary.ts'
import { boundWords, distributionWords, title } from './text.ts'
import { judgedWords } from './thresholds.ts'
import { toleranceWords } from './tolerance.ts'
import type { Counted } from './work.ts'

export function populationPage(document: PopulationDocument, counted: Counted): Page {
  const { asked } = document
  return {
    title: `${asked.title}: ${count(document.sessions)} evenings on a simulated base`,
    lead: [`${title(document)}.`, ...tolerance(document).slice(0, 1)],
    figures: [
      ['95 of 100 clocks are within', percent(document.clockErrorPercent.p95)],
      ['95 of 100 films are within', percent(document.totalErrorPercent.p95)],
      ['of 100 stated bounds hold', hundredths(document.boundHolds)],
      ['as a heated line within', document.toleranceCelsius === null ? '?' : `±${plain(document.toleranceCelsius)} °C`],
      ...(document.sessionsPerCharge.p50 === null
        ? []
        : [['sessions for a charge', plain(document.sessionsPerCharge.p50, 1)] as [string, string]]),
    ],
    sections: sections(document, counted),
    json: document,
  }
}

function sections(document: PopulationDocument, counted: Counted): Section[] {
  const { compared, sensitivity, thresholds, asked } = document
  const bath = counted.tally.baths.get(document.bath)
  const all: Section[] = [
    {
      heading: `How far off: ${document.bath}`,
      words: document.bath === '' ? ['No evening came to a developer.'] : [boundWords(document)],
      table: errorTable([document, ...document.otherBaths]),
      ...(bath && { chart: errorDistribution(bath.clockErrorPercent, bath.totalErrorPercent) }),
    },
  ]
  if (counted.points.sample.length > 0) {
    all.push({
      heading: 'Error against bound',
      words: [],
      chart: errorAgainstBound(counted.points.sample, document.bath),
    })
  }
  all.push({ heading: 'What that is worth', words: tolerance(document) })
  if (sensitivity !== undefined) all.push(...sensitivitySections(sensitivity))
  all.push(otherDistributions(document, counted), alarmSection(document))
  if (compared !== undefined) {
    all.push({
      heading: `The same evenings with ${compared.with}`,
      words: [verdict(compared)],
      table: { head: COMPARED_HEAD, rows: comparedRows(compared) },
    })
  }
  if (thresholds.length > 0) all.push({ heading: 'What was asked', words: thresholds.map(judgedWords) })
  all.push(
    { heading: 'What varied', words: [distributionWords(asked.distribution)], table: distributionTable(document) },
    {
      heading: 'Furthest off',
      words: ['Run one of them again with --sessions 1 --seed.'],
      table: furthestTable(document),
    },
  )
  return all
}

function tolerance({ asked, totalErrorPercent, clockErrorPercent }: PopulationDocument): string[] {
  if (asked.slope === undefined || totalErrorPercent.p95 === null || clockErrorPercent.p95 === null) return []
  return toleranceWords(asked.slope, totalErrorPercent.p95, clockErrorPercent.p95).map(typeset)
}

/** What the terminal writes in plain letters. */
function typeset(text: string): string {
  return text.replaceAll('+-', '±').replace(/(\d) C\b/g, '$1 °C')
}

function errorTable(baths: BathFigures[]): Table {
  const row = (bath: string, what: string, { mean, p50, p95, p99, max, intervals }: ErrorFigures): string[] => [
    `${bath}: ${what}`,
    percent(mean),
    percent(p50),
    `${percent(p95)} (${range(intervals.p95, 1, 2)})`,
    `${percent(p99)} (${range(intervals.p99, 1, 2)})`,
    percent(max),
  ]
  return {
    head: ['off by', 'mean', 'half within', '95 of 100 within', '99 of 100 within', 'worst'],
    rows: baths.flatMap(bath => [
      row(bath.bath, 'clock', bath.clockErrorPercent),
      row(bath.bath, 'film, hand included', bath.totalErrorPercent),
    ]),
    caption: 'In brackets: where the true value lies, 95 times in 100.',
  }
}

function otherDistributions(document: PopulationDocument, { tally }: Counted): Section {
  const bath = tally.baths.get(document.bath)
  const charts = []
  if (bath !== undefined && bath.immersionCv.count > 0) {
    const cv = document.immersionCv
    const uneven = `Unevenness round the film; 95 of 100 are below ${percent(cv.p95 === null ? null : 100 * cv.p95)}.`
    charts.push(
      smallDistribution('unevenness', uneven, bath.immersionCv, 100, 'unevenness, %'),
      smallDistribution('bounds', 'The bound that the base states.', bath.boundPercent, 1, 'bound, %'),
    )
  }
  if (tally.sessionsPerCharge.count > 0) {
    const says = 'Sessions that a full pack would carry, by what each took from its own.'
    charts.push(smallDistribution('charge', says, tally.sessionsPerCharge, 1, 'sessions a charge'))
  }
  return { heading: 'Evenness, bound and charge', words: [], charts }
}

function alarmSection({ alarmShares, alarmed, alarms, sessions, finished, unfinished }: PopulationDocument): Section {
  const words = [
    alarmed === 0
      ? 'No alarm was raised.'
      : `An alarm was raised in ${hundredths(alarmed / sessions)} of 100 evenings.`,
    ...(finished === sessions
      ? ['Every session was finished.']
      : Object.entries(unfinished).map(([reason, times]) => `Not finished, ${count(times)} times: ${reason}.`)),
  ]
  const rows = Object.entries(alarmShares).map(([number, { name, share, interval }]) => [
    number,
    ALARMS[alarmPlace(Number(number))]?.short ?? name,
    count(alarms[number] as number),
    `${hundredths(share)} (${range(interval, 100)})`,
  ])
  const table = { head: ['number', 'on the screen', 'evenings', 'of 100'], rows }
  return { heading: 'Alarms', words, ...(rows.length > 0 && { table }) }
}

function sensitivitySections({ outputs, sessions, rows }: SensitivityDocument): Section[] {
  const { clockErrorPercent: clock, totalErrorPercent: film } = outputs
  const both = (share: number | null, [low, high]: [number | null, number | null]): string =>
    `${wholePercent(share)} % (${wholePercent(low)} to ${wholePercent(high)})`
  return [
    {
      heading: 'What moves the error of the clock',
      words: [nextEuro(clock)],
      chart: sensitivityChart('sensitivity-clock', "the clock's error", clock),
      table: {
        head: ['input', 'alone', 'with others'],
        rows: clock.inputs.map(input => [
          input.words,
          both(input.first, input.firstInterval),
          both(input.total, input.totalInterval),
        ]),
        caption: `Part of the variance, from ${count(sessions)} evenings in ${count(rows)} rows (Saltelli, Jansen).`,
      },
    },
    {
      heading: 'What moves the error of the film',
      words: ["The operator's hand included."],
      chart: sensitivityChart('sensitivity-film', "the film's error", film),
    },
  ]
}

function distributionTable({ asked }: PopulationDocument): Table {
  const values = asked.distribution as unknown as Record<string, Spread | number | undefined>
  const rows = distributionSpec.fields.flatMap(({ key, meaning }): string[][] => {
    const value = values[key]
    if (value === undefined || typeof value === 'string') return []
    return [[key, typeof value === 'number' ? String(value) : spreadWords(value, ''), meaning]]
  })
  return { head: ['key', 'value', 'what it is'], rows }
}

function furthestTable({ furthest }: PopulationDocument): Table {
  return {
    head: ['seed', 'clock off by', 'stated bound', 'film off by'],
    rows: furthest.map(point => [
      String(point.seed),
      signedPercent(point.clockErrorPercent),
      percent(point.boundPercent),
      signedPercent(point.totalErrorPercent),
    ]),
  }
}
