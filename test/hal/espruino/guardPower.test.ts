/** The power fails at every step of an upload and of every mark: what was there before still starts, and a second upload goes through. */
import { beforeAll, expect, test } from 'vitest'
import { GUARD_FILE, SLOT_FILES } from '../../../hal/espruino/guard/slots.ts'
import { pico } from '../../../hal/espruino/wiring/pico.ts'
import { createFakeFlash, PowerCut } from './fakeFlash.ts'
import { createFakeStorage, type FakeStorage } from './fakeStorage.ts'
import { builtGuard, createGuardBench, type GuardBench, padded, slotsOf, startIn, upload } from './guardBench.ts'

const OLD = 'print("old runs");var n=0;setInterval(function(){if(++n===60)global.guard.healthy()},1000)'
const OLDER = 'print("older runs");var n=0;setInterval(function(){if(++n===60)global.guard.healthy()},1000)'
const NEW = `print("new runs");var n=0;setInterval(function(){if(++n===60)global.guard.healthy()},1000);${'/* */'.repeat(60)}`
const LONGER = `print("longer runs");${'/* */'.repeat(90)}`

let guard = ''
let image = new Uint8Array()

/** Older and old firmware, both good; the old one is the newest. */
beforeAll(async () => {
  guard = await builtGuard(pico)
  const bench = createGuardBench(createFakeFlash(32_768, 4096))
  bench.storage.write(GUARD_FILE, padded(guard))
  for (const firmware of [OLDER, OLD]) {
    upload(bench.storage, SLOT_FILES, firmware)
    bench.powerOn()
    bench.run(70)
  }
  image = bench.flash.bytes.slice()
})

const board = (from = image): GuardBench => {
  const bench = createGuardBench(createFakeFlash(32_768, 4096))
  bench.flash.bytes.set(from)
  return bench
}

/** True when the power failed on the way. */
function cut(work: () => void): boolean {
  try {
    work()
    return false
  } catch (problem) {
    if (!(problem instanceof PowerCut)) throw problem
    return true
  }
}

const newest = (storage: FakeStorage): string => {
  const slot = startIn(storage, SLOT_FILES)
  return slot === undefined ? 'nothing' : (storage.read(slot.name, 7, 20)?.split(' ')[0] ?? '')
}

const startsWith = (bench: GuardBench): string => {
  bench.printed.length = 0
  bench.powerOn()
  bench.run(4)
  return bench.printed.join()
}

test('the power may fail at any byte of an upload, torn or not', () => {
  const wholeSteps = (() => {
    const bench = board()
    upload(bench.storage, SLOT_FILES, NEW)
    return bench.flash.steps
  })()
  expect(wholeSteps).toBeGreaterThan(NEW.length + 64)
  for (const torn of [false, true]) {
    for (let steps = 0; steps <= wholeSteps; steps++) {
      const flash = createFakeFlash(32_768, 4096)
      flash.bytes.set(image)
      const storage = createFakeStorage(flash)
      flash.cutAfterSteps(steps, torn)
      const failed = cut(() => upload(storage, SLOT_FILES, NEW))
      expect(failed).toBe(steps < wholeSteps)
      flash.powerOn()
      const where = `after ${steps} bytes${torn ? ', torn' : ''}`
      expect(storage.checkAtPowerOn(), where).toBe(true)
      expect(newest(storage), where).toBe(failed ? 'old' : 'new')
      upload(storage, SLOT_FILES, NEW)
      expect(newest(storage), where).toBe('new')
    }
  }
})

test('the same, started by the guard itself, at every write of an upload', () => {
  for (let operation = 0; ; operation++) {
    const bench = board()
    bench.flash.cutBeforeOperation(operation)
    if (!cut(() => upload(bench.storage, SLOT_FILES, NEW))) {
      expect(operation).toBeGreaterThan(4)
      break
    }
    expect(startsWith(bench), `operation ${operation}`).toBe('old runs')
    expect(bench.storage.read(GUARD_FILE)).toBe(padded(guard))
    upload(bench.storage, SLOT_FILES, NEW)
    expect(startsWith(bench), `operation ${operation}`).toBe('new runs')
  }
})

