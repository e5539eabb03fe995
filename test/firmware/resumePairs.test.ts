/** Every pair of cuts without a wall clock, or with one that is set meanwhile. */
import { test } from 'vitest'
import { everyPair } from './pairs.ts'

test('cut at any place, and again at any place afterwards: it is where it was, at rest, inside its bound', () => {
  everyPair(false)
}, 300_000)
