/** What is missing of a recorded session: stretches of which nothing is left, and what was left out, in words. */
import type { Checkpoint } from '../../firmware/journal/payloads.ts'
import { clockTime } from '../report/words.ts'
import type { RecordedSession } from './recorded.ts'

/** Checkpoints are five seconds apart; a board that is busy may be late with one. */
const GAP_SECONDS = 9

/** It was carried to an end, good or bad. */
export function isOver({ events }: RecordedSession): boolean {
  return events.some(event => event.kind === 'sessionFinished' || event.kind === 'sessionAbandoned')
}

/** Fills `whole`, `missing` and `gaps`. */
export function judge(session: RecordedSession): void {
  const { checkpoints, events } = session
  const first = checkpoints[0]
  const last = checkpoints[checkpoints.length - 1]
  const words: string[] = []
  const { otherVersion, impossible } = session.leftOut
  if (otherVersion > 0) words.push(`${counted(otherVersion)} of another version left out`)
  if (impossible > 0) words.push(`${counted(impossible)} with figures that cannot be left out`)
  if (session.begun !== undefined && isNaN(session.begun.filmsPerLitre)) words.push('not how many films went before')
  if (first === undefined || last === undefined) {
    session.missing = ['only its summary is left, the details were overwritten', ...words].join('; ')
    return
  }
  if (!events.some(event => event.kind === 'bathBegun' && event.bathIndex === 0)) {
    session.gaps.push({ fromSeconds: 0, toSeconds: first.sessionSeconds })
    words.push(`its first ${clockTime(first.sessionSeconds)} were overwritten`)
  }
  for (let i = 1; i < checkpoints.length; i++) {
    const from = (checkpoints[i - 1] as Checkpoint).sessionSeconds
    const to = (checkpoints[i] as Checkpoint).sessionSeconds
    const dark = session.starts.some(start => start.afterSeconds === from)
    if (dark || !(to - from > GAP_SECONDS)) continue
    session.gaps.push({ fromSeconds: from, toSeconds: to })
    words.push(`nothing from ${clockTime(from)} to ${clockTime(to)}`)
  }
  if (!isOver(session)) words.push(`nothing after ${clockTime(last.sessionSeconds)}`)
  session.whole = words.length === 0
  session.missing = words.join('; ')
}

function counted(records: number): string {
  return `${records} record${records === 1 ? '' : 's'}`
}
