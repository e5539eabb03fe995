import { expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { createReadings } from '../../../firmware/readings.ts'
import { createEstimates } from '../../../firmware/sense/estimates.ts'
import { createPackSense, sensePack } from '../../../firmware/sense/pack.ts'

const withoutSense = { ...defaultBase, pack: { ...defaultBase.pack, currentSense: false } }

function feed(base = defaultBase) {
  const sense = createPackSense(base)
  const readings = createReadings()
  const estimates = createEstimates()
  return (volts: number, amps: number, ticks = 1) => {
    readings.packVolts = volts
    readings.motorAmps = amps
    for (let i = 0; i < ticks; i++) sensePack(sense, readings, estimates)
    return estimates
  }
}

test('the first plausible reading is believed at once', () => {
  const read = feed()
  expect(read(7.6, 0.2)).toMatchObject({ packKnown: true, packVolts: 7.6, motorAmps: 0.2 })
})

test('nothing read is never a known pack', () => {
  expect(feed()(NaN, NaN, 50).packKnown).toBe(false)
})

test('a few bad readings are bridged, half a second of them is a pack not known', () => {
  const read = feed()
  read(7.6, 0.2, 20)
  for (const bad of [NaN, 0, 2.9, 9.5, Infinity, -7]) {
    expect(read(bad, 0.2, 4)).toMatchObject({ packKnown: true, packVolts: 7.6 })
    read(7.6, 0.2)
  }
  expect(read(0, 0.2, 5)).toMatchObject({ packKnown: false, packVolts: NaN, motorAmps: NaN })
  expect(read(7.6, 0.2, 9).packKnown).toBe(false)
  expect(read(7.6, 0.2, 1).packKnown).toBe(true)
})

test('volts and amps settle alike, so that their steps keep their ratio', () => {
  const read = feed()
  read(7.6, 0.1, 20)
  for (let i = 0; i < 4; i++) {
    const now = read(7.5, 0.5)
    expect((7.6 - now.packVolts) / (now.motorAmps - 0.1)).toBeCloseTo(0.25, 9)
  }
})

test('without a current sense the amps stay unknown and the pack is known all the same', () => {
  expect(feed(withoutSense)(7.6, NaN, 10)).toMatchObject({ packKnown: true, motorAmps: NaN })
})

test('a current that no driver passes is no current, and the next good one counts', () => {
  const read = feed()
  expect(read(7.6, 500).motorAmps).toBeNaN()
  expect(read(7.6, 0.3).motorAmps).toBe(0.3)
})
