/** The power cut at every place of a tiny session, and cut again at every place of what follows. */
import { expect } from 'vitest'
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { CutStore } from './cutStore.ts'
import {
  beginningMiddleEnd,
  createTally,
  cutAt,
  howFor,
  openCutBench,
  remember,
  setWall,
  tryCut,
  walk,
} from './cuts.ts'
import { short } from './powerCut.ts'

/** A developer of some seconds and a stop that hardly has time to turn. */
const tiny: Recipe = {
  ...short,
  name: 'tiny',
  pour: { fillSeconds: 1, drainSeconds: 1 },
  baths: [
    {
      name: 'developer',
      kind: 'developed',
      rows: [
        [20, 14],
        [30, 10],
      ],
      rowsFor: 'rotary',
      agitation: 'even',
    },
    { name: 'stop', kind: 'timed', seconds: 4, agitation: 'even' },
  ],
}

/** Areas of four blocks; older records leave so much of the first that the session takes the other one. */
const STORE_BYTES = 8192
const BLOCK_BYTES = 1024
const FREE_BYTES = 500
/** No session goes on for longer after a cut. */
const STEPS_AT_MOST = 1500

/** `wall`: before the first cut and between the two; after the second it is there, or gone, by turns. */
export function everyPair(wall: boolean): void {
  const bench = openCutBench(tiny, new CutStore(STORE_BYTES, BLOCK_BYTES), FREE_BYTES)
  setWall(bench, wall)
  const tally = createTally()
  const firsts = createTally()
  walk(bench, STEPS_AT_MOST, beginningMiddleEnd, first => {
    const n = firsts.cuts
    tryCut(bench, first, howFor(n, wall), firsts, '')
    const putBack = remember(bench)
    cutAt(bench, first, howFor(n, wall))
    bench.hands.answers = n % 3 === 1
    walk(
      bench,
      STEPS_AT_MOST,
      beginningMiddleEnd,
      second => {
        const after = howFor(tally.cuts, tally.cuts % 7 < 5 ? wall : !wall)
        tryCut(bench, second, after, tally, `${first.label}, then `)
      },
      first,
    )
    const { base } = bench
    if (base.session.state !== 'finished' || base.mishaps > 0) {
      tally.wrong.push(`${first.label}: the session ended ${base.session.state}`)
    }
    putBack()
  })
  const { cuts, judged, gone } = tally
  console.log(`pairs: ${firsts.cuts} cuts, ${cuts} pairs of them, ${judged} baths judged, ${gone} gone`)
  expect(firsts.wrong.slice(0, 5)).toEqual([])
  expect(tally.wrong.slice(0, 5)).toEqual([])
  expect(firsts.cuts).toBeGreaterThan(200)
  expect(cuts).toBeGreaterThan(25_000)
  expect(judged).toBeGreaterThan(0.3 * cuts)
  expect(gone).toBeLessThan(0.1 * cuts)
}
