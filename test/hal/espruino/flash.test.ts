/** The journal's pages: where they lie, and what compaction and a power cut do to them. */
import { expect, test } from 'vitest'
import { journalInFile, journalInPages, openFlashStore } from '../../../hal/espruino/flash.ts'
import { BARE_ADDRESS, createFakeEngine, type FakeEngine } from './fakeEngine.ts'
import { STORE_ADDRESS } from './fakeModules.ts'

const BYTES = 16_384
const BLOCK = 4096

function journalOf(fake: FakeEngine) {
  const { engine } = fake
  const address = journalInFile(engine, BYTES, BLOCK)
  return openFlashStore({ engine, motor: { driven: false }, address, bytes: BYTES, blockBytes: BLOCK })
}

test('inside a file of the store the journal gets whole pages, and the store is sound after all of them were erased', () => {
  const fake = createFakeEngine()
  fake.storage.write('eb.a', 'firmware'.repeat(1000))
  const journal = journalOf(fake)
  fake.storage.write('after', 'a file behind it')
  for (let at = 0; at < BYTES; at += BLOCK) {
    journal.write(at, Uint8Array.from([1, 2, 3]))
    journal.erase(at)
    journal.write(at, Uint8Array.from([4, 5, 6]))
  }
  expect(fake.storage.checkAtPowerOn()).toBe(true)
  expect(fake.storage.read('eb.a')).toBe('firmware'.repeat(1000))
  expect(fake.storage.read('after')).toBe('a file behind it')
  expect(fake.storage.getStats().trashBytes).toBe(0)
})

test('the next start finds what was written', () => {
  const fake = createFakeEngine()
  fake.storage.write('eb.a', 'firmware')
  journalOf(fake).write(5000, Uint8Array.from([7, 8, 9]))
  expect(journalOf(fake).read(5000, 3)).toEqual(Uint8Array.from([7, 8, 9]))
})

test('a year of erases never fills the store', () => {
  const fake = createFakeEngine()
  const journal = journalOf(fake)
  const free = fake.storage.getFree()
  for (let i = 0; i < 2000; i++) journal.erase((i % 4) * BLOCK)
  expect(fake.storage.getFree()).toBe(free)
})

test('after compaction has moved its file, the next start puts the blocks right, time after time', () => {
  const fake = createFakeEngine()
  for (let i = 0; i < 12; i++) fake.storage.write(`old${i}`, 'x'.repeat(700 + 300 * i))
  const journal = journalOf(fake)
  const record = (n: number): Uint8Array => Uint8Array.from([n, 200 - n, n])
  for (let n = 0; n < 4; n++) journal.write(n * BLOCK + 10 * n, record(n))
  let moved = 0
  for (let i = 0; i < 7; i++) {
    const before = journalInFile(fake.engine, BYTES, BLOCK)
    fake.storage.erase(`old${i}`)
    fake.storage.compact()
    const again = journalOf(fake)
    if (journalInFile(fake.engine, BYTES, BLOCK) !== before) moved++
    for (let n = 0; n < 4; n++) expect(again.read(n * BLOCK + 10 * n, 3)).toEqual(record(n))
    again.write(BLOCK + 100 + 3 * i, record(i))
    expect(again.read(BLOCK + 100 + 3 * i, 1)).toEqual(Uint8Array.from([i]))
  }
  expect(moved).toBeGreaterThan(0)
  expect(fake.storage.checkAtPowerOn()).toBe(true)
})

test('after more moves than it has marks for, it begins anew in a new file', () => {
  const fake = createFakeEngine()
  for (let i = 0; i < 12; i++) fake.storage.write(`old${i}`, 'x'.repeat(1100))
  journalOf(fake).write(0, Uint8Array.from([1]))
  for (let i = 0; i < 9; i++) {
    fake.storage.erase(`old${i}`)
    fake.storage.compact()
    journalOf(fake)
  }
  const journal = journalOf(fake)
  journal.erase(0)
  journal.write(0, Uint8Array.from([42]))
  expect(journalOf(fake).read(0, 1)).toEqual(Uint8Array.from([42]))
})

test('a power cut at any step of making it, torn or not, leaves a journal that the next start can use', () => {
  for (const torn of [false, true]) {
    for (let step = 0; ; step++) {
      const fake = createFakeEngine()
      fake.storage.write('eb.a', 'firmware')
      fake.flash.cutAfterSteps(step, torn)
      let cut = false
      try {
        journalOf(fake)
      } catch (_) {
        cut = true
      }
      fake.flash.powerOn()
      fake.storage.checkAtPowerOn()
      const journal = journalOf(fake)
      for (let at = 0; at < BYTES; at += BLOCK) expect(journal.read(at, 1)).toEqual(Uint8Array.from([0xff]))
      journal.write(100, Uint8Array.from([9]))
      expect(journalOf(fake).read(100, 1)).toEqual(Uint8Array.from([9]))
      if (!cut) break
    }
  }
})

test('a store without room for it is said, and not compacted', () => {
  const fake = createFakeEngine()
  fake.storage.write('big', 'x', 0, 250_000)
  expect(() => journalOf(fake)).toThrow(/no room/)
  expect(fake.flash.erases).toBe(0)
})

test('bare pages are taken only where the engine calls them free and they do not belong to its file store', () => {
  const { engine } = createFakeEngine()
  expect(journalInPages(engine, BARE_ADDRESS, 49_152)).toBe(BARE_ADDRESS)
  expect(() => journalInPages(engine, STORE_ADDRESS, 8192)).toThrow(/not free/)
  expect(() => journalInPages(engine, BARE_ADDRESS + 49_152, 49_152)).toThrow(/not free/)
  expect(() => journalInPages(engine, 0, 4096)).toThrow(/not free/)
})
