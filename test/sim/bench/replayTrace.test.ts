/** Temperature traces through today's firmware, beside a plain sum over the same trace. */
import { describe, expect, test } from 'vitest'
import { runByPlan } from '../../../sim/bench/defaults.ts'
import { exactSeconds, replayTrace, type TraceReplay, traceText } from '../../../sim/bench/replayTrace.ts'
import { colourNegative } from '../../../sim/bench/shippedRecipes.ts'
import { traceThrough } from '../../bench.ts'
import { DEVELOPER_ROWS, developerAndStop, withDeveloper } from './replayRecipes.ts'

type Points = [number, number][]

/** [seconds, celsius]: falling, rising, wandering. */
const TRACES: [string, Points][] = [
  ['constant', [[0, 24]]],
  [
    'cools',
    [
      [0, 28],
      [60, 26.5],
      [400, 24],
    ],
  ],
  [
    'warms',
    [
      [0, 21],
      [500, 25],
    ],
  ],
  [
    'wanders',
    [
      [0, 24],
      [40, 26],
      [90, 23],
      [150, 27],
      [260, 22],
      [400, 25],
    ],
  ],
]

/** Linear between the points, constant beyond them. */
function celsiusAt(points: Points, seconds: number): number {
  const next = points.findIndex(point => point[0] > seconds)
  if (next < 0) return points[points.length - 1]![1]
  if (next === 0) return points[0]![1]
  const [from, low] = points[next - 1]!
  const [to, high] = points[next]!
  return low + ((high - low) * (seconds - from)) / (to - from)
}

/** The developer's time by its two rows: ln(seconds) is linear in 1/T. */
function sheetSeconds(celsius: number): number {
  const [[cold, slow], [warm, fast]] = DEVELOPER_ROWS as [[number, number], [number, number]]
  const inverse = (value: number): number => 1 / (value + 273.15)
  return slow * Math.exp((Math.log(fast / slow) * (inverse(celsius) - inverse(cold))) / (inverse(warm) - inverse(cold)))
}

/** A plain sum of hundredths of a second. */
function plainSeconds(points: Points, fromSeconds: number): number {
  let progress = 0
  let steps = 0
  for (; progress < 1; steps++) progress += 0.01 / sheetSeconds(celsiusAt(points, fromSeconds + 0.01 * (steps + 0.5)))
  return 0.01 * steps
}

function replay(points: Points, recipe = developerAndStop): TraceReplay {
  return replayTrace({ ...runByPlan({ recipe }), trace: traceThrough(points) })
}

describe('the call comes when the plain sum says', () => {
  test.each(TRACES)('on a bath that %s', (_, points) => {
    const exact = plainSeconds(points, 0)
    const [developer, stop] = replay(points).baths
    const cue = exact - developerAndStop.pour.drainSeconds
    expect(developer!.exactCueSeconds).toBeCloseTo(cue, 1)
    expect(Math.abs(developer!.todayCueSeconds! - cue) / exact).toBeLessThan(0.005)
    expect(developer!.same).toBe(true)
    expect(stop!.todayCueSeconds).toBeCloseTo(30 - 6, 0)
    expect(stop!.same).toBe(true)
  })

  test('for a bath that counts from full, too', () => {
    const points = TRACES[1]![1]
    const [developer] = replay(points, withDeveloper({ startsWhen: 'full' })).baths
    const exact = 5 + plainSeconds(points, 5) - 6
    expect(developer!.exactCueSeconds).toBeCloseTo(exact, 0)
    expect(Math.abs(developer!.differenceSeconds!)).toBeLessThan(1)
  })

  test('the exact integral is the plain sum, wherever on the trace a bath begins', () => {
    for (const [, points] of TRACES) {
      const [developer] = developerAndStop.baths
      for (const from of [0, 33.3, 200]) {
        expect(exactSeconds(developer!, 0, traceThrough(points), from)).toBeCloseTo(plainSeconds(points, from), 1)
      }
    }
  })
})

test('in words it fits 80 columns, says what is exact, and names alarms in words', () => {
  const recipe = colourNegative
  const text = traceText(
    replay(
      [
        [0, 39],
        [60, 38],
        [600, 35.5],
        [3600, 30],
      ],
      recipe,
    ),
    recipe,
    'kitchen.csv',
  )
  for (const line of text.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80)
  expect(text).toMatch(/^Colour negative on kitchen.csv, ideal hands\n/)
  expect(text).toContain("Today's firmware calls when it should.")
  expect(text).toMatch(/- fixer: alarm 12 \(Bath too cold\) at \d+:\d\d of the trace/)
})

test('a bath far outside what its recipe knows may be called late, and that is said', () => {
  const far = replay([[0, 45]])
  expect(far.same).toBe(far.baths.every(bath => bath.same))
  const late = { ...far, same: false, baths: far.baths.map(bath => ({ ...bath, same: false })) }
  expect(traceText(late, developerAndStop, 'a.csv')).toContain("Today's firmware does not do what it should:")
})
