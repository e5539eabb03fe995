/**
 * The page of one session: in words what the terminal says, and beside it what only pictures show. Every figure in it is of
 * one run, whose document lies in the page. Pure.
 */
import { ALARMS, alarmPlace, explainAlarm } from '../../../../firmware/session/alarmTable.ts'
import { bathCells, type LogEntry, summarySentences } from '../../sessionText.ts'
import { CAUTIONS, celsius, clockTime, percent } from '../../words.ts'
import type { Page, Section, Table } from '../page.ts'
import { chargeChart, progressChart } from './bathCharts.ts'
import type { Shown } from './chartData.ts'
import { closeChart, temperatureChart } from './temperatureCharts.ts'
import { immersionCharts, legsChart, reversalsChart } from './turningCharts.ts'

/** `log` is what happened, in seconds from first contact. */
export function sessionPage(shown: Shown, log: LogEntry[]): Page {
  const { report, recipe } = shown
  const developed = report.baths.flatMap((bath, i) => (bath.kind === 'developed' ? [i] : []))
  const withBaths: Section[] = report.baths.length === 0 ? [] : bathSections(shown, developed)
  return {
    title: `${recipe.title}: one session on a simulated base`,
    lead: [outcome(shown)],
    figures: figures(shown, developed),
    sections: [
      { heading: 'In short', words: [], facts: facts(shown) },
      ...withBaths,
      alarmSection(shown),
      { heading: 'What happened when', words: [], table: logTable(log) },
      { heading: 'Before you develop', words: CAUTIONS },
    ].map(typeset),
    json: report,
  }
}

function outcome({ report, recipe }: Shown): string {
  const room = `Room ${degrees(celsius(report.roomCelsius))}, seed ${report.seed}.`
  if (report.finished) return `All ${recipe.baths.length} baths done in ${clockTime(report.seconds)}. ${room}`
  return `The session was not finished: ${report.because ?? 'it ended early'}. ${room}`
}

function figures({ report }: Shown, developed: number[]): [string, string][] {
  if (report.baths.length === 0) return []
  const { startCharge, endCharge } = report.pack
  return [
    ...developed.flatMap((i): [string, string][] => [
      [`${report.baths[i]!.name}: what the film got`, percent(report.baths[i]!.trueProgress)],
      [`${report.baths[i]!.name}: unevenness of wetting`, percent(report.agitation[i]!.immersionCv)],
    ]),
    ['first contact to the end', clockTime(report.seconds)],
    ['of the charge used', percent(startCharge - endCharge)],
    ['alarms', String(report.alarms.length)],
  ]
}

/** Sentences that go on from the one before are joined to it; the alarms have a section of their own. */
function facts({ report, recipe }: Shown): [string, string][] {
  const facts: [string, string][] = []
  const { length } = report.alarms
  for (const [subject, sentence] of summarySentences(report, recipe)) {
    if (/^Alarm \d/.test(subject)) continue
    const before = facts.at(-1)
    if (subject === '' && before !== undefined) before[1] += ` ${sentence}`
    else facts.push([subject, sentence])
  }
  if (length > 0) facts.push(['Alarms', `${length}, each with its meaning under Alarms below.`])
  return facts
}

function bathSections(shown: Shown, developed: number[]): Section[] {
  const { report } = shown
  const { head, rows } = bathCells(report)
  const numbered = rows.map(([name, ...cells], i) => [`${i + 1} ${name}`, ...cells])
  return [
    { heading: 'The baths', words: [], table: { head, rows: numbered } },
    { heading: 'Temperature', words: [], chart: temperatureChart(shown) },
    ...developed.map(index => ({
      heading: `Close by: ${report.baths[index]!.name}`,
      words: [],
      chart: closeChart(shown, index),
    })),
    { heading: 'Progress and calls', words: [], chart: progressChart(shown) },
    { heading: 'Shaft and legs', words: [], chart: legsChart(shown) },
    { heading: 'Reversals', words: [], chart: reversalsChart(shown) },
    {
      heading: 'How evenly the film was wetted',
      words: [
        'Round each map goes the film; outwards goes the share of the time that it lay in the liquid, at the inner, the middle ' +
          'and the outer turn of the reel. A circle is even. Pours, when the tank stands, are not counted.',
      ],
      charts: immersionCharts(shown),
      table: evennessTable(shown),
    },
    { heading: 'Charge', words: [], chart: chargeChart(shown) },
  ]
}

function evennessTable({ report }: Shown): Table {
  return {
    head: ['bath', 'uneven', 'longest dry', 'goes under', 'turned back'],
    rows: report.agitation.map((bath, i) => [
      `${i + 1} ${bath.bath}`,
      percent(bath.immersionCv),
      `${bath.longestDrySeconds.toFixed(1)} s`,
      `${bath.exchangesPerMinute.toFixed(1)} times a minute`,
      `${bath.reversals} times`,
    ]),
  }
}

function alarmSection({ report }: Shown): Section {
  if (report.alarms.length === 0) return { heading: 'Alarms', words: ['None.'] }
  const rows = report.alarms.map(({ number, bath, atSeconds }) => [
    clockTime(atSeconds),
    String(number),
    bath,
    ALARMS[alarmPlace(number)]?.short ?? '',
    explainAlarm(number),
  ])
  return { heading: 'Alarms', words: [], table: { head: ['at', 'number', 'bath', 'on the screen', 'meaning'], rows } }
}

function logTable(log: LogEntry[]): Table {
  return { head: ['at', 'what'], rows: log.map(entry => [clockTime(entry.atSeconds), entry.words]) }
}

/** The terminal's and the board's letters are plain ASCII; a page has better ones. */
function typeset(section: Section): Section {
  return {
    ...section,
    words: section.words.map(degrees),
    ...(section.facts && { facts: section.facts.map(([term, text]): [string, string] => [term, degrees(text)]) }),
    ...(section.table && { table: { ...section.table, rows: section.table.rows.map(row => row.map(degrees)) } }),
  }
}

function degrees(text: string): string {
  return text.replace(/(\d) C\b/g, '$1 °C').replace(/ \+-(\d)/g, ' ±$1')
}
