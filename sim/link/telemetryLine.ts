/** A message of telemetry as one line for people. What a field lacks is left out; nothing here throws. */
import { ALARMS } from '../../firmware/session/alarmTable.ts'
import type { SessionState } from '../../firmware/session/table.ts'
import { clockTime } from '../report/words.ts'

const STATES: { [state in SessionState]: string } = {
  planned: 'planned, waits for the first press',
  ready: 'ready to pour in',
  filling: 'pouring in',
  fillingDue: 'still pouring in, POUR OUT is due',
  turning: 'turning',
  due: 'POUR OUT',
  held: 'held',
  heldDue: 'held, POUR OUT',
  stopped: 'MOTOR STOPPED, turn by hand',
  stoppedDue: 'MOTOR STOPPED, POUR OUT',
  draining: 'pouring out',
  finished: 'finished',
  abandoned: 'abandoned',
}

/** One line for a terminal of 80 columns, what matters most first. */
export function telemetryLine(params: unknown): string {
  const told = (typeof params === 'object' && params !== null ? params : {}) as { [key: string]: unknown }
  const number = (key: string): number | undefined =>
    typeof told[key] === 'number' ? (told[key] as number) : undefined
  const parts: (string | undefined)[] = []
  const when = <T>(value: T | undefined, words: (value: T) => string): void => {
    if (value !== undefined) parts.push(words(value))
  }
  const alarms = Array.isArray(told['alarms']) ? told['alarms'] : []
  const state = STATES[told['state'] as SessionState] ?? String(told['state'] ?? 'no word of its state')
  const place = number('bathNumber') === undefined ? '' : ` (${told['bathNumber']} of ${told['baths']})`
  parts.push(typeof told['bath'] === 'string' ? `${told['bath']}${place}: ${state}` : state)
  const says = typeof told['says'] === 'string' ? told['says'] : ''
  for (const number of alarms) parts.push(alarmWords(number, says))
  const toCue = number('secondsToCue')
  if (toCue !== undefined && toCue > 0) parts.push(`pour out in ${clockTime(toCue)}`)
  if (toCue !== undefined) when(number('progress'), value => `${(100 * value).toFixed(1)} %`)
  when(number('bathCelsius') ?? number('probeCelsius'), value => `${value.toFixed(1)} C`)
  when(number('rpm'), value => `${value.toFixed(0)} rpm`)
  when(number('charge'), value => `charge ${(100 * value).toFixed(0)} %`)
  if (says !== '') parts.push(says)
  return parts.filter(part => part !== undefined).join(', ')
}

/** An alarm by its number and what it says, unless the base says just that beside it. */
function alarmWords(number: unknown, says: string): string {
  const short = ALARMS.find(one => one.number === number)?.short ?? ''
  return short === '' || short === says ? `ALARM ${number}` : `ALARM ${number} ${short}`
}
