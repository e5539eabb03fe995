/** Texts in the file store, with the power cut before every step of a write. */
import { expect, test } from 'vitest'
import { openFiles } from '../../../hal/espruino/files.ts'
import { writesLeft } from '../../../hal/espruino/tidy.ts'
import { createFakeEngine } from './fakeEngine.ts'

test('a power cut before any step of a write leaves the old text or the new one, whole', () => {
  const seen = { old: 0, new: 0 }
  for (const torn of [false, true]) {
    for (let step = 0; step < 400; step++) {
      const fake = createFakeEngine()
      const files = openFiles({ engine: fake.engine })
      files.write('calibration', 'first')
      files.write('calibration', '{"offset":0.11}')
      fake.flash.cutAfterSteps(step, torn)
      let cut = false
      try {
        files.write('calibration', '{"offset":0.22}')
      } catch (_) {
        cut = true
      }
      fake.flash.powerOn()
      const text = openFiles({ engine: fake.engine }).read('calibration')
      expect(['{"offset":0.11}', '{"offset":0.22}']).toContain(text)
      expect(openFiles({ engine: fake.engine }).names()).toEqual(['calibration'])
      if (text === '{"offset":0.11}') seen.old++
      else seen.new++
      if (!cut) break
    }
  }
  expect(seen.old).toBeGreaterThan(40)
  expect(seen.new).toBeGreaterThan(2)
})

test('a power cut before any step of a removal never brings an older text back', () => {
  for (let step = 0; step < 60; step++) {
    const fake = createFakeEngine()
    const files = openFiles({ engine: fake.engine })
    files.write('planned', 'older')
    fake.flash.cutBeforeOperation(2)
    try {
      files.write('planned', 'newer')
    } catch (_) {}
    fake.flash.powerOn()
    fake.flash.cutAfterSteps(step)
    try {
      files.remove('planned')
    } catch (_) {}
    fake.flash.powerOn()
    expect(['newer', undefined]).toContain(openFiles({ engine: fake.engine }).read('planned'))
  }
})

test('a text whose byte was spoiled is not there', () => {
  const fake = createFakeEngine()
  const files = openFiles({ engine: fake.engine })
  files.write('r.mine', '{"name":"mine"}')
  fake.flash.bytes[fake.storage.addressOf('r.mine!0') + 3] = 0
  expect(files.read('r.mine')).toBeUndefined()
  expect(files.names()).toEqual([])
})

test('the same text again writes nothing, and no write ever makes the store compact by itself', () => {
  const fake = createFakeEngine()
  const files = openFiles({ engine: fake.engine })
  files.write('planned', 'x')
  const steps = fake.flash.steps
  files.write('planned', 'x')
  expect(fake.flash.steps).toBe(steps)
  let left = writesLeft(fake.engine, 1000)
  expect(left).toBeGreaterThan(100)
  let writes = 0
  expect(() => {
    for (; ; writes++) files.write('planned', `${writes}`.padStart(1000, '.'))
  }).toThrow(/no room/)
  expect(Math.abs(writes - left)).toBeLessThanOrEqual(2)
  left = writesLeft(fake.engine, 1000)
  expect(left).toBe(0)
  expect(fake.flash.erases).toBe(0)
})
