/** Buttons, driven by contacts that open and close at any moment, read in ticks of a tenth of a second. */
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { createReadings } from '../../../firmware/readings.ts'
import { createEstimates } from '../../../firmware/sense/estimates.ts'
import { createButtons, senseButtons } from '../../../firmware/session/buttons.ts'

interface Edge {
  atSeconds: number
  down: boolean
}

interface Seen {
  presses: number[]
  longPresses: number[]
  stuckSeconds: number[]
}

/** Plays a hold button's contacts through the ticks given and tells what was understood. */
function play(edges: Edge[], tickSeconds: number[], pressesBefore = 0): Seen {
  const buttons = createButtons()
  const readings = createReadings()
  const estimates = createEstimates()
  const seen: Seen = { presses: [], longPresses: [], stuckSeconds: [] }
  let next = 0
  let before = NaN
  readings.holdPresses = pressesBefore
  for (const nowSeconds of tickSeconds) {
    for (; next < edges.length && edges[next]!.atSeconds <= nowSeconds; next++) {
      readings.holdDown = edges[next]!.down
      if (edges[next]!.down) {
        readings.holdPresses++
        readings.holdPressedSeconds = edges[next]!.atSeconds
      }
    }
    readings.nowSeconds = nowSeconds
    readings.tickSeconds = isNaN(before) ? 0 : nowSeconds - before
    before = nowSeconds
    senseButtons(buttons, readings, estimates)
    if (!isNaN(estimates.holdPressSeconds)) seen.presses.push(estimates.holdPressSeconds)
    if (estimates.holdLongPress) seen.longPresses.push(nowSeconds)
    if (estimates.holdStuck) seen.stuckSeconds.push(nowSeconds)
    expect(estimates.advancePressSeconds).toBeNaN()
  }
  return seen
}

const ticks = (seconds: number): number[] => Array.from({ length: seconds * 10 + 1 }, (_, i) => i / 10)
const press = (atSeconds: number, forSeconds: number): Edge[] => [
  { atSeconds, down: true },
  { atSeconds: atSeconds + forSeconds, down: false },
]

test('a press keeps the moment at which it was made, however short it was', () => {
  expect(play(press(1.234, 0.02), ticks(3)).presses).toEqual([1.234])
  expect(play(press(1.234, 0.4), ticks(3)).presses).toEqual([1.234])
})

test('contacts that bounce when they close and when they open give one press', () => {
  const edges = [...press(1.0, 0.005), ...press(1.01, 0.005), ...press(1.02, 0.5), ...press(1.53, 0.005)]
  expect(play(edges, ticks(4)).presses).toEqual([1])
  const later = [...press(1.05, 0.005), ...press(1.12, 0.01), ...press(1.15, 0.549), ...press(1.705, 0.01)]
  expect(play(later, ticks(4)).presses).toEqual([1.05])
})

test('two presses a fifth of a second apart are two', () => {
  expect(play([...press(1.05, 0.1), ...press(1.25, 0.1)], ticks(3)).presses).toEqual([1.05, 1.25])
})

test('several presses counted at once after a late tick count as one, at the last moment', () => {
  const late = [0, 0.1, 0.2, 2.7, 2.8, 2.9, 3]
  expect(play([...press(1, 0.1), ...press(2, 0.1)], late).presses).toEqual([2])
})

test("presses from before the start are nobody's", () => {
  expect(play([], ticks(2), 17).presses).toEqual([])
  expect(play(press(1, 0.2), ticks(2), 17).presses).toEqual([1])
})

test('a button held down from before the start gives neither press nor long press', () => {
  const seen = play(
    [
      { atSeconds: 0, down: true },
      { atSeconds: 5, down: false },
    ],
    ticks(6),
  )
  expect(seen).toMatchObject({ presses: [], longPresses: [] })
})

test('a long press is given once, two seconds after it began', () => {
  const seen = play(press(1, 6), ticks(9))
  expect(seen.presses).toEqual([1])
  expect(seen.longPresses).toEqual([3])
  expect(play(press(1, 1.8), ticks(9)).longPresses).toEqual([])
})

test('a press whose contact bounced in the tick that saw it may still become a long one', () => {
  expect(play([...press(1.08, 0.01), ...press(1.12, 4)], ticks(6)).longPresses).toHaveLength(1)
})

test('a button down for fifteen seconds is stuck until it comes up, and not listened to', () => {
  const edges = [...press(1, 20), ...press(21.3, 0.1), ...press(24, 0.2)]
  const seen = play(edges, ticks(30))
  expect(seen.presses).toEqual([1, 24])
  expect(seen.stuckSeconds[0]).toBeGreaterThanOrEqual(16)
  expect(seen.stuckSeconds.at(-1)).toBeLessThan(21.05)
})

