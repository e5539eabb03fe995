/** Holds the fake file store against what the engine's own does: the traps that the slots and the small files must survive. */
import { expect, test } from 'vitest'
import { createFakeFlash, PowerCut } from './fakeFlash.ts'
import { createFakeStorage } from './fakeStorage.ts'

const fresh = () => {
  const flash = createFakeFlash(32_768, 1024)
  return { flash, storage: createFakeStorage(flash) }
}

test('a file is read back whole and in part, and a missing one is undefined', () => {
  const { storage } = fresh()
  storage.write('a', 'hello')
  expect([storage.read('a'), storage.read('a', 1, 3), storage.read('a', 9), storage.read('b')]).toEqual([
    'hello',
    'ell',
    '',
    undefined,
  ])
})

test('a preallocated file takes each byte once', () => {
  const { storage } = fresh()
  storage.write('a', 'ab', 0, 8)
  storage.write('a', 'cd', 2)
  expect(storage.read('a')).toBe('abcd\xff\xff\xff\xff')
  expect(() => storage.write('a', 'cd', 2)).toThrow('File already written with different data')
  expect(() => storage.write('a', '12345', 4)).toThrow('Too much data for file size')
  expect(() => storage.write('b', 'x', 4)).toThrow('Unable to find or create file')
  expect(() => storage.write('c', '')).toThrow('zero length')
})

test('offset 0 without a size replaces the file, and equal content is not written at all', () => {
  const { flash, storage } = fresh()
  storage.write('a', 'ab', 0, 8)
  storage.write('a', 'xy')
  expect(storage.read('a')).toBe('xy')
  expect(storage.getStats()).toMatchObject({ fileCount: 1, trashCount: 1, trashBytes: 40 })
  const before = flash.steps
  storage.write('a', 'xy')
  expect(flash.steps).toBe(before)
})

test('a replaced file that the power cuts short is gone, old and new: the engine kills first', () => {
  const { flash, storage } = fresh()
  storage.write('keep', 'kept')
  storage.write('a', 'old')
  flash.cutBeforeOperation(1)
  expect(() => storage.write('a', 'newer')).toThrow(PowerCut)
  expect(() => storage.read('keep')).toThrow(PowerCut)
  flash.powerOn()
  expect(storage.checkAtPowerOn()).toBe(true)
  expect([storage.read('a'), storage.read('keep')]).toEqual([undefined, 'kept'])
})

test('a torn header does not hide the files before it', () => {
  for (let steps = 0; steps < 32; steps++) {
    const { flash, storage } = fresh()
    storage.write('keep', 'kept')
    flash.cutAfterSteps(steps, true)
    expect(() => storage.write('a', 'text')).toThrow(PowerCut)
    flash.powerOn()
    expect(storage.checkAtPowerOn()).toBe(true)
    expect(storage.read('keep')).toBe('kept')
  }
})

test('a full store is compacted, and a cut in that loses what was in memory alone', () => {
  const fill = (storage: ReturnType<typeof fresh>['storage']): void => {
    storage.write('trash', 'x'.repeat(12_000))
    storage.write('keep', 'k'.repeat(9_000))
    storage.erase('trash')
  }
  const whole = fresh()
  fill(whole.storage)
  whole.storage.write('big', 'b'.repeat(15_000))
  expect(whole.storage.read('keep')).toBe('k'.repeat(9_000))
  expect(whole.flash.erases).toBeGreaterThan(8)
  let lost = 0
  for (let operation = 0; operation < 20; operation++) {
    const { flash, storage } = fresh()
    fill(storage)
    flash.cutBeforeOperation(operation)
    expect(() => storage.write('big', 'b'.repeat(15_000))).toThrow(PowerCut)
    flash.powerOn()
    storage.checkAtPowerOn()
    if (storage.read('keep') !== 'k'.repeat(9_000)) lost++
  }
  expect(lost).toBeGreaterThan(5)
})

test('a damaged header in the middle of the chain costs the whole store at the next power-on', () => {
  const { flash, storage } = fresh()
  storage.write('a', 'one')
  storage.write('b', 'x'.repeat(3000))
  flash.bytes.set([0x10, 0, 0, 0], storage.addressOf('b') - 32)
  expect(storage.checkAtPowerOn()).toBe(false)
  expect(storage.list()).toEqual([])
})
