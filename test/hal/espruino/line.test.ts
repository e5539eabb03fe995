/** The serial line: through the prompt, in place of it, and to a host that does not read. */
import { expect, test } from 'vitest'
import { openLine } from '../../../hal/espruino/line.ts'
import { createFakeEngine } from './fakeEngine.ts'

test('at rest the prompt hands over what the laptop sends, and each piece is answered with its length', () => {
  const fake = createFakeEngine()
  const line = openLine({ engine: fake.engine, port: 'USB' })
  fake.engine.hear?.('\x1e{"method":')
  fake.engine.hear?.('"status"}\n')
  expect(line.read()).toBe('\x1e{"method":"status"}\n')
  fake.pass(0.2)
  const heard = (bytes: number): string => `\x1e{"jsonrpc":"2.0","method":"heard","params":{"bytes":${bytes}}}\n`
  expect(fake.sent).toBe(heard(11) + heard(10))
  expect(fake.console).toBe('USB')
})

test('the console is taken away from the prompt and comes back', () => {
  const fake = createFakeEngine()
  const line = openLine({ engine: fake.engine, port: 'USB' })
  line.take()
  expect(fake.console).toBeNull()
  line.giveBack()
  expect(fake.console).toBe('USB')
  fake.receive('typed at the prompt')
  expect(line.read()).toBeUndefined()
})

for (const [host, tellsSending, hostReads] of [
  ['a host that does not read', true, false],
  ['an engine that does not tell how full its buffer is, on a port of 115,200 baud,', false, true],
] as const) {
  test(`${host} never makes the engine wait`, () => {
    const fake = createFakeEngine()
    fake.tellsSending = tellsSending
    fake.hostReads = hostReads
    const line = openLine({ engine: fake.engine, port: 'USB' })
    for (let i = 0; i < 200; i++) {
      line.write(`${'z'.repeat(150)}\n`)
      fake.pass(0.1)
    }
    expect(fake.waited).toBe(false)
  })
}
