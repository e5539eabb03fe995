/**
 * The rehearsal (the firmware with the simulated base inside) runs a whole session on every engine at hand, and each gives
 * Node's trace, line for line. From a file the interpreter holds the text in its memory, so that a board's worth of
 * variables does not take it: that run needs an interpreter with more, and is said to be left out otherwise.
 */
import { beforeAll, expect, test } from 'vitest'
import { buildAll } from '../../hal/espruino/build/build.ts'
import { BUNDLES } from '../../hal/espruino/build/bundles.ts'
import { ENGINES, type EngineName, holdsInMemory, runOn } from './engines.ts'

let code: string
let expected: string[]

beforeAll(async () => {
  const [built] = await buildAll(BUNDLES.filter(row => row.name === 'rehearsal'))
  code = built.code
  expected = await runOn('node', code)
}, 120_000)

test('the trace is of a whole session', () => {
  expect(expected.length).toBeGreaterThan(50)
  expect(expected.filter(line => line.includes('sessionFinished')).length).toBe(1)
  expect(expected[expected.length - 1]).toMatch(/^end finished .* 0 mishaps$/)
})

test.each(ENGINES.filter(engine => engine !== 'node'))(
  'the same trace as Node: %s',
  async (engine: EngineName) => {
    if (engine === 'espruino file' && !(await holdsInMemory(code))) {
      console.info('The interpreter has too few variables to hold the rehearsal as a file: left out.')
      expect(await runOn(engine, 'print("it runs files")')).toEqual(['it runs files'])
      return
    }
    expect(await runOn(engine, code, { seconds: 600 })).toEqual(expected)
  },
  700_000,
)
