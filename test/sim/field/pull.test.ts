/** Pulling a journal: whatever is broken off, on either side, nothing is lost that was not said to be. */
import { existsSync, readFileSync, truncateSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { wantsRest } from '../../../firmware/journal/journal.ts'
import { firstLine } from '../../../sim/field/journalFile.ts'
import { wait } from '../../firmware/console/rig.ts'
import {
  createPulledBase,
  gone,
  heldBy,
  hex,
  journalOf,
  lost,
  newFolder,
  type PulledBase,
  pullTo,
  restart,
  SERIAL,
  sequences,
  settle,
  write,
} from './pulledBase.ts'

/** A base with both areas in use. */
function usedBase(records = 90): PulledBase {
  const base = createPulledBase()
  write(base, records)
  settle(base)
  return base
}

/** The file's records, byte for byte, are those that the flash took. */
function expectFaithful(base: PulledBase, path: string): void {
  const text = hex(readFileSync(path).subarray(firstLine(SERIAL).length))
  const taken = sequences(path).map(sequence => base.store.taken.get(sequence))
  expect(text).toBe(taken.join(''))
}

const range = (from: number, to: number): number[] => Array.from({ length: to - from + 1 }, (_, i) => from + i)

test('a pull brings every record that the base has, once and in order, and a second one adds only what is new', async () => {
  const base = usedBase(70)
  const path = join(newFolder(), 'a.journal')
  const held = heldBy(base)
  const first = await pullTo(base, path)
  expect(sequences(path)).toEqual(held)
  expectFaithful(base, path)
  expect(first).toMatchObject({ file: path, instead: undefined, damaged: [], disbelieved: false, safe: held.at(-1) })
  expect(first.records).toEqual({ new: held.length, total: held.length })
  expect(journalOf(base).pulled).toBe(held.at(-1))
  write(base, 5, 70)
  const asked = base.asked
  const second = await pullTo(base, path)
  // Five records, and the note of the first pull; only their blocks were read.
  expect(second.records.new).toBe(6)
  expect(base.asked - asked).toBeLessThan(20)
  expect(sequences(path)).toEqual(range(held[0] as number, journalOf(base).sequence - 1))
  expectFaithful(base, path)
})

test('with nothing new nothing is written, neither here nor on the base', async () => {
  const base = usedBase(30)
  const path = join(newFolder(), 'a.journal')
  await pullTo(base, path)
  await pullTo(base, path)
  const bytes = readFileSync(path)
  const { sequence } = journalOf(base)
  expect((await pullTo(base, path)).records.new).toBe(0)
  expect(readFileSync(path)).toEqual(bytes)
  expect(journalOf(base).sequence).toBe(sequence)
})

test('what was written over before it was pulled is said, and nothing else is missing', async () => {
  const base = usedBase(400)
  const path = join(newFolder(), 'a.journal')
  const oldest = heldBy(base)[0] as number
  expect(oldest).toBeGreaterThan(1)
  expect((await pullTo(base, path)).overwritten).toEqual([[1, oldest - 1]])
  const last = sequences(path).at(-1) as number
  write(base, 400, 400)
  const next = heldBy(base)[0] as number
  expect((await pullTo(base, path)).overwritten).toEqual([[last + 1, next - 1]])
  expectFaithful(base, path)
})

test('a record that rots on the base is left out and named; the others come', async () => {
  const base = usedBase(20)
  const path = join(newFolder(), 'a.journal')
  const held = heldBy(base)
  const at = base.store.taken.get(held[5] as number) as string
  const address = hex(base.store.cells).indexOf(at) / 2
  base.store.cells[address + 20]! ^= 4
  const pulled = await pullTo(base, path)
  expect(pulled.damaged).toEqual([[held[5], held[5]]])
  expect(pulled.overwritten).toEqual([])
  expect(sequences(path)).toEqual(held.filter(one => one !== held[5]))
})

test('a record that rots after the last pull is named once, also when little was read', async () => {
  const base = usedBase(30)
  const path = join(newFolder(), 'a.journal')
  await pullTo(base, path)
  write(base, 30, 30)
  const rotten = journalOf(base).sequence - 3
  const address = hex(base.store.cells).indexOf(base.store.taken.get(rotten) as string) / 2
  base.store.cells[address + 20]! ^= 4
  expect(await pullTo(base, path)).toMatchObject({ damaged: [[rotten, rotten]], overwritten: [], elsewhere: [] })
  write(base, 3, 60)
  expect(await pullTo(base, path)).toMatchObject({ damaged: [], overwritten: [], elsewhere: [] })
})

test('what an earlier pull took to another file is told apart from what is lost', async () => {
  const base = usedBase(60)
  const folder = newFolder()
  const { safe } = await pullTo(base, join(folder, 'a.journal'))
  write(base, 100, 60)
  settle(base)
  const oldest = heldBy(base)[0] as number
  expect(oldest).toBeGreaterThan(2)
  const { elsewhere, overwritten } = await pullTo(base, join(folder, 'b.journal'))
  expect(elsewhere).toEqual([[1, Math.min(oldest - 1, safe)]])
  expect(overwritten).toEqual(oldest - 1 > safe ? [[safe + 1, oldest - 1]] : [])
})

test('the older area stays until it is pulled, and goes at once when it is; unpulled it goes when its room is needed', async () => {
  const base = createPulledBase()
  let sequence = 0
  while (journalOf(base).areasTaken < 1) write(base, 1, sequence++)
  wait(base.rig, 60)
  // Time alone erases nothing, and nobody waits for anything.
  expect(wantsRest(journalOf(base))).toBe(false)
  expect(heldBy(base)[0]).toBe(1)
  expect(base.rig.base.keeper?.tending).toBe(false)
  restart(base)
  wait(base.rig, 10)
  expect(heldBy(base)[0]).toBe(1)

  const path = join(newFolder(), 'a.journal')
  await pullTo(base, path)
  wait(base.rig, 5)
  expect(journalOf(base).eraseAddress).toBeNaN()
  expect(heldBy(base)[0]).toBeGreaterThan(20)

  // Not pulled: kept while more than half of the area in use is free.
  while (journalOf(base).areasTaken < 1) write(base, 1, sequence++)
  const oldest = heldBy(base)[0] as number
  settle(base)
  const { needAddress } = journalOf(base)
  while (journalOf(base).freeAddress + 72 < needAddress) {
    write(base, 1, sequence++)
    expect(heldBy(base)[0]).toBe(oldest)
  }
  write(base, 4, sequence)
  wait(base.rig, 5)
  expect(heldBy(base)[0]).toBeGreaterThan(oldest)
  expect(journalOf(base).lost).toBe(0)
})

test('a wrong proof is refused and changes nothing; less than was said before changes nothing either', async () => {
  const base = usedBase(30)
  const path = join(newFolder(), 'a.journal')
  const { sequence } = journalOf(base)
  const wrongs = [
    { sequence, address: 0, crc32: 1 },
    { sequence: sequence + 1, address: 0, crc32: 1 },
    { sequence, address: 8191, crc32: 0 },
    { sequence, address: 4294967295, crc32: 0 },
  ]
  for (const wrong of wrongs) await expect(base.ask('journal.pulled', wrong)).rejects.toThrow('No such record')
  expect(journalOf(base)).toMatchObject({ pulled: 0, sequence })
  await pullTo(base, path)
  const first = base.store.taken.get(1) as string
  const address = hex(base.store.cells).indexOf(first) / 2
  const crc32 = Buffer.from(first.slice(-8), 'hex').readUInt32LE()
  expect(await base.ask('journal.pulled', { sequence: 1, address, crc32 })).toEqual({ pulled: sequence })
  expect(journalOf(base).sequence).toBe(sequence + 1)
})

test('what was pulled is still known after a restart, and after the other area has been taken', async () => {
  const base = usedBase(10)
  await pullTo(base, join(newFolder(), 'a.journal'))
  const { pulled } = journalOf(base)
  restart(base)
  expect(journalOf(base).pulled).toBe(pulled)
  write(base, 150, 10)
  expect(heldBy(base)[0]).toBeGreaterThan(pulled)
  restart(base)
  expect(journalOf(base).pulled).toBe(pulled)
})

test('broken off at any request, the next pull ends with the same file as one that was not disturbed', async () => {
  const whole = usedBase(70)
  const wholePath = join(newFolder(), 'whole.journal')
  await pullTo(whole, wholePath)
  const steps = whole.asked
  expect(steps).toBeGreaterThan(20)
  const bytes = readFileSync(wholePath)
  for (let step = 1; step <= steps; step++) {
    const base = usedBase(70)
    const path = join(newFolder(), 'a.journal')
    const erased = base.store.erases.join()
    base.before = asked => {
      if (asked === step) throw gone()
    }
    await expect(pullTo(base, path)).rejects.toMatchObject({ trouble: 'pulled' })
    wait(base.rig, 5)
    expect(base.store.erases.join(), `step ${step}`).toBe(erased)
    base.before = () => {}
    const { overwritten } = await pullTo(base, path)
    expect(readFileSync(path).equals(bytes), `step ${step}`).toBe(true)
    expect(overwritten).toEqual([])
  }
}, 60_000)

test('cut off at any byte, the file is cut back to its last whole record and gone on with', async () => {
  const base = usedBase(70)
  const path = join(newFolder(), 'a.journal')
  base.before = (_, method) => {
    if (method === 'journal.pulled') throw gone()
  }
  await expect(pullTo(base, path)).rejects.toMatchObject({ trouble: 'pulled' })
  const bytes = readFileSync(path)
  for (let length = 0; length < bytes.length; length += length < 60 ? 7 : 173) {
    writeFileSync(path, bytes)
    truncateSync(path, length)
    await expect(pullTo(base, path)).rejects.toMatchObject({ trouble: 'pulled' })
    expect(readFileSync(path).equals(bytes), `cut at ${length}`).toBe(true)
  }
}, 30_000)

/** What a line may do to one request. */
function noisy(base: PulledBase, seed: number, chance: number): void {
  const plain = base.ask
  let state = seed
  const random = (): number => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    return state / 4294967296
  }
  const garbled = (value: unknown): unknown => {
    const text = JSON.stringify(value)
    const at = Math.floor(random() * text.length)
    try {
      return JSON.parse(text.slice(0, at) + String.fromCharCode(32 + Math.floor(random() * 95)) + text.slice(at + 1))
    } catch {
      throw lost()
    }
  }
  base.ask = async (method, params) => {
    if (random() < chance) throw lost()
    const sent = random() < chance && params !== undefined ? garbled(params) : params
    const answer = await plain(method, sent)
    if (random() < chance) throw lost()
    return random() < chance ? garbled(answer) : answer
  }
}

