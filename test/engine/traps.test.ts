/** The pipeline's own promises, on a small program full of traps: the same output on every engine at hand. */
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { beforeAll, expect, test } from 'vitest'
import { ROOT, refuse } from '../../hal/espruino/build/build.ts'
import { type Bundle, bundle } from '../../hal/espruino/build/bundle.ts'
import { ENGINES, runOn } from './engines.ts'

let short: Bundle
let plain: Bundle
let expected: string[]

beforeAll(async () => {
  const options = { entry: 'test/engine/traps/traps.ts', root: ROOT, define: {} }
  short = await bundle({ ...options, short: true })
  plain = await bundle({ ...options, short: false })
  expected = readFileSync(join(ROOT, 'test/engine/traps/expected.txt'), 'utf8').trimEnd().split('\n')
})

test('the bundle of traps breaks no rule', () => {
  refuse('traps', short.code, short.map)
})

test.each(ENGINES)('classes, destructuring, closures and spoken names come out right: %s', async engine => {
  expect(await runOn(engine, short.code)).toEqual(expected)
})

test.each(ENGINES)('and with names left readable: %s', async engine => {
  expect(await runOn(engine, plain.code)).toEqual(expected)
})