test('after a cut another firmware can be uploaded, and other files can be written', () => {
  for (const torn of [false, true]) {
    for (let steps = 0; steps < 80; steps++) {
      const bench = board()
      bench.flash.cutAfterSteps(steps, torn)
      expect(cut(() => upload(bench.storage, SLOT_FILES, NEW))).toBe(true)
      bench.powerOn()
      for (const [name, text] of [
        ['calibration', '{"tankTurns":12}'],
        ['planned', 'x'.repeat(steps + 20)],
      ]) {
        bench.storage.write(name, text)
        expect(bench.storage.checkAtPowerOn()).toBe(true)
        expect(bench.storage.read(name)).toBe(text)
      }
      upload(bench.storage, SLOT_FILES, LONGER)
      expect(newest(bench.storage)).toBe('longer')
      expect(bench.storage.checkAtPowerOn()).toBe(true)
    }
  }
})

test('the power may fail at any byte of a mark', () => {
  const fresh = board()
  upload(fresh.storage, SLOT_FILES, NEW)
  const uploaded = fresh.flash.bytes.slice()
  for (const torn of [false, true]) {
    // Four bytes of the first try, four of "good".
    for (let steps = 0; steps < 8; steps++) {
      const bench = board(uploaded)
      bench.powerOn()
      bench.flash.cutAfterSteps(steps, torn)
      bench.run(70)
      expect(bench.flash.dead).toBe(true)
      expect(startsWith(bench), `${steps}`).toBe('new runs')
      bench.run(70)
      expect(slotsOf(bench.storage, SLOT_FILES)).toMatchObject([{ good: true }, { good: true }])
      expect(startsWith(bench)).toBe('new runs')
    }
  }
})

test('one slot: a cut in mid-upload leaves the prompt, and a second upload goes through', () => {
  const one = ['eb.a']
  const flash = createFakeFlash(32_768, 4096)
  const storage = createFakeStorage(flash)
  upload(storage, one, OLD)
  const before = flash.bytes.slice()
  let left = 0
  for (let operation = 0; ; operation++) {
    flash.bytes.set(before)
    flash.powerOn()
    flash.cutBeforeOperation(operation)
    if (!cut(() => upload(storage, one, NEW))) break
    flash.powerOn()
    if (startIn(storage, one) === undefined) left++
    upload(storage, one, NEW)
    expect(startIn(storage, one)).toMatchObject({ name: 'eb.a', sequence: expect.any(Number) })
  }
  expect(left).toBeGreaterThan(3)
})

test('a store that must be compacted for an upload can lose all in a cut: only the prompt is certain then', () => {
  const full = board()
  while (full.storage.getFree() > 1200) upload(full.storage, SLOT_FILES, `${NEW}//${full.flash.steps}`)
  const before = full.flash.bytes.slice()
  let lost = 0
  let kept = 0
  for (let operation = 0; ; operation++) {
    const bench = board(before)
    bench.flash.cutBeforeOperation(operation)
    if (!cut(() => upload(bench.storage, SLOT_FILES, `${LONGER}${LONGER}${LONGER}`))) break
    bench.powerOn()
    bench.run(10)
    expect(bench.console).toBe('USB')
    if (startIn(bench.storage, SLOT_FILES) === undefined) lost++
    else kept++
    // The whole installation again, as on a new board.
    bench.reset()
    bench.storage.write(GUARD_FILE, padded(guard))
    upload(bench.storage, SLOT_FILES, NEW)
    expect(startsWith(bench)).toContain('new runs')
  }
  expect(lost).toBeGreaterThan(0)
  expect(kept).toBeGreaterThan(0)
})