test('over a line that loses and changes what it carries the same file comes', async () => {
  const whole = usedBase(70)
  const wholePath = join(newFolder(), 'whole.journal')
  await pullTo(whole, wholePath)
  for (let seed = 1; seed <= 20; seed++) {
    const base = usedBase(70)
    noisy(base, seed, 0.08)
    const folder = newFolder()
    const path = join(folder, 'a.journal')
    for (let runs = 0; runs < 20; runs++) {
      const done = await pullTo(base, path).catch(() => undefined)
      if (done !== undefined) break
    }
    const bytes = readFileSync(path)
    const wholeBytes = readFileSync(wholePath)
    expect(bytes.subarray(0, wholeBytes.length).equals(wholeBytes), `seed ${seed}`).toBe(true)
    expectFaithful(base, path)
    expect(existsSync(join(folder, 'a-2.journal'))).toBe(false)
  }
}, 60_000)

test('two bases on the same port are never mixed into one file', async () => {
  const folder = newFolder()
  const path = join(folder, 'a.journal')
  const one = usedBase(20)
  const other = usedBase(25)
  await pullTo(one, path)
  const bytes = readFileSync(path)
  const pulled = await pullTo(other, path, 'bench/2')
  expect(pulled.file).toBe(join(folder, 'a-bench_2.journal'))
  expect(pulled.instead).toEqual({ file: path, why: 'otherBase', serial: SERIAL })
  expect(readFileSync(path)).toEqual(bytes)
  write(other, 3, 25)
  await pullTo(other, path, 'bench/2')
  expect(sequences(pulled.file)).toEqual(range(1, journalOf(other).sequence - 1))
})

