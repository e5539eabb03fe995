/**
 * A temperature trace through today's firmware, with ideal hands, beside what should come out: the moment at which the
 * exact integral of the sheet's speed over the trace reaches 1, worked out here from the trace alone.
 */

import { makeRate, type Rate, secondsAt } from '../../firmware/recipe/rate.ts'
import type { Bath, Recipe } from '../../firmware/recipe/recipe.ts'
import { timedSeconds } from '../../firmware/recipe/reuse.ts'
import { SHORTEST_SECONDS } from '../plant/operator.ts'
import { clockTime, percent, wrapped } from '../report/words.ts'
import { alarmWords, secondsWords } from './replayWords.ts'
import { type Bench, type RunOptions, runSession } from './run.ts'
import { bathOnTrace, type Trace, traceFrom } from './trace.ts'

/** One bath on the trace. Seconds from its first contact; `null` where there was none. */
export interface TracedBath {
  name: string
  kind: Bath['kind']
  /** On the trace's clock. */
  contactSeconds: number
  exactCueSeconds: number
  todayCueSeconds: number | null
  /** Today's less the exact one. */
  differenceSeconds: number | null
  /** What that is worth of the bath's time. */
  differencePercent: number | null
  /** What the film really got, by the exact integral; and what the firmware counted. */
  trueProgress: number
  progress: number
  same: boolean
}

export interface TraceReplay {
  recipe: string
  finished: boolean
  because?: string
  alarms: { number: number; name: string; bath: string; atSeconds: number }[]
  baths: TracedBath[]
  same: boolean
}

/** The clock's own arithmetic keeps within 0.3 % with a lag that is known; half a percent leaves room for its noise. */
export const TRACE_TOLERANCE = 0.005
/** A tick before and after. */
const TICK_SECONDS = 0.2
/** Steps of the integral: a tenth of what any bath changes its speed in. */
const STEP_SECONDS = 0.25
/** No bath of a recipe lasts longer. */
const LONGEST_SECONDS = 36_000

/** `options` carry the trace. */
export function replayTrace(options: RunOptions & { trace: Trace }): TraceReplay {
  const { recipe, trace, filmsThrough } = options
  const contacts: number[] = []
  const starts: number[] = []
  const run = runSession({ ...options, watch: bench => noteMoments(bench, contacts, starts) })
  const baths = run.baths.map((report, i) => {
    const bath = recipe.baths[i] as Bath
    const contact = contacts[i] as number
    const start = (bath.startsWhen === 'full' ? starts[i] : contact) ?? contact
    const whole = exactSeconds(bath, filmsThrough, trace, start)
    const exactCueSeconds = start + whole - contact - Math.max(recipe.pour.drainSeconds, SHORTEST_SECONDS)
    const difference = report.pourOutSeconds === null ? NaN : report.pourOutSeconds - exactCueSeconds
    return {
      name: bath.name,
      kind: bath.kind,
      contactSeconds: contact,
      exactCueSeconds,
      todayCueSeconds: report.pourOutSeconds,
      differenceSeconds: isNaN(difference) ? null : difference,
      differencePercent: isNaN(difference) ? null : (100 * difference) / whole,
      trueProgress: report.trueProgress,
      progress: report.progress,
      // A bath that is over before it is filled is called when the base can.
      same: Math.abs(difference) <= TICK_SECONDS + TRACE_TOLERANCE * whole,
    }
  })
  return {
    recipe: recipe.name,
    finished: run.finished,
    ...(run.because !== undefined && { because: run.because }),
    alarms: run.alarms,
    baths,
    same: run.finished && baths.every(bath => bath.same),
  }
}

/** First contact and full, of each bath, on the trace's clock. */
function noteMoments(bench: Bench, contacts: number[], starts: number[]): void {
  const { session } = bench.base
  for (let i = 0; i < session.eventCount; i++) {
    const event = session.events[i]
    if (event === undefined) continue
    const seconds = event.atSeconds - bench.plant.firstContactSeconds
    if (event.kind === 'bathBegun') contacts[event.bathIndex] = seconds
    else if (event.kind === 'turningBegun') starts[event.bathIndex] = seconds
  }
}

