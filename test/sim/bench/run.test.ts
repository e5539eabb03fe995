import { describe, expect, test } from 'vitest'
import { developedBath, oneBath, run, traceThrough } from '../../bench.ts'

describe('one seed decides everything', () => {
  test('the same seed gives the same report, another seed another', () => {
    expect(JSON.stringify(run({ seed: 3 }))).toBe(JSON.stringify(run({ seed: 3 })))
    expect(JSON.stringify(run({ seed: 3 }))).not.toBe(JSON.stringify(run({ seed: 4 })))
  })
})

describe('a whole session', () => {
  test('carries every bath of the recipe out, in order, and finishes', () => {
    const report = run({})
    expect(report.finished).toBe(true)
    expect(report.because).toBeUndefined()
    expect(report.baths.map(bath => bath.name)).toEqual([
      'prewet',
      'developer',
      'bleach',
      'bleach wash',
      'fixer',
      'fixer wash',
      'final rinse',
    ])
    const handling = report.seconds - report.baths.reduce((sum, bath) => sum + bath.seconds, 0)
    expect(handling).toBeGreaterThan(0)
  })

  test('lets no bath that needs a least time end before it', () => {
    for (let seed = 1; seed <= 20; seed++) {
      for (const bath of run({ seed }).baths) {
        if (bath.kind === 'atLeast') expect(bath.trueProgress, `${bath.name}, seed ${seed}`).toBeGreaterThan(0.985)
      }
    }
  })

  test('is refused before the first pour when the pack cannot carry it', () => {
    const report = run({ startCharge: 0.06 })
    expect(report.finished).toBe(false)
    expect(report.because).toMatch(/Pack may not last/)
    expect(report.baths).toEqual([])
  })

  test('draws no more from the pack than was in it, and says how much', () => {
    const { pack } = run({})
    expect(pack.endCharge).toBeLessThan(pack.startCharge)
    expect(pack.joules).toBeGreaterThan(0)
    expect(pack.sessionsLeft).toBeGreaterThan(0)
  })
})

describe('on a trace', () => {
  test('the tank, the probe and the operator are exact: a constant bath lasts its row, fill and drain within it', () => {
    const bath = developedBath(run({ recipe: oneBath({}), trace: traceThrough([[0, 37.8]]) }))
    expect(Math.abs(bath.seconds - 195)).toBeLessThanOrEqual(0.5)
    expect(Math.abs((bath.pourOutSeconds ?? NaN) - 185)).toBeLessThanOrEqual(0.5)
    expect(bath.meanCelsius).toBeCloseTo(37.8, 6)
  })

  test('the clock counts to the moment the tank is empty, not to its last look before', () => {
    for (const celsius of [34, 36, 37.8]) {
      const bath = developedBath(run({ recipe: oneBath({}), trace: traceThrough([[0, celsius]]) }))
      // A tenth of a second of these baths is 0.05 %; up to a second was lost before.
      expect(Math.abs(bath.trueProgress / bath.progress - 1)).toBeLessThan(7e-4)
    }
  })

  test('a bath that counts from full lasts its row from there', () => {
    const recipe = oneBath({ startsWhen: 'full' })
    const bath = developedBath(run({ recipe, trace: traceThrough([[0, 37.8]]) }))
    expect(Math.abs(bath.seconds - 203)).toBeLessThanOrEqual(0.5)
  })

  test('a timed bath lasts exactly its time, whatever its temperature', () => {
    const recipe = oneBath({})
    recipe.baths[0] = { name: 'stop', kind: 'timed', seconds: 60, agitation: 'even' }
    for (const celsius of [15, 25, 38]) {
      const report = run({ recipe, trace: traceThrough([[0, celsius]]) })
      expect(report.baths[0]?.seconds).toBeCloseTo(60, 6)
    }
  })

  test('the pack is full and the room is the trace’s where it has one', () => {
    const trace = { ...traceThrough([[0, 37.8]]), ambientCelsius: Float64Array.of(25) }
    const report = run({ recipe: oneBath({}), trace, startCharge: 0.5 })
    expect(report.pack.startCharge).toBe(1)
  })

  test('leaving the sheet is counted and alarmed', () => {
    const report = run({ recipe: oneBath({}), trace: traceThrough([[0, 41]]) })
    expect(report.alarms.map(alarm => alarm.name)).toContain('outsideSheet')
    expect(developedBath(report).outsideSheetSeconds).toBeGreaterThan(100)
  })
})
