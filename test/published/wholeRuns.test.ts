/**
 * Whole sessions on a trace against what an outsider can compute: every printed row of 235 published tables of
 * development time (each names its publication in figures/developmentTimes.json), and the integral of
 * dt / seconds(T) by a general solver of differential equations (odex, after Hairer, Norsett and Wanner).
 */
import { Solver } from 'odex'
import { expect, test } from 'vitest'
import { makeRate, secondsAt } from '../../firmware/recipe/rate.ts'
import type { Row } from '../../firmware/recipe/recipe.ts'
import { bathOnTrace, type Trace, traceFrom } from '../../sim/bench/trace.ts'
import { COLOUR_ROWS, developedBath, oneBath, run, traceThrough } from '../bench.ts'
import tables from './figures/developmentTimes.json'

const NO_POUR = { fillSeconds: 0, drainSeconds: 0 }

test('every row of every published table, as a constant bath, lasts its printed time within half a second', () => {
  let worst = 0
  let rows = 0
  for (const { id, minutes } of tables) {
    const sheet = minutes.map(([celsius, time]): Row => [celsius as number, (time as number) * 60])
    for (const [celsius, seconds] of sheet) {
      const bath = developedBath(
        run({ recipe: oneBath({ rows: sheet }, NO_POUR), trace: traceThrough([[0, celsius]]) }),
      )
      const off = Math.abs(bath.seconds - seconds)
      expect(off, `${id} at ${celsius} C`).toBeLessThanOrEqual(0.5 + 1e-9)
      worst = Math.max(worst, off)
      rows++
    }
  }
  console.log(`${rows} rows of ${tables.length} tables: at most ${worst.toFixed(2)} s off`)
})

/** The sheet as its maker prints it, evaluated by a formula of its own: ln t linear in 1/T through two rows. */
function colourSeconds(celsius: number): number {
  const [[lowCelsius, lowSeconds], [highCelsius, highSeconds]] = COLOUR_ROWS as [Row, Row]
  const inverse = (value: number): number => 1 / (value + 273.15)
  const part = (inverse(celsius) - inverse(lowCelsius)) / (inverse(highCelsius) - inverse(lowCelsius))
  return lowSeconds * (highSeconds / lowSeconds) ** part
}

/** Progress after `seconds` on the trace, from second 0, solved between the trace's own corners. */
function solvedProgress(trace: Trace, seconds: number): number {
  const solver = new Solver(1)
  solver.absoluteTolerance = 1e-10
  solver.relativeTolerance = 1e-10
  const cursor = traceFrom(trace)
  const corners = [0, ...trace.seconds.filter(corner => corner > 0 && corner < seconds), seconds]
  let progress = 0
  for (let i = 1; i < corners.length; i++) {
    const from = corners[i - 1] as number
    const to = corners[i] as number
    const slope = (at: number): number[] => [1 / colourSeconds(bathOnTrace(cursor, at))]
    progress = solver.solve(slope, from, [progress], to).y[0] as number
  }
  return progress
}

function noisy(): [number, number][] {
  const points: [number, number][] = []
  // A bath that wanders by sums of sines nobody's model expects.
  for (let second = 0; second <= 600; second += 5) {
    points.push([second, 35.5 + Math.sin(second / 40) + 0.3 * Math.sin(second / 11) - second / 200])
  }
  return points
}

const TRACES: { name: string; points: [number, number][] }[] = [
  { name: 'constant', points: [[0, 36]] },
  {
    name: 'falling',
    points: [
      [0, 38],
      [300, 33],
    ],
  },
  {
    name: 'rising',
    points: [
      [0, 31],
      [300, 37],
    ],
  },
  {
    name: 'stepped down',
    points: [
      [0, 37],
      [80, 37],
      [81, 34.5],
    ],
  },
  {
    name: 'stepped up',
    points: [
      [0, 34],
      [120, 34],
      [121, 36.5],
    ],
  },
  { name: 'wandering', points: noisy() },
]

for (const { name, points } of TRACES) {
  test(`the film's progress on a ${name} bath is the solver's within 1e-4, and the clock's within its bound`, () => {
    const trace = traceThrough(points)
    const bath = developedBath(run({ recipe: oneBath({}), trace }))
    const solved = solvedProgress(trace, bath.seconds)
    expect(Math.abs(bath.trueProgress - solved)).toBeLessThan(1e-4)
    expect(Math.abs(solved / bath.progress - 1) * 100).toBeLessThan(bath.boundPercent)
    console.log(
      `${name}: ${bath.seconds} s, solver ${solved.toFixed(5)}, clock ${bath.progress.toFixed(5)} +-${bath.boundPercent.toFixed(2)} %`,
    )
  })
}

test('the formula of this test and the firmware agree on the sheet', () => {
  const rate = makeRate({ name: 'developer', kind: 'developed', rows: COLOUR_ROWS, agitation: 'even' }, 0)
  for (let celsius = 25; celsius <= 42; celsius++) {
    expect(secondsAt(rate, celsius)).toBeCloseTo(colourSeconds(celsius), 6)
  }
})
