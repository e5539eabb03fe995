/** The journal over the line: whatever is asked, the answer is right or a refusal, and the flash stays as it was. */
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { appendRecord } from '../../../firmware/journal/journal.ts'
import type { Keeper } from '../../../firmware/journal/keeper.ts'
import { KIND } from '../../../firmware/journal/record.ts'
import { crc32 } from '../../../sim/crc32.ts'
import { TornStore } from '../journal/tornStore.ts'
import { call, createRig, OPTIONS, type Rig, toTurning } from './rig.ts'

function rigWithRecords(): { rig: Rig; store: TornStore } {
  const store = new TornStore(4096, 1024)
  const rig = createRig(undefined, OPTIONS, store)
  for (let i = 0; i < 20; i++) {
    appendRecord((rig.base.keeper as Keeper).journal, KIND.checkpoint, new Uint8Array(60).fill(i))
  }
  return { rig, store }
}

test('the list says where the records end, and their bytes come as they stand', () => {
  const { rig, store } = rigWithRecords()
  const { result } = call(rig, 'journal.list')
  const { journal } = rig.base.keeper as Keeper
  expect(result).toEqual({
    areas: [
      [2048, 0],
      [0, journal.freeAddress],
    ],
    blockBytes: 1024,
    sequence: 21,
    session: 0,
    pulled: 0,
  })
  const read = call(rig, 'journal.read', { address: 20, bytes: 256 }).result as { data: string; crc32: number }
  const bytes = store.cells.slice(20, 276)
  expect(read).toEqual({ address: 20, data: bytes.join(','), crc32: crc32(bytes) })
  expect(call(rig, 'journal.read', { address: 4095, bytes: 1 }).result).toBeDefined()
  expect(call(rig, 'journal.read', { address: 4095, bytes: 2 }).error?.code).toBe(-32602)
})

test('in a session the journal is not given, and on a base without one neither', () => {
  const { rig } = rigWithRecords()
  toTurning(rig)
  for (const [method, params] of [
    ['journal.list', {}],
    ['journal.read', { address: 0, bytes: 8 }],
    ['journal.pulled', { sequence: 1, address: 0, crc32: 0 }],
  ] as const) {
    expect(call(rig, method, params).error, method).toMatchObject({ code: -31000, message: 'Not in a session' })
  }
  const without = rigWithRecords().rig
  without.base.keeper = undefined
  expect(call(without, 'journal.list').error?.message).toBe('No journal')
  expect(call(without, 'journal.read', { address: 0, bytes: 8 }).error?.message).toBe('No journal')
  expect(call(without, 'journal.pulled', { sequence: 1, address: 0, crc32: 0 }).error?.message).toBe('No journal')
})

test('whatever parameters come, nothing goes wrong inside and not a bit of the flash changes', () => {
  const { rig, store } = rigWithRecords()
  const before = store.cells.slice()
  const number = fc.oneof(fc.integer({ min: -10, max: 5000 }), fc.double(), fc.integer({ min: 0, max: 0xffffffff }))
  const value = fc.oneof({ weight: 4, arbitrary: number }, { weight: 1, arbitrary: fc.jsonValue({ maxDepth: 1 }) })
  const named = fc.record({ address: value, bytes: value, sequence: value, crc32: value }, { requiredKeys: [] })
  const fitting = fc.oneof(
    fc.record({ address: number, bytes: fc.integer({ min: 1, max: 256 }) }),
    fc.record({ sequence: fc.integer({ min: 0, max: 25 }), address: fc.integer({ min: 0, max: 1600 }), crc32: number }),
  )
  const params = fc.oneof(named, fitting, fc.jsonValue({ maxDepth: 2 }))
  fc.assert(
    fc.property(fc.constantFrom('journal.list', 'journal.read', 'journal.pulled'), params, (method, given) => {
      const { result, error } = call(rig, method, given)
      if (error !== undefined) expect([-32602, -31000]).toContain(error.code)
      // -0 is an address too, and the same as 0.
      else if (method === 'journal.read')
        expect(result?.['address'] === (given as { address: number }).address).toBe(true)
      else expect(method).toBe('journal.list')
    }),
    { numRuns: 1500 },
  )
  expect(rig.base.console.mishaps + rig.base.mishaps).toBe(0)
  expect(store.cells).toEqual(before)
})
