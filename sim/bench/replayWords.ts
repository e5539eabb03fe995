/** How a replay names moments and differences. */
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { ALARMS, alarmPlace } from '../../firmware/session/alarmTable.ts'
import type { RecordedSession } from '../field/recorded.ts'
import { clockTime, percent } from '../report/words.ts'

/** What today's firmware does otherwise, in one bath. */
export interface Difference {
  about: 'cue' | 'progress' | 'press' | 'alarm' | 'dark'
  bath: string
  words: string
}

/** Below ten seconds a tenth counts. */
export function secondsWords(seconds: number): string {
  return seconds < 9.95 ? `${seconds.toFixed(1)} s` : seconds < 99.5 ? `${Math.round(seconds)} s` : clockTime(seconds)
}

/** What was counted, with its bound in percent; beyond a hundred nothing is known. */
export function countedWords(progress: number, boundPercent: number): string {
  return `${percent(progress)} ${boundPercent < 99.95 ? `+-${boundPercent.toFixed(1)}` : 'unsure'}`
}

export function earlierOrLater(seconds: number): string {
  return `${secondsWords(Math.abs(seconds))} ${seconds < 0 ? 'earlier' : 'later'}`
}

export function bathName(recipe: Recipe, bathIndex: number): string {
  return recipe.baths[bathIndex]?.name ?? ''
}

/** A moment of the session's clock, on the bath's. */
export function sinceContact(recorded: RecordedSession, bathIndex: number, seconds: number): string {
  const begun = recorded.events.find(event => event.kind === 'bathBegun' && event.bathIndex === bathIndex)
  // What happens while the film waits counts for the bath it waits for.
  if (begun === undefined) return 'before its pour'
  const since = seconds - begun.sessionSeconds
  return since < 0 ? `${secondsWords(-since)} before its pour` : `at ${clockTime(since)}`
}

export function alarmWords(number: number): string {
  return `alarm ${number} (${ALARMS[alarmPlace(number)]?.short ?? 'not known today'})`
}
