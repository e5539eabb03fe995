/** The flash takes nothing for minutes, then the power goes: what is known is older than it should be, and the bound says so. */
import { expect, test } from 'vitest'
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { standingAlarms } from '../../firmware/session/alarms.ts'
import type { ResetCause } from '../../hal/board.ts'
import { CutStore } from './cutStore.ts'
import { beyondBound, type Cut, type CutBench, cutAt, lookRound, openCutBench, remember, setWall } from './cuts.ts'
import { leave, runTo, short } from './powerCut.ts'

const tenMinutes: Recipe = {
  ...short,
  baths: [
    {
      name: 'developer',
      kind: 'developed',
      rows: [
        [20, 900],
        [30, 600],
      ],
      rowsFor: 'rotary',
      agitation: 'even',
    },
    ...short.baths.slice(1),
  ],
}

const CAUSES: ResetCause[] = ['power', 'watchdog', 'software', 'unknown']

/** The tank turns, and the flash has refused for so long. */
function refusedFor(seconds: number, wall: boolean): CutBench {
  const bench = openCutBench(tenMinutes, new CutStore(16_384, 4096), 6000, 3)
  setWall(bench, wall)
  runTo(bench, 800)
  expect(bench.base.session.state).toBe('turning')
  bench.store.refuses = true
  leave(bench, seconds)
  expect(standingAlarms(bench.base.session.alarms)).toContain(52)
  return bench
}

/** Cuts, looks round, and gives why progress is beyond its bound; empty when it is not. */
function resumed(bench: CutBench, how: Cut): string {
  const putBack = remember(bench)
  const place = { label: '', cells: bench.store.cells.slice(), states: [bench.base.session.state], leastSeconds: NaN }
  const problem = cutAt(bench, place, how) || lookRound(bench, 12)
  expect(problem, `${how.cause}`).toBe('')
  const beyond = beyondBound(bench)
  putBack()
  return beyond
}

test('with a wall clock, or after a power cut, progress is inside its bound whatever the flash does at the start', () => {
  for (const seconds of [20, 90, 240]) {
    for (const wall of [true, false]) {
      const bench = refusedFor(seconds, wall)
      for (const refuses of [true, false]) {
        for (const cause of CAUSES) {
          // Nothing tells a restart that follows at once from the minutes before it; the alarm has been given.
          if (!wall && !refuses && (cause === 'watchdog' || cause === 'software')) continue
          bench.store.refuses = refuses
          const label = `${seconds} s, ${cause}, ${wall ? 'wall' : 'no wall'}, ${refuses ? 'refuses' : 'takes'}`
          expect(resumed(bench, { darkSeconds: 6, cause, wall, twice: false }), label).toBe('')
        }
        bench.store.refuses = true
      }
    }
  }
})
