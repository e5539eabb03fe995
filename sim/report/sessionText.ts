/** A session in words and one table: what a photographer wants to know of it. */
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { ALARMS, alarmPlace, explainAlarm } from '../../firmware/session/alarmTable.ts'
import type { BathReport, RunReport } from '../bench/runReport.ts'
import { CAUTIONS, celsius, clockTime, percent } from './words.ts'

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
    '',
    ...summary(report, recipe),
    '',
    ...CAUTIONS.map(caution => `! ${caution}`),
  ].join('\n')
}

function bathTable(report: RunReport): string[] {
  const width = Math.max(4, ...report.baths.map(bath => bath.name.length))
  const head = `${'bath'.padEnd(width)}   time  poured    mean       acted       base said  uneven  reversals`
  const rows = report.baths.map((bath, index) => {
    const turned = report.agitation[index]!
    const developed = bath.kind === 'developed'
    return [
      bath.name.padEnd(width),
      clockTime(bath.seconds).padStart(6),
      celsius(bath.pourCelsius).padStart(7),
      celsius(bath.meanCelsius).padStart(7),
      (developed ? percent(bath.trueProgress) : clockTime(bath.seconds)).padStart(11),
      (developed ? `${percent(bath.progress)} +-${bath.boundPercent.toFixed(1)}` : 'by time').padStart(15),
      percent(turned.immersionCv).padStart(7),
      String(turned.reversals).padStart(9),
    ].join(' ')
  })
  return [head, ...rows]
}

function summary(report: RunReport, recipe: Recipe): string[] {
  const lines = report.baths.filter(bath => bath.kind === 'developed').flatMap(developmentLines)
  lines.push(...report.alarms.map(alarm => alarmLine(alarm.number, alarm.bath, alarm.atSeconds)))
  if (report.alarms.length === 0) lines.push('Alarms       none.')
  const { startCharge, endCharge, sessionsLeft } = report.pack
  lines.push(
    `Pack         ${percent(startCharge, 0)} at the start, ${percent(endCharge, 0)} at the end; by the base's reckoning ` +
      `enough for ${sessionsLeft.toFixed(1)} more sessions like this.`,
  )
  if (report.finished) lines.push(`Finished     after ${clockTime(report.seconds)}.`)
  else lines.push(`NOT FINISHED ${report.because ?? ''} (${recipe.baths.length - report.baths.length} baths not begun)`)
  return lines
}

function developmentLines(bath: BathReport): string[] {
  const off = bath.trueProgress - 1
  const side = off >= 0 ? 'more' : 'less'
  const clock = bath.trueProgress / bath.progress - 1
  const lines = [
    `Development  ${bath.name}: the film got ${percent(Math.abs(off))} ${side} than the recipe asks, the operator's hand included;`,
    `             the clock itself was off by ${percent(Math.abs(clock), 2)}, within its own bound of ${bath.boundPercent.toFixed(1)} %`,
  ]
  if (Math.abs(clock) * 100 > bath.boundPercent) lines[1] = lines[1]!.replace('within', 'OUTSIDE')
  if (bath.clingProgress >= 0.01) {
    lines.push(
      `             until the next bath what clung to the film added ${percent(bath.clingProgress)}: have that bath ready to pour.`,
    )
  }
  return lines
}

function alarmLine(number: number, bath: string, atSeconds: number): string {
  const short = ALARMS[alarmPlace(number)]?.short ?? ''
  return `Alarm ${number}     ${clockTime(atSeconds)} in ${bath}: ${short}. ${explainAlarm(number)}`
}
