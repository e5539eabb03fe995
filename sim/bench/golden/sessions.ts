/**
 * A dozen sessions whose course is kept in the tests, event for event: what a change to the firmware does to a session is
 * then seen as a difference of lines, not as a figure that moved.
 */
import type { SessionEvent } from '../../../firmware/session/events.ts'
import { runByPlan } from '../defaults.ts'
import { type Bench, type RunOptions, runSession } from '../run.ts'
import { bwNegative, colourNegative, colourReversal } from '../shippedRecipes.ts'

export interface GoldenSession {
  /** Name of its file, without the ending. */
  name: string
  options: Partial<RunOptions>
}

export const GOLDEN_SESSIONS: readonly GoldenSession[] = [
  { name: 'colour-negative', options: { recipe: colourNegative, seed: 1 } },
  { name: 'colour-negative-cold-room', options: { recipe: colourNegative, seed: 2, roomCelsius: 12 } },
  { name: 'colour-negative-warm-room', options: { recipe: colourNegative, seed: 3, roomCelsius: 30 } },
  { name: 'colour-negative-after-films', options: { recipe: colourNegative, seed: 4, filmsThrough: 6 } },
  { name: 'colour-negative-low-charge', options: { recipe: colourNegative, seed: 5, startCharge: 0.22 } },
  { name: 'colour-negative-one-film', options: { recipe: colourNegative, seed: 6, filmsInTank: 1 } },
  { name: 'colour-reversal', options: { recipe: colourReversal, seed: 7 } },
  { name: 'colour-reversal-cold-room', options: { recipe: colourReversal, seed: 8, roomCelsius: 15 } },
  { name: 'bw-negative', options: { recipe: bwNegative, seed: 9 } },
  { name: 'bw-negative-warm-room', options: { recipe: bwNegative, seed: 10, roomCelsius: 27 } },
  {
    name: 'bw-negative-poured-cold',
    options: { recipe: bwNegative, seed: 11, pourCelsius: bwNegative.baths.map(() => 17) },
  },
  {
    name: 'bw-negative-perfect-probe',
    options: { recipe: bwNegative, seed: 12, perfectProbe: { calibration: true, lag: true } },
  },
]

/** The session as text: a line for each event, with progress and bath as the base believes them. */
export function goldenText(session: GoldenSession): string {
  const lines: string[] = []
  const watch = (bench: Bench): void => {
    const { session: s } = bench.base
    for (let i = 0; i < s.eventCount; i++) lines.push(lineOf(bench, s.events[i] as SessionEvent))
  }
  const report = runSession({ ...runByPlan(session.options), watch })
  lines.push(`${report.finished ? 'finished' : 'not finished'} after ${report.seconds.toFixed(1)} s`)
  return `${lines.join('\n')}\n`
}

function lineOf(bench: Bench, event: SessionEvent): string {
  const { clock, estimates, session } = bench.base
  const words = [
    event.atSeconds.toFixed(1).padStart(8),
    event.kind.padEnd(16),
    (session.recipe.baths[event.bathIndex]?.name ?? '-').padEnd(16),
    `progress ${clock.view.progress.toFixed(3)}`,
    `bath ${estimates.bathCelsius.toFixed(1)} C`,
    `charge ${bench.base.energy.view.charge.toFixed(2)}`,
  ]
  if (event.number > 0) words.push(`alarm ${event.number}`)
  if (event.reason !== '') words.push(event.reason.replace(/\n/g, ' / '))
  return words.join('  ')
}
