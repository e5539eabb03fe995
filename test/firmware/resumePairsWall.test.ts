/** Every pair of cuts with a wall clock that runs, or is lost with the power. */
import { test } from 'vitest'
import { everyPair } from './pairs.ts'

test('cut at any place, and again at any place afterwards: it is where it was, at rest, inside its bound', () => {
  everyPair(true)
}, 300_000)
