/**
 * The edges that a rotation sensor counts: the slotted disc at the motor's shaft, or the magnets on the tank.
 *
 * Edges sit at fixed angles, evenly spaced, and count in either direction: the one passed last before a reversal is the
 * first one after it. The time of an edge is interpolated within the step. Direction is not sensed.
 * Faults: `dead` counts nothing any more.
 */
import { type Random, uniform } from './random.ts'

export interface EdgeCounter {
  /** For one turn of what is watched; 0 for no sensor. */
  edgesPerTurn: number
  /** Where the pattern lies, as a fraction of the spacing. */
  offset: number
  edges: number
  edgeSeconds: number
  dead: boolean
  /** The index of the gap between two edges in which the sensor is. */
  gap: number
  lastTurns: number
}

export function createEdgeCounter(edgesPerTurn: number, random: Random): EdgeCounter {
  const offset = uniform(random)
  return { edgesPerTurn, offset, edges: 0, edgeSeconds: 0, dead: false, gap: 0, lastTurns: 0 }
}

/** Counts what passed between the last step's angle and `turns`, reached at `nowSeconds` after `stepSeconds`. */
export function stepEdgeCounter(c: EdgeCounter, turns: number, nowSeconds: number, stepSeconds: number): void {
  if (turns === c.lastTurns) return
  const gap = Math.floor(turns * c.edgesPerTurn + c.offset)
  const from = c.lastTurns
  c.lastTurns = turns
  if (gap === c.gap) return
  const up = gap > c.gap
  const passed = up ? gap - c.gap : c.gap - gap
  c.gap = gap
  if (c.dead) return
  const edgeTurns = ((up ? gap : gap + 1) - c.offset) / c.edgesPerTurn
  c.edges += passed
  c.edgeSeconds = nowSeconds - (stepSeconds * (turns - edgeTurns)) / (turns - from)
}