test('a counter that starts again from nothing is no press', () => {
  const buttons = createButtons()
  const readings = createReadings()
  const estimates = createEstimates()
  for (const [nowSeconds, presses] of [
    [0, 9],
    [0.1, 9],
    [0.2, 0],
    [0.3, 0],
  ] as const) {
    readings.nowSeconds = nowSeconds
    readings.tickSeconds = 0.1
    readings.advancePresses = presses
    senseButtons(buttons, readings, estimates)
    expect(estimates.advancePressSeconds).toBeNaN()
  }
})

test('whatever the contacts do, presses are in order, apart, and never in the future', () => {
  const edge = fc.record({ gap: fc.double({ min: 0.001, max: 3, noNaN: true }), down: fc.boolean() })
  fc.assert(
    fc.property(
      fc.array(edge, { maxLength: 40 }),
      fc.array(fc.constantFrom(0.1, 0.1, 0.1, 0.7), { minLength: 200, maxLength: 300 }),
      (gaps, steps) => {
        let atSeconds = 0
        const edges = gaps.map(({ gap, down }) => {
          atSeconds += gap
          return { atSeconds, down }
        })
        let nowSeconds = 0
        const times = steps.map(step => {
          nowSeconds += step
          return nowSeconds
        })
        const { presses } = play(edges, times)
        for (const [i, at] of presses.entries()) {
          expect(at).toBeLessThanOrEqual(nowSeconds)
          if (i > 0) expect(at - presses[i - 1]!).toBeGreaterThanOrEqual(0.15)
        }
        expect(presses.length).toBeLessThanOrEqual(edges.filter(e => e.down).length)
      },
    ),
    { seed: 1, numRuns: 200 },
  )
})

/** One look at the hold button. */
interface Look {
  nowSeconds: number
  down: boolean
  presses: number
  pressedSeconds: number
  touched?: boolean
}

function looks(...all: Look[]): number[] {
  const buttons = createButtons()
  const readings = createReadings()
  const estimates = createEstimates()
  let before = NaN
  return all.map(({ nowSeconds, down, presses, pressedSeconds, touched = true }) => {
    Object.assign(readings, { nowSeconds, touched, holdDown: down, holdPresses: presses })
    readings.holdPressedSeconds = pressedSeconds
    readings.tickSeconds = isNaN(before) ? 0 : nowSeconds - before
    before = nowSeconds
    senseButtons(buttons, readings, estimates)
    return estimates.holdPressSeconds
  })
}

test('a moment that cannot be is taken for the look: in the future, none at all, or longer ago than two looks and bounce', () => {
  for (const [pressedSeconds, taken] of [
    [5.05, 5.05],
    [5.2, 5.1],
    [NaN, 5.1],
    [4.76, 4.76],
    [4.74, 5.1],
  ] as const) {
    const [, seen] = looks(
      { nowSeconds: 5, down: false, presses: 3, pressedSeconds: NaN },
      { nowSeconds: 5.1, down: false, presses: 4, pressedSeconds },
    )
    expect(seen, `pressed at ${pressedSeconds}`).toBeCloseTo(taken, 9)
  }
})

test('a button that is still down at the next look has not been pressed again, unless that look was late', () => {
  for (const [nowSeconds, taken] of [
    [5.2, NaN],
    [5.39, NaN],
    [5.5, 5.45],
  ] as const) {
    const seen = looks(
      { nowSeconds: 5, down: false, presses: 3, pressedSeconds: NaN },
      { nowSeconds: 5.1, down: true, presses: 4, pressedSeconds: 5.05 },
      { nowSeconds, down: true, presses: 5, pressedSeconds: nowSeconds - 0.05 },
    )
    expect(seen[2], `${nowSeconds}`).toEqual(taken)
  }
})

test('the first look takes no press, and what was told is gone with the next', () => {
  expect(looks({ nowSeconds: 5, down: true, presses: 7, pressedSeconds: 4.99 })).toEqual([NaN])
  const seen = looks(
    { nowSeconds: 5, down: false, presses: 3, pressedSeconds: NaN },
    { nowSeconds: 5.1, down: false, presses: 4, pressedSeconds: 5.05 },
    { nowSeconds: 5.2, down: false, presses: 4, pressedSeconds: 5.05, touched: false },
    { nowSeconds: 5.3, down: false, presses: 4, pressedSeconds: 5.05, touched: false },
  )
  expect(seen).toEqual([NaN, 5.05, NaN, NaN])
})

test('where nothing was touched nothing is looked at', () => {
  const buttons = createButtons()
  const readings = createReadings()
  const estimates = createEstimates()
  readings.touched = false
  readings.nowSeconds = 1
  senseButtons(buttons, readings, estimates)
  let asked = 0
  const counted = new Proxy(readings, {
    get: (target, key) => {
      asked++
      return target[key as keyof typeof target]
    },
  })
  senseButtons(buttons, counted, estimates)
  expect(asked).toBe(1)
})
