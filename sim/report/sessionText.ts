/** A session in words and one table: what a photographer wants to know of it. */
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { ALARMS, alarmPlace, explainAlarm } from '../../firmware/session/alarmTable.ts'
import type { AgitationReport, BathReport, RunReport } from '../bench/runReport.ts'
import { CAUTIONS, celsius, clockTime, hanging, percent, wrapped } from './words.ts'

/** What clings and adds less than this needs no word. */
const LEAST_CLING = 0.01

/** Something that happened, for the log above the table. */
export interface LogEntry {
  atSeconds: number
  words: string
}

export function sessionText(report: RunReport, recipe: Recipe, log: LogEntry[]): string {
  return [
    `${recipe.title} on a simulated base: room ${celsius(report.roomCelsius)}, seed ${report.seed}`,
    '',
    ...log.map(entry => `${clockTime(entry.atSeconds).padStart(8)}  ${entry.words}`),
    '',
    ...bathTable(report),
    ...summarySentences(report, recipe).flatMap(([subject, sentence]) => paragraph(subject, sentence)),
    '',
    ...CAUTIONS.flatMap(caution => wrapped(`! ${caution}`, 2)),
  ].join('\n')
}

/** [heading, width, cell] */
type Column = [string, number, (index: number) => string]

function bathColumns(report: RunReport): Column[] {
  const { baths, agitation } = report
  return [
    ['time', 7, i => clockTime(baths[i]!.seconds)],
    ['poured', 8, i => celsius(baths[i]!.pourCelsius)],
    ['mean', 8, i => celsius(baths[i]!.meanCelsius)],
    ['film got', 10, i => (isDeveloped(baths[i]!) ? percent(baths[i]!.trueProgress) : '')],
    ['base said', 15, i => (isDeveloped(baths[i]!) ? believed(baths[i]!) : 'by time')],
    ['uneven', 8, i => percent(agitation[i]!.immersionCv)],
    ['turned back', 13, i => `${agitation[i]!.reversals} times`],
  ]
}

/** The baths as cells, a row each and its name first. */
export function bathCells(report: RunReport): { head: string[]; rows: string[][] } {
  const columns = bathColumns(report)
  return {
    head: ['bath', ...columns.map(([heading]) => heading)],
    rows: report.baths.map((bath, i) => [bath.name, ...columns.map(([, , cell]) => cell(i))]),
  }
}

function bathTable(report: RunReport): string[] {
  if (report.baths.length === 0) return []
  const { head, rows } = bathCells(report)
  const nameWidth = Math.max(4, ...report.baths.map(bath => bath.name.length))
  const widths = [nameWidth, ...bathColumns(report).map(([, width]) => width)]
  const line = (cells: string[]): string =>
    cells.map((cell, i) => (i === 0 ? cell.padEnd(nameWidth) : cell.padStart(widths[i] as number))).join('')
  return [line(head), ...rows.map(line), '']
}

function isDeveloped(bath: BathReport): boolean {
  return bath.kind === 'developed'
}

function believed(bath: BathReport): string {
  return `${percent(bath.progress)} +-${bath.boundPercent.toFixed(1)}`
}

const INDENT = 13

/** One paragraph: its subject in the margin, its sentence beside it. */
function paragraph(subject: string, sentence: string): string[] {
  return hanging(subject.padEnd(INDENT), sentence)
}

/** A session in sentences: each with its subject, which is empty where the sentence goes on from the one before. */
export function summarySentences(report: RunReport, recipe: Recipe): [subject: string, sentence: string][] {
  const { startCharge, endCharge, sessionsLeft } = report.pack
  const sentences = report.baths.flatMap((bath, i) =>
    isDeveloped(bath) ? [...developmentSentences(bath), ...drySentences(bath, report.agitation[i]!)] : [],
  )
  for (const { number, bath, atSeconds } of report.alarms) {
    const short = ALARMS[alarmPlace(number)]?.short ?? ''
    sentences.push([`Alarm ${number}`, `${clockTime(atSeconds)} in ${bath}: ${short}. ${explainAlarm(number)}`])
  }
  if (report.alarms.length === 0) sentences.push(['Alarms', 'none.'])
  if (report.baths.length === 0) {
    return [...sentences, ['REFUSED', `${report.because ?? ''}: charge the pack first (plan says what it takes).`]]
  }
  sentences.push([
    'Pack',
    `${percent(startCharge, 0)} at the start, ${percent(endCharge, 0)} at the end; by the base's reckoning enough for ` +
      `${sessionsLeft.toFixed(1)} more sessions like this.`,
  ])
  if (report.finished) return [...sentences, ['Finished', `after ${clockTime(report.seconds)}.`]]
  const missing = recipe.baths.length - report.baths.length
  return [...sentences, ['NOT FINISHED', `${report.because ?? ''} (${missing} baths were not begun)`]]
}

/** A film that is wetted as unevenly as this shows it: a part of it hardly went under (assumed). */
const DRY_CV = 0.5

/** What the film got holds where it was wet: where the liquid did not reach, that says nothing. */
function drySentences(bath: BathReport, { immersionCv, longestDrySeconds }: AgitationReport): [string, string][] {
  if (immersionCv < DRY_CV) return []
  return [
    [
      'DRY',
      `${bath.name}: part of the film stayed dry, up to ${clockTime(longestDrySeconds)} on end, in ` +
        `${Math.round(bath.millilitres)} mL. What is said above holds only for what was wet: this film is spoilt. Pour more.`,
    ],
  ]
}

function developmentSentences(bath: BathReport): [string, string][] {
  const off = bath.trueProgress - 1
  const clock = Math.abs(bath.trueProgress / bath.progress - 1)
  const within = clock * 100 > bath.boundPercent ? 'OUTSIDE' : 'within'
  const sentences: [string, string][] = [
    [
      'Development',
      `${bath.name}: the film got ${percent(Math.abs(off))} ${off >= 0 ? 'more' : 'less'} than the recipe asks, the ` +
        `operator's hand included; the clock itself was off by ${percent(clock, 2)}, ${within} its own bound of ` +
        `${bath.boundPercent.toFixed(1)} %.`,
    ],
  ]
  if (bath.clingProgress >= LEAST_CLING) {
    sentences.push([
      '',
      `Until the next bath, what clung to the film added ${percent(bath.clingProgress)}: have that bath ready to pour.`,
    ])
  }
  return sentences
}
