/** The end of the file store after a power cut in the writing of a header: mended, whatever the sizes before and after. */
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { mendStore } from '../../../hal/espruino/guard/mend.ts'
import { createFakeFlash, type FakeFlash } from './fakeFlash.ts'
import { createFakeStorage } from './fakeStorage.ts'

const mend = (flash: FakeFlash): void =>
  mendStore(
    {
      read: (length, address) => flash.read(address, length),
      write: (data, address) => flash.write(address, data),
      getPage: address => ({ addr: address - (address % flash.pageBytes), length: flash.pageBytes }),
      erasePage: () => {
        throw new Error('nothing is to be erased')
      },
      getFree: () => [],
    },
    0,
    flash.bytes.length,
  )

const size = fc.integer({ min: 1, max: 3000 })
const content = (bytes: number, seed: number): string =>
  Array.from({ length: bytes }, (_, i) => String.fromCharCode(32 + ((i * 7 + seed) % 90))).join('')

test('after a torn write every old file is there, and new files of any size go in', () => {
  fc.assert(
    fc.property(
      fc.array(size, { minLength: 1, maxLength: 4 }),
      size,
      fc.array(size, { minLength: 1, maxLength: 4 }),
      fc.nat({ max: 60 }),
      fc.boolean(),
      (old, cut, after, steps, torn) => {
        const flash = createFakeFlash(32_768, 1024)
        const storage = createFakeStorage(flash)
        for (let i = 0; i < old.length; i++) storage.write(`old${i}`, content(old[i], i))
        flash.cutAfterSteps(steps, torn)
        try {
          storage.write('cut', content(cut, 50))
        } catch (_) {}
        flash.powerOn()
        expect(storage.checkAtPowerOn()).toBe(true)
        mend(flash)
        expect(storage.checkAtPowerOn()).toBe(true)
        for (let i = 0; i < after.length; i++) storage.write(`new${i}`, content(after[i], i + 9))
        expect(storage.checkAtPowerOn()).toBe(true)
        for (let i = 0; i < old.length; i++) expect(storage.read(`old${i}`)).toBe(content(old[i], i))
        for (let i = 0; i < after.length; i++) expect(storage.read(`new${i}`)).toBe(content(after[i], i + 9))
      },
    ),
    { numRuns: 400 },
  )
})

test('the power may fail again while the store is mended', () => {
  for (let steps = 0; steps < 8; steps++) {
    for (let again = 0; again < 8; again++) {
      const flash = createFakeFlash(32_768, 1024)
      const storage = createFakeStorage(flash)
      storage.write('old', 'old')
      flash.cutAfterSteps(steps, true)
      expect(() => storage.write('cut', content(900, 1))).toThrow()
      flash.powerOn()
      flash.cutAfterSteps(again, true)
      try {
        mend(flash)
      } catch (_) {}
      flash.powerOn()
      mend(flash)
      storage.write('new', content(77, 2))
      expect([storage.checkAtPowerOn(), storage.read('old'), storage.read('new')]).toEqual([
        true,
        'old',
        content(77, 2),
      ])
    }
  }
})

test('a sound store is not written to, full, empty or with gaps', () => {
  const flash = createFakeFlash(8192, 1024)
  const storage = createFakeStorage(flash)
  mend(flash)
  for (let i = 0; storage.getFree() > 600; i++) {
    storage.write(`file${i % 3}`, content(100 + 37 * i, i))
    const steps = flash.steps
    mend(flash)
    expect(flash.steps).toBe(steps)
  }
})

test('a deletion that the power cut short is carried out', () => {
  const flash = createFakeFlash(8192, 1024)
  const storage = createFakeStorage(flash)
  storage.write('eb.a', content(500, 1))
  flash.cutAfterSteps(2)
  expect(() => storage.erase('eb.a')).toThrow()
  flash.powerOn()
  expect(storage.getStats().fileBytes).toBeGreaterThan(500)
  mend(flash)
  expect(storage.getStats()).toMatchObject({ fileBytes: 0, trashCount: 1 })
})