test('a journal that was begun anew goes to a file of its own, and is gone on with there', async () => {
  const folder = newFolder()
  const path = join(folder, 'a.journal')
  await pullTo(usedBase(40), path)
  const bytes = readFileSync(path)
  for (const records of [10, 60]) {
    // Shorter than the file, then longer: other records under the same numbers.
    const anew = createPulledBase()
    write(anew, records, 1000 * records)
    settle(anew)
    const held = heldBy(anew)
    const pulled = await pullTo(anew, path)
    expect(pulled.instead?.why).toBe('begunAnew')
    expect(pulled.file).toBe(join(folder, records === 10 ? 'a-2.journal' : 'a-3.journal'))
    expect(sequences(pulled.file)).toEqual(held)
    write(anew, 3, 5)
    expect((await pullTo(anew, path)).file).toBe(pulled.file)
    expect(readFileSync(path)).toEqual(bytes)
  }
})

test('a file that is no journal, or is damaged inside, is left as it is', async () => {
  const base = usedBase(20)
  const path = join(newFolder(), 'a.journal')
  writeFileSync(path, 'my notes')
  await expect(pullTo(base, path)).rejects.toThrow('not a journal')
  expect(readFileSync(path, 'utf8')).toBe('my notes')
  const good = join(newFolder(), 'a.journal')
  await pullTo(base, good)
  const bytes = readFileSync(good)
  bytes[200]! ^= 1
  writeFileSync(good, bytes)
  await expect(pullTo(base, good)).rejects.toThrow(/damaged at byte .* new file/)
  expect(readFileSync(good)).toEqual(bytes)
  await expect(pullTo(base, join(newFolder(), 'nowhere', 'a.journal'))).rejects.toThrow('no such folder')
})

