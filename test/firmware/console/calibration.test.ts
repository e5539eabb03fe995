import { expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { celsiusFromCounts, countsFromOhms, makeCurve, ohmsAt } from '../../../firmware/sense/thermistor.ts'
import { SimulatedFiles } from '../../../sim/board.ts'
import { createPins } from '../../../sim/plant/pins.ts'
import { call, createRig, toTurning } from './rig.ts'

const curve = makeCurve(defaultBase.probe, defaultBase.adcBits)
const countsAt = (celsius: number): number => countsFromOhms(curve, ohmsAt(curve, celsius))
const set = { points: [[20.4, countsAt(20)]], sigmaCelsius: 0.1, by: 'a reference' }

test('a reading beside a reference shifts the probe at once, and is kept over a power cut', () => {
  const files = new SimulatedFiles({ pins: createPins(), bytes: 32_768 })
  const rig = createRig(files)
  expect(call(rig, 'calibration.get').result).toMatchObject({ from: 'base file', kept: null, offsetCelsius: 0 })
  call(rig, 'wallClock.set', { epochSeconds: 1.7e9 })
  const { result } = call(rig, 'calibration.set', { ...set, lagSeconds: 3 })
  expect(result).toMatchObject({ from: 'calibration.set', offsetCelsius: 0.4, sigmaCelsius: 0.1 })
  expect(result?.['kept']).toMatchObject({ by: 'a reference', epochSeconds: 1_700_000_000 })
  for (const one of [rig, createRig(files)]) {
    const { judge, observer } = one.base.bathSense
    expect(celsiusFromCounts(judge.curve, countsAt(38))).toBeCloseTo(38.4, 6)
    expect(Math.exp(observer.lnLag)).toBeCloseTo(3, 6)
  }
})

test('three readings that lie apart give the part its own curve', () => {
  const rig = createRig()
  const points = [10, 25, 40].map(celsius => [celsius + 0.02 * celsius, countsAt(celsius)])
  call(rig, 'calibration.set', { ...set, points })
  const found = rig.base.bathSense.judge.curve
  for (const [celsius, counts] of points) expect(celsiusFromCounts(found, counts!)).toBeCloseTo(celsius!, 6)
})

test('readings that cannot be right are refused and change nothing', () => {
  const rig = createRig()
  const before = rig.base.bathSense
  const wrong = [
    { ...set, points: [] },
    { ...set, points: [[20]] },
    { ...set, points: 'x' },
    { ...set, points: [[20, 0]] },
    { ...set, points: [[20, 'x']] },
    { ...set, points: [[40, countsAt(20)]] },
    { ...set, points: Array.from({ length: 13 }, () => set.points[0]) },
    { ...set, sigmaCelsius: -1 },
    { ...set, lagSeconds: 0 },
    { ...set, by: '' },
    { points: set.points, sigmaCelsius: 0.1 },
    { ...set, extra: 1 },
  ]
  for (const params of wrong)
    expect(call(rig, 'calibration.set', params).error?.code, JSON.stringify(params)).toBe(-32602)
  expect(rig.base.bathSense).toBe(before)
  toTurning(rig)
  expect(call(rig, 'calibration.set', set).error?.code).toBe(-31000)
  expect(call(rig, 'calibration.get').result?.['from']).toBe('base file')
})

test('a damaged file of it is left out and said', () => {
  for (const text of [
    'no',
    '{"points":[[20,1]]}',
    JSON.stringify({ ...set, epochSeconds: 0, points: [[90, countsAt(20)]] }),
  ]) {
    const files = new SimulatedFiles({ pins: createPins(), bytes: 32_768 })
    files.write('calibration', text)
    const rig = createRig(files)
    expect(call(rig, 'describe').result?.['ignored'], text).toEqual(['calibration'])
    expect(rig.base.bathSense.judge.curve.offsetCelsius).toBe(0)
  }
})
