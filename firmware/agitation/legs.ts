/**
 * How long each leg is. Pure; whatever plans or tunes a programme may ask it too.
 *
 * Equal legs end at the same two angles for ever. Stagger makes leg k longer or shorter by the golden ratio sequence, so
 * that the reversal points spread evenly round the tank whatever the number of legs, while net turns stay bounded.
 */
import type { Agitation } from '../recipe/recipe.ts'

/** The fractional part of the golden ratio. */
const GOLDEN = 0.6180339887
/**
 * Where in the sequence a programme begins. Reversal points at the end of forward legs and of backward legs make two
 * golden sequences; from here on they fill each other's gaps better: simulated over durations, arcs and rests, the
 * variation is an eighth smaller than from 0, and net turns stay within five.
 */
const FIRST_INDEX = 28
/** A shorter leg moves hardly anything: it becomes a whole turn longer, which keeps its reversal point. */
export const SHORTEST_LEG_TURNS = 0.3

/** Turns of leg `index` (0 for the first after the opening). Staggered legs of less than 0.8 turns are longer on average than asked for. */
export function legTurnsOf(agitation: Agitation, index: number): number {
  if (!agitation.stagger) return agitation.legTurns
  const golden = (index + FIRST_INDEX) * GOLDEN
  const turns = agitation.legTurns + (golden - Math.floor(golden) - 0.5)
  return turns < SHORTEST_LEG_TURNS ? turns + 1 : turns
}

/** A reversal point within the bound on net turns; NaN for no bound. */
export function withinNet(endTurns: number, netTurnsAtMost: number): number {
  if (endTurns > netTurnsAtMost) return netTurnsAtMost
  if (endTurns < -netTurnsAtMost) return -netTurnsAtMost
  return endTurns
}
