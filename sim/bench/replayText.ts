/** A replay in words and one table, for a person; and the list of the sessions in a journal. */
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import type { RecordedSession } from '../field/recorded.ts'
import { clockTime, percent, wrapped } from '../report/words.ts'
import type { ComparedBath } from './replayBathCompare.ts'
import type { Comparison } from './replayCompare.ts'
import { countedWords, earlierOrLater } from './replayWords.ts'

const DAY_AND_TIME = 16

/** When a session began, as the base's clock had it. */
function whenBegun(wallSeconds: number): string {
  const far = isNaN(wallSeconds) || Math.abs(wallSeconds) > 1e11
  return far ? 'clock not set' : new Date(wallSeconds * 1000).toISOString().replace('T', ' ').slice(0, DAY_AND_TIME)
}

export function replayText(recorded: RecordedSession, serial: string, recipe: Recipe, comparison: Comparison): string {
  return [
    ...headLines(recorded, serial, recipe),
    '',
    ...table(comparison.baths),
    '',
    ...verdict(comparison),
    ...(comparison.untold.length === 0 ? [] : ['What this record cannot tell:']),
    ...comparison.untold.flatMap(words => wrapped(`- ${words}.`, 2)),
    '',
    ...toleranceLines(comparison),
  ].join('\n')
}

function headLines(recorded: RecordedSession, serial: string, recipe: Recipe): string[] {
  const { begun, summary } = recorded
  const last = recorded.checkpoints[recorded.checkpoints.length - 1]
  const ended = summary === undefined ? 'not ended' : summary.finished ? 'finished' : 'abandoned'
  const lasted = clockTime(summary?.sessionSeconds ?? last?.sessionSeconds ?? 0)
  const films = begun?.films ?? summary?.films ?? 0
  const through =
    begun === undefined || begun.filmsPerLitre === 0 ? '' : `, after ${knownOr(begun.filmsPerLitre)} a litre`
  const what = `${begun?.recipe ?? ''}, ${films} film${films === 1 ? '' : 's'}${through}, ${lasted}, ${ended}`
  const other = begun === undefined || begun.recipe === recipe.name ? [] : [`Today's recipe is ${recipe.name}.`]
  return [
    `Session ${recorded.number} of base ${serial}, ${isNaN(recorded.wallSeconds) ? 'its clock not set' : `begun ${whenBegun(recorded.wallSeconds)} UTC`}`,
    ...wrapped(what, 2),
    ...other,
  ]
}

function knownOr(value: number): string {
  return isNaN(value) ? 'an unknown number' : String(value)
}

type Column = [string, number, (bath: ComparedBath) => string]

function table(baths: ComparedBath[]): string[] {
  if (baths.length === 0) return ['No bath can be compared.']
  const nameWidth = Math.max(4, ...baths.map(bath => bath.name.length))
  const columns: Column[] = [
    ['recorded', 10, bath => timeOrNone(bath.recordedCueSeconds)],
    ['today', 8, bath => timeOrNone(bath.todayCueSeconds)],
    ['difference', 15, differenceCell],
    ['recorded', 11, recordedCell],
    ['today', 15, todayCell],
  ]
  const [cues, counts] = [10 + 8, 11 + 15]
  const over = `${''.padEnd(nameWidth)}${'call to pour out'.padStart(cues)}${''.padStart(15)}${'counted in the end'.padStart(counts)}`
  const head = 'bath'.padEnd(nameWidth) + columns.map(([heading, width]) => heading.padStart(width)).join('')
  const rows = baths.map(
    bath => bath.name.padEnd(nameWidth) + columns.map(([, width, cell]) => cell(bath).padStart(width)).join(''),
  )
  return [over, head, ...rows.map(row => row.trimEnd())]
}

function timeOrNone(seconds: number | null): string {
  return seconds === null ? 'none' : clockTime(seconds)
}

function differenceCell(bath: ComparedBath): string {
  const { differenceSeconds: seconds } = bath
  if (seconds === null) return bath.recordedCueSeconds === bath.todayCueSeconds ? 'same' : ''
  if (Math.abs(seconds) <= bath.toleranceSeconds) return 'same'
  return earlierOrLater(seconds)
}

function recordedCell(bath: ComparedBath): string {
  if (bath.kind !== 'developed') return 'by time'
  return bath.recordedProgress === null ? 'unknown' : percent(bath.recordedProgress)
}

function todayCell(bath: ComparedBath): string {
  if (bath.todayProgress === null) return ''
  return countedWords(bath.todayProgress, bath.todayBoundPercent ?? NaN)
}

function verdict(comparison: Comparison): string[] {
  if (comparison.same) return ["Today's firmware acts the same."]
  return [
    "Today's firmware would have acted otherwise:",
    ...comparison.differences.flatMap(({ bath, words }) => wrapped(`- ${bath}: ${words}.`, 2)),
  ]
}

/** How finely "same" is meant: baths by time alike, each developed bath for itself. */
function toleranceLines({ baths }: Comparison): string[] {
  if (baths.length === 0) return []
  const byTime = baths.find(bath => bath.toleranceProgress === null)
  const calls = byTime === undefined ? [] : [`${byTime.toleranceSeconds.toFixed(1)} s by time`]
  for (const bath of baths) {
    if (bath.toleranceProgress === null) continue
    calls.push(`${bath.toleranceSeconds.toFixed(1)} s and ${percent(bath.toleranceProgress)} counted in ${bath.name}`)
  }
  return wrapped(
    `"Same" is within ${calls.join('; ')}: ticks, and how well a record of every five seconds tells what was in the tank.`,
    0,
  )
}

/** The sessions of a journal, one a line. */
export function listText(sessions: RecordedSession[], serial: string): string {
  if (sessions.length === 0) return `Base ${serial}: no session in this journal.`
  const nameWidth = Math.max(6, ...sessions.map(session => nameOf(session).length))
  const head = `  no  begun             ${'recipe'.padEnd(nameWidth)} films baths  bound alarms dark`
  return [
    `Base ${serial}`,
    head,
    ...sessions.map(session => listLine(session, nameWidth)),
    ...sessions.flatMap(session => recordLines(session)),
  ].join('\n')
}

function nameOf(session: RecordedSession): string {
  return session.begun?.recipe ?? session.summary?.recipe ?? '?'
}

function listLine(session: RecordedSession, nameWidth: number): string {
  const { summary } = session
  const films = session.begun?.films ?? summary?.films
  const isBound = summary !== undefined && !isNaN(summary.worstBoundPercent)
  const cells = [
    String(session.number).padStart(4),
    `  ${whenBegun(session.wallSeconds).padEnd(DAY_AND_TIME)}`,
    `  ${nameOf(session).padEnd(nameWidth)}`,
    String(films ?? '').padStart(6),
    String(summary?.baths ?? '').padStart(6),
    (isBound ? boundCell(summary.worstBoundPercent) : '').padStart(7),
    String(summary?.alarms ?? '').padStart(7),
    String(summary?.darkTimes ?? '').padStart(5),
  ]
  return cells.join('').trimEnd()
}

/** Beyond a hundred nothing is known. */
function boundCell(percents: number): string {
  return percents < 99.95 ? `${percents.toFixed(1)} %` : 'unsure'
}

/** What is there of it, where that is not everything, and how it ended, where it was not to its end. */
function recordLines(session: RecordedSession): string[] {
  const words = session.summary?.finished === false ? ['abandoned'] : []
  if (session.missing !== '') words.push(session.missing)
  return words.length === 0 ? [] : wrapped(`Session ${session.number}: ${words.join('; ')}.`, 2)
}
