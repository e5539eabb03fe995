/**
 * The board's code as the bundle has it: lowered and shortened, on a fake flash here and on the interpreter where there
 * is one. There the heartbeat runs too, because only there an error ends a callback without a word to the code in it;
 * the laptop's build cannot restart, so it ends, which is what is waited for.
 */
import { spawn } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { bundle } from '../../../hal/espruino/build/bundle.ts'
import { crc32 } from '../../../sim/crc32.ts'
import { INTERPRETER, runOn } from '../../engine/engines.ts'
import { createFakeEngine } from './fakeEngine.ts'
import { STORE_ADDRESS } from './fakeModules.ts'
import { checkOn } from './onInterpreter.ts'

const ROOT = new URL('../../..', import.meta.url).pathname.replace(/\/$/, '')
const CHECKS = 39
/** What a board's bundle leaves out: the contract's refusals, which its wiring and the firmware's tests stand for. */
const LEFT_OUT = ['wall clock refuses', 'motor refuses', 'closed']

test('the checks for the interpreter all pass on the fake engine', () => {
  const fake = createFakeEngine()
  fake.storage.write('in-front', 'x'.repeat(77))
  fake.storage.write('stays', 'as it is')
  const lines: string[] = []
  const real = {
    storage: fake.engine.require('Storage'),
    flash: fake.engine.require('Flash'),
    storeAddress: STORE_ADDRESS,
    graphics: fake.engine.Graphics,
    crc32: (data: Uint8Array | string) => crc32(typeof data === 'string' ? Buffer.from(data, 'latin1') : data),
    sum: fake.engine.E.sum,
  }
  checkOn(real, 4096, line => lines.push(line))
  expect(lines.filter(line => !line.startsWith('ok '))).toEqual([])
  expect(lines.length).toBe(CHECKS)
})

if (INTERPRETER) {
  for (const [what, define, leftOut] of [
    ['with all its checks', {}, []],
    ['as a board gets it', { WIRING_CHECKED: 'true' }, LEFT_OUT],
  ] as const) {
    test(`the same code ${what} passes in the interpreter, on its own flash, file store and graphics`, async () => {
      const { code } = await bundle({
        entry: 'test/hal/espruino/interpreterEntry.ts',
        root: ROOT,
        define,
        short: true,
      })
      // The interpreter says so itself, into the console.
      const lines = (await runOn('espruino file', code)).filter(line => !line.startsWith('Compacting'))
      expect(lines.filter(line => !line.startsWith('ok '))).toEqual(leftOut.map(name => `FAILED ${name}`))
      expect(lines.length).toBe(CHECKS)
    }, 60_000)
  }

  const built = bundle({ entry: 'test/hal/espruino/heartbeatEntry.ts', root: ROOT, define: {}, short: true })

  for (const [scenario, what] of [
    ['deep', 'too deep a recursion in a tick'],
    ['memory', 'a tick that eats all memory'],
    ['throw', 'a tick that throws'],
  ]) {
    test(`${what} stops the motor and restarts`, async () => {
      const { output, ended } = await live((await built).code, scenario, 8)
      expect(output).toContain('five ticks')
      expect(output).toContain('motor at rest')
      expect(ended).toBe(true)
    }, 60_000)
  }

  test('a tick that is well goes on', async () => {
    const { output, ended } = await live((await built).code, 'well', 3)
    expect(output).toContain('well')
    expect(output).not.toContain('motor at rest')
    expect(ended).toBe(false)
  }, 60_000)
} else console.info('ESPRUINO is not set: the contract checks and the heartbeat in the interpreter are left out.')

/** Runs the interpreter until it ends, or so many seconds. */
function live(code: string, scenario: string, seconds: number): Promise<{ output: string; ended: boolean }> {
  const folder = mkdtempSync(join(tmpdir(), 'evenbath-live-'))
  writeFileSync(join(folder, 'run.js'), `var scenario="${scenario}";\n${code}\n`)
  return new Promise((resolve, reject) => {
    const child = spawn(INTERPRETER as string, ['run.js'], { cwd: folder, stdio: ['pipe', 'pipe', 'ignore'] })
    let output = ''
    let ended = true
    const late = setTimeout(() => {
      ended = false
      child.kill('SIGKILL')
    }, seconds * 1000)
    child.stdout.setEncoding('latin1').on('data', text => {
      output += text
    })
    child.on('error', reject)
    child.on('close', () => {
      clearTimeout(late)
      rmSync(folder, { recursive: true, force: true })
      resolve({ output, ended })
    })
  })
}
