/**
 * The rehearsal's bundle on every engine at hand against the sources under Node, line for line. On the interpreter it is run
 * out of flash, as a board runs it: its text alone would fill the memory of the reference board.
 */
import { fileURLToPath } from 'node:url'
import { expect, test } from 'vitest'
import { bundle } from '../../hal/espruino/build/bundle.ts'
import { rehearse } from '../../sim/rehearsal/session.ts'
import { standardRehearsal } from '../../sim/rehearsal/standard.ts'
import { ENGINES, runOn } from './engines.ts'

const root = fileURLToPath(new URL('../..', import.meta.url))

function fromTheSources(): string[] {
  const lines: string[] = []
  rehearse(standardRehearsal({ hand: 'simulated' }), line => lines.push(line))
  return lines
}

const expected = fromTheSources()
const { code } = await bundle({ entry: 'sim/rehearsal/entries/trace.ts', root, define: {}, short: true })

test('the rehearsal carries every bath to its end without a mishap', () => {
  expect(expected.filter(line => line.includes(' bathEnded '))).toHaveLength(7)
  expect(expected[expected.length - 1]).toMatch(/^end finished after \d+ steps, 0 mishaps$/)
})

for (const engine of ENGINES.filter(one => one !== 'espruino file')) {
  test(`the rehearsal's trace on ${engine} is that of the sources, line for line`, async () => {
    expect(await runOn(engine, code, { seconds: 300 })).toEqual(expected)
  }, 320_000)
}