/** How long the bath lasts from `startSeconds` on, drain and all: to progress 1, or its time. */
export function exactSeconds(bath: Bath, filmsPerLitre: number, trace: Trace, startSeconds: number): number {
  if (bath.kind !== 'developed') return timedSeconds(bath, filmsPerLitre)
  const rate: Rate = makeRate(bath, filmsPerLitre)
  const cursor = traceFrom(trace)
  const speed = (seconds: number): number => 1 / secondsAt(rate, bathOnTrace(cursor, startSeconds + seconds))
  let progress = 0
  for (let seconds = 0; seconds < LONGEST_SECONDS; seconds += STEP_SECONDS) {
    // Simpson's rule over the step.
    const middle = speed(seconds + STEP_SECONDS / 2)
    const step = (STEP_SECONDS / 6) * (speed(seconds) + 4 * middle + speed(seconds + STEP_SECONDS))
    if (progress + step >= 1) return seconds + (STEP_SECONDS * (1 - progress)) / step
    progress += step
  }
  return LONGEST_SECONDS
}

/** For people. */
export function traceText(replay: TraceReplay, recipe: Recipe, name: string): string {
  const { baths } = replay
  const nameWidth = Math.max(4, ...baths.map(bath => bath.name.length))
  const columns: [string, number, (bath: TracedBath) => string][] = [
    ['begun', 9, bath => clockTime(bath.contactSeconds)],
    ['exact', 9, bath => clockTime(bath.exactCueSeconds)],
    ['today', 8, bath => (bath.todayCueSeconds === null ? 'none' : clockTime(bath.todayCueSeconds))],
    ['difference', 22, differenceCell],
    ['film got', 11, bath => (bath.kind === 'developed' ? percent(bath.trueProgress) : 'by time')],
  ]
  const line = (first: string, cell: (column: (typeof columns)[number]) => string): string =>
    first.padEnd(nameWidth) + columns.map(column => cell(column).padStart(column[1])).join('')
  const off = baths.filter(bath => !bath.same)
  return [
    `${recipe.title} on ${name}, ideal hands`,
    '',
    `${''.padEnd(nameWidth + 9)}${'call to pour out'.padStart(17)}`,
    line('bath', ([heading]) => heading),
    ...baths.map(bath => line(bath.name, ([, , cell]) => cell(bath))),
    '',
    ...(off.length === 0 && replay.finished
      ? ["Today's firmware calls when it should."]
      : ["Today's firmware does not do what it should:"]),
    ...off.flatMap(bath => wrapped(`- ${bath.name}: called ${differenceCell(bath)}.`, 2)),
    ...(replay.alarms.length === 0 ? [] : ['Alarms on the way:']),
    ...replay.alarms.flatMap(({ number, bath, atSeconds }) =>
      wrapped(`- ${bath}: ${alarmWords(number)} at ${clockTime(atSeconds)} of the trace.`, 2),
    ),
    ...(replay.finished ? [] : wrapped(`- not finished: ${replay.because ?? ''}.`, 2)),
    '',
    ...wrapped(
      `Exact is when the sheet's speed, summed over the trace, reaches 1, less the drain. Within ` +
        `${percent(TRACE_TOLERANCE)} of the bath's time and ${TICK_SECONDS} s it calls when it should.`,
      0,
    ),
  ].join('\n')
}

function differenceCell(bath: TracedBath): string {
  const { differenceSeconds: seconds, differencePercent: share } = bath
  if (seconds === null || share === null) return 'no call'
  const size = Math.abs(seconds)
  if (size < 0.05) return 'none'
  return `${secondsWords(size)} ${seconds < 0 ? 'early' : 'late'} (${Math.abs(share).toFixed(1)} %)`
}
