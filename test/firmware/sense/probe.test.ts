import { expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { createProbeJudge, judgeProbe, type ProbeJudge } from '../../../firmware/sense/probe.ts'
import { countsFromOhms, makeCurve, ohmsAt } from '../../../firmware/sense/thermistor.ts'
import { createRandom, gaussian } from '../../../sim/plant/random.ts'

const CURVE = makeCurve(defaultBase.probe, 12)
const LAG = 7

function counts(celsius: number): number {
  return countsFromOhms(CURVE, ohmsAt(CURVE, celsius))
}

function fed(readings: number[], expectedMoveCelsius = 0, settled = true): ProbeJudge {
  const judge = createProbeJudge(CURVE)
  for (const reading of readings) judgeProbe(judge, reading, expectedMoveCelsius, LAG, settled)
  return judge
}

function times<T>(n: number, make: (i: number) => T): T[] {
  return Array.from({ length: n }, (_, i) => make(i))
}

test('a quiet converter on a bath held exactly constant is not stuck, however long', () => {
  const judge = fed(times(3600, () => Math.round(counts(37.8))))
  expect(judge.state).toBe('ok')
  expect(judge.usable).toBe(true)
})

test('a constant bath whose readings scatter by a fraction of a count is not stuck, in a hundred hours of seeds', () => {
  for (const sigma of [0.2, 0.4, 0.6, 1]) {
    for (const steps of [1, 16]) {
      const random = createRandom(sigma * 10 + steps, 3)
      const judge = createProbeJudge(CURVE)
      let accused = 0
      for (let i = 0; i < 45000; i++) {
        const reading = Math.round((counts(37.8) + sigma * gaussian(random)) * steps) / steps
        judgeProbe(judge, reading, 0, LAG, true)
        if (judge.state !== 'ok') accused++
      }
      expect(accused).toBe(0)
    }
  }
})

test('readings that used to scatter and repeat exactly for 40 s are stuck', () => {
  const random = createRandom(1, 3)
  const alive = times(100, () => counts(30) + 0.4 * gaussian(random))
  const held = alive[alive.length - 1]
  expect(fed([...alive, ...times(45, () => held)]).state).toBe('stuck')
})

test('a reading that repeats while the probe must be moving is not used at once and stuck within a few seconds', () => {
  const judge = fed([...times(20, i => counts(20) + 0.1 * (i % 3)), counts(20)])
  judgeProbe(judge, counts(20), 2, LAG, false)
  expect(judge.usable).toBe(false)
  for (let i = 0; i < 4; i++) judgeProbe(judge, counts(20), 2, LAG, false)
  expect(judge.state).toBe('stuck')
})

test('open and short are named by where the thermistor sits', () => {
  const supply = makeCurve({ ...defaultBase.probe, thermistorAt: 'supply' }, 12)
  for (const [curve, high, low] of [
    [CURVE, 'open', 'short'],
    [supply, 'short', 'open'],
  ] as const) {
    for (const [reading, state] of [
      [4095, high],
      [0, low],
    ] as const) {
      const judge = createProbeJudge(curve)
      for (let i = 0; i < 5; i++) judgeProbe(judge, reading, 0, LAG, true)
      expect(judge.state).toBe(state)
    }
  }
})

test('no reading at all counts as open', () => {
  expect(fed(times(5, () => NaN)).state).toBe('open')
})

test('one bad reading is not used and accuses nobody; three in a row do; five good ones clear it', () => {
  const good = times(10, i => counts(38) + 0.1 * (i % 2))
  const once = fed([...good, 4095])
  expect(once.usable).toBe(false)
  expect(once.state).toBe('ok')
  judgeProbe(once, counts(38), 0, LAG, true)
  expect(once.usable).toBe(true)
  const judge = fed([...good, 4095, 4095, 4095])
  expect(judge.state).toBe('open')
  for (let i = 0; i < 4; i++) judgeProbe(judge, counts(38) + 0.1 * (i % 2), 0, LAG, true)
  expect(judge.usable).toBe(false)
  judgeProbe(judge, counts(38.1), 0, LAG, true)
  expect(judge.state).toBe('ok')
  expect(judge.usable).toBe(true)
})

test('a temperature that no bath and no room has is out of range', () => {
  expect(fed(times(5, () => counts(85))).state).toBe('outOfRange')
  expect(fed(times(5, () => counts(-12))).state).toBe('outOfRange')
})

test('two leaps that no probe with this lag can make are jumping; a pour of 20 °C is not', () => {
  const steady = times(10, i => counts(37) + 0.1 * (i % 2))
  expect(fed([...steady, counts(30), counts(37)]).state).toBe('jumping')
  const pour = times(40, i => counts(38 - 18 * Math.exp(-i / 3)))
  expect(fed([...times(10, i => counts(20) + 0.1 * (i % 2)), ...pour], 0, false).state).toBe('ok')
})

test('a probe that scatters by a degree is jumping, and clean again some time after it stops', () => {
  const random = createRandom(7, 3)
  const judge = fed(times(60, () => counts(37 + 1.2 * gaussian(random))))
  expect(judge.state).toBe('jumping')
  for (let i = 0; i < 200; i++) judgeProbe(judge, counts(37) + 0.4 * gaussian(random), 0, LAG, true)
  expect(judge.state).toBe('ok')
  expect(Math.sqrt(judge.varianceKelvin2)).toBeLessThan(0.03)
})

test('a probe that jumped all over its range and is calm now is believed within a minute', () => {
  const random = createRandom(11, 3)
  const judge = fed(times(60, () => counts(37) + 900 * gaussian(random)))
  expect(judge.state).not.toBe('ok')
  for (let i = 0; i < 60; i++) judgeProbe(judge, counts(37) + 0.4 * gaussian(random), 0, LAG, true)
  expect(judge.state).toBe('ok')
  expect(judge.usable).toBe(true)
})
