/**
 * A probe that fails in a developer: the clock goes on with the model, says so, and its bound still holds. Sessions are
 * drawn as for the budgets, without a prewet.
 */
import { expect, test } from 'vitest'
import type { ProbeFailure } from '../../../sim/plant/probe.ts'
import { type BathResult, drawColour, RIG_DEFAULTS, runRig } from '../clock/rig.ts'

const SESSIONS = 60

function failing(failure: ProbeFailure, failsAtSeconds: number, recoversAtSeconds: number): BathResult[] {
  const results: BathResult[] = []
  for (let seed = 1; seed <= SESSIONS; seed++) {
    const drawn = drawColour(seed)
    const pours = drawn.pours.slice(-1)
    results.push(runRig({ ...RIG_DEFAULTS, ...drawn, pours, failure, failsAtSeconds, recoversAtSeconds })[0])
  }
  return results
}

function holds(results: BathResult[]): number {
  return results.filter(r => Math.abs(r.errorPercent) <= r.boundPercent).length / results.length
}

function median(values: number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1]
}

const FAILURES: Exclude<ProbeFailure, 'none' | 'drifting'>[] = ['open', 'short', 'stuck', 'jumping']

for (const failure of FAILURES) {
  test(`${failure} in the middle of a developer: bridged, found out, and the bound holds in 95 of 100`, () => {
    const results = failing(failure, 110, Infinity)
    expect(holds(results)).toBeGreaterThanOrEqual(0.95)
    // The longest session waits half a minute first; by then the probe has failed in all of them.
    for (const r of results) {
      expect(r.bridged).toBeGreaterThan(20)
      expect(r.states).toContain(failure)
    }
    expect(median(results.map(r => Math.abs(r.errorPercent)))).toBeLessThan(1)
    expect(median(results.map(r => r.boundPercent))).toBeGreaterThan(2)
  })

  test(`${failure} before the pour: nothing is known but what was expected, and the bound says so`, () => {
    const results = failing(failure, 0.5, Infinity)
    expect(holds(results)).toBeGreaterThanOrEqual(0.9)
    expect(median(results.map(r => r.boundPercent))).toBeGreaterThan(20)
    expect(median(results.map(r => Math.abs(r.errorPercent)))).toBeLessThan(25)
  })
}

test('a wire that comes loose for half a minute costs little once it is back', () => {
  const results = failing('open', 80, 110)
  expect(holds(results)).toBeGreaterThanOrEqual(0.93)
  expect(median(results.map(r => r.boundPercent))).toBeLessThan(2)
})