test('the power may fail on the base at any byte of its note that records were pulled', async () => {
  let cuts = 0
  for (let cut = 1; ; cut++) {
    const base = usedBase(70)
    const path = join(newFolder(), 'a.journal')
    const oldest = heldBy(base)[0] as number
    base.store.cutAfter = base.store.operations + cut
    const failed = await pullTo(base, path).catch(thrown => thrown)
    if (!(failed instanceof Error)) break
    cuts++
    restart(base)
    wait(base.rig, 2)
    const { pulled } = journalOf(base)
    expect(pulled === 0 || pulled === sequences(path).at(-1)).toBe(true)
    await pullTo(base, path)
    expect(sequences(path)[0]).toBe(oldest)
    expectFaithful(base, path)
    expect(sequences(path)).toEqual(range(oldest, sequences(path).at(-1) as number))
  }
  expect(cuts).toBeGreaterThan(10)
}, 60_000)

test('whatever happens between pulls at whatever moments, the files hold every record but those that were said to be gone', async () => {
  const steps = fc.oneof(
    {
      weight: 5,
      arbitrary: fc.record({ what: fc.constant('write' as const), count: fc.integer({ min: 1, max: 60 }) }),
    },
    { weight: 2, arbitrary: fc.record({ what: fc.constant('pull' as const), count: fc.integer({ min: 1, max: 60 }) }) },
    { weight: 2, arbitrary: fc.record({ what: fc.constant('whole' as const), count: fc.constant(0) }) },
    { weight: 1, arbitrary: fc.record({ what: fc.constant('restart' as const), count: fc.constant(0) }) },
    {
      weight: 2,
      arbitrary: fc.record({ what: fc.constant('cut' as const), count: fc.integer({ min: 1, max: 3000 }) }),
    },
  )
  await fc.assert(
    fc.asyncProperty(fc.array(steps, { minLength: 1, maxLength: 25 }), async list => {
      const base = createPulledBase()
      const folder = newFolder()
      const path = join(folder, 'a.journal')
      const gaps = new Set<number>()
      let written = 0
      const wholePull = async (): Promise<void> => {
        const pulled = await pullTo(base, path)
        expect(pulled).toMatchObject({ damaged: [], disbelieved: false, file: path })
        for (const [from, to] of pulled.overwritten) for (let i = from; i <= to; i++) gaps.add(i)
      }
      for (const { what, count } of list) {
        if (what === 'write') write(base, count, written)
        if (what === 'write') written += count
        if (what === 'whole') await wholePull().catch(thrown => onlyPower(base, thrown))
        if (what === 'pull') {
          const until = base.asked + count
          base.before = asked => {
            if (asked > until) throw gone()
          }
          await wholePull().catch(thrown => onlyPower(base, thrown, base.asked > until))
          base.before = () => {}
        }
        if (what === 'cut') base.store.cutAfter = base.store.operations + count
        if (what === 'restart' || base.store.dead) restart(base)
      }
      restart(base)
      settle(base)
      const newest = journalOf(base).sequence
      await wholePull()
      const there = new Set(sequences(path))
      for (const taken of base.store.taken.keys()) {
        if (taken <= newest) expect(there.has(taken) || gaps.has(taken), `record ${taken}`).toBe(true)
      }
      expectFaithful(base, path)
    }),
    { numRuns: 40 },
  )
}, 60_000)

/** A pull that ended early did so for the reason that the test gave it. */
function onlyPower(base: PulledBase, thrown: unknown, isCable = false): void {
  if (!(base.store.dead || isCable)) throw thrown
}
