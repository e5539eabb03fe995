/**
 * The guard on the board's own interpreter, where the variable ESPRUINO names one: slots written through its prompt, its
 * flash in a file of the test's folder. A restart of the board is a new process; the test ends the old one as the watchdog
 * would, where this build of the interpreter has none.
 */
import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { beforeAll, expect, test } from 'vitest'
import { GUARD_FILE, makeSeal, TRAILER_BYTES } from '../../../hal/espruino/guard/slots.ts'
import { pico } from '../../../hal/espruino/wiring/pico.ts'
import { createFakeFlash } from './fakeFlash.ts'
import { createFakeStorage } from './fakeStorage.ts'
import { builtEntry, builtGuard, crcOfText, padded } from './guardBench.ts'

const INTERPRETER = process.env['ESPRUINO']
if (!INTERPRETER) console.info('ESPRUINO is not set: the guard on the interpreter itself is left out.')

let guard = ''
beforeAll(async () => {
  guard = await builtGuard(pico)
})

/** A process of the interpreter and all that it has written so far. */
interface Run {
  output: string
  ended: boolean
  child: ChildProcessWithoutNullStreams
}

function powerOn(folder: string): Run {
  const child = spawn(INTERPRETER ?? '', [], { cwd: folder })
  const run: Run = { output: '', ended: false, child }
  child.stdout.on('data', data => {
    run.output += data.toString('latin1')
  })
  child.stdin.on('error', () => {})
  child.on('exit', () => {
    run.ended = true
  })
  return run
}

async function until(run: Run, what: string | RegExp | 'end', seconds = 40): Promise<void> {
  const isSeen = (): boolean =>
    what === 'end' ? run.ended : typeof what === 'string' ? run.output.includes(what) : what.test(run.output)
  const last = Date.now() + seconds * 1000
  while (!isSeen()) {
    if (Date.now() > last) throw new Error(`not seen: ${what}\n${run.output.slice(-1500)}`)
    await new Promise(done => setTimeout(done, 20))
  }
}

async function powerOff(run: Run): Promise<void> {
  run.child.kill('SIGKILL')
  await until(run, 'end')
}

interface Installed {
  name: string
  text: string
  /** Makes the file a slot. */
  sequence?: number
}

/** This build of the interpreter loses a character of its input now and then, on a busy machine more often: from the start again. */
async function install(folder: string, files: Installed[]): Promise<void> {
  for (let attempt = 0; ; attempt++) {
    const run = powerOn(folder)
    try {
      await writeFiles(run, files)
      return
    } catch (problem) {
      if (attempt === 4) throw problem
    } finally {
      await powerOff(run)
    }
    rmSync(join(folder, 'espruino.flash'), { force: true })
  }
}

/** Writes files through the prompt as an upload does, each line acknowledged. */
async function writeFiles(run: Run, files: Installed[]): Promise<void> {
  await until(run, '>')
  let lines = 0
  const write = async (name: string, text: string, at: number, size: number): Promise<void> => {
    const data = Buffer.from(text, 'latin1').toString('base64')
    const sized = size > 0 ? `,${size}` : ''
    const line = `require("Storage").write("${name}",atob("${data}"),${at}${sized});print("<ok${++lines}>")`
    run.child.stdin.write(`\x10${line}\n`)
    await until(run, `<ok${lines}>`, 8)
  }
  for (const { name, text: firmware, sequence } of files) {
    const text = padded(firmware)
    const size = text.length + (sequence === undefined ? 0 : TRAILER_BYTES)
    for (let at = 0; at < text.length; at += 240) await write(name, text.slice(at, at + 240), at, at === 0 ? size : 0)
    if (sequence !== undefined) await write(name, makeSeal(sequence, text, crcOfText), text.length, 0)
  }
}

const GOOD =
  'print("A runs",guard.slot,guard.good);setTimeout(function(){guard.healthy();print("A is good",guard.good)},500)'

/** A base with a good firmware in one slot and another, newer one in the other. */
async function withBoth(bad: string, story: (folder: string) => Promise<void>): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'guard-'))
  try {
    await install(folder, [
      { name: GUARD_FILE, text: guard },
      { name: 'eb.a', text: GOOD, sequence: 1 },
      { name: 'eb.b', text: bad, sequence: 2 },
    ])
    await story(folder)
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

/** Twice the bad one, ended by `end`; then the good one, marked while it runs, and found marked at the next start. */
async function fallsBack(folder: string, sign: string, end: (run: Run) => Promise<void>): Promise<void> {
  for (let start = 0; start < 2; start++) {
    const run = powerOn(folder)
    await until(run, sign)
    await end(run)
  }
  const good = powerOn(folder)
  await until(good, 'A runs eb.a false')
  await until(good, 'A is good true')
  await powerOff(good)
  const again = powerOn(folder)
  await until(again, 'A runs eb.a true')
  await powerOff(again)
}

const restartsItself = (run: Run): Promise<void> => until(run, 'end')

test('the guard is plain ASCII, as every text in the store has to be', () => {
  expect(padded(guard)).toMatch(/^[\n -~]+$/)
})

if (INTERPRETER) {
  const stories: [string, string, string, (run: Run) => Promise<void>][] = [
    ['throws at once', 'print("B runs");throw new Error("at once")', 'firmware failed: Error: at once', restartsItself],
    ['throws in its first tick', 'setInterval(function(){nobody()},100)', 'firmware failed: ', restartsItself],
    ['loops for ever', 'print("B runs");while(true);', 'B runs', powerOff],
    [
      'eats the memory',
      'var a=[];setTimeout(function(){try{for(;;)a.push([1,2])}finally{guard.healthy()}},100)',
      'OUT OF MEMORY',
      powerOff,
    ],
  ]
  for (const [what, bad, sign, end] of stories) {
    test.concurrent(
      `a firmware that ${what} is tried twice on the interpreter, then the one before starts`,
      () => withBoth(bad, folder => fallsBack(folder, sign, end)),
      120_000,
    )
  }

  test.concurrent(
    'an interrupt in the first seconds leaves the plain prompt of the interpreter',
    () =>
      withBoth(GOOD, async folder => {
        const run = powerOn(folder)
        await until(run, '-> null')
        run.child.stdin.write('\x03')
        await until(run, 'plain prompt')
        await new Promise(done => setTimeout(done, 4000))
        run.child.stdin.write('\x10print("<"+(40+2)+">")\n')
        await until(run, '<42>')
        expect(run.output).not.toContain('A runs')
        await powerOff(run)
      }),
    60_000,
  )

  test.concurrent('a firmware stays in flash on the interpreter: its functions take next to no memory', () => {
    const body = 'x=x*1.0001+Math.sin(x);'.repeat(260)
    const big = `var before=process.memory().usage;function f(x){${body}return x}print("takes",process.memory().usage-before)`
    return withBoth(big, async folder => {
      const run = powerOn(folder)
      await until(run, /takes \d+/)
      // From memory it would be a tenth of its 6,000 bytes.
      expect(Number(/takes (\d+)/.exec(run.output)?.[1])).toBeLessThan(50)
      await powerOff(run)
    })
  }, 60_000)

  test.concurrent('the interpreter reads a store that the fake one left torn, and what it writes after mending is whole to both', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'mend-'))
    const mend = await builtEntry('test/hal/espruino/mendEntry.ts', {})
    for (const steps of [1, 2, 3, 20]) {
      const flash = createFakeFlash(262_144, 1024)
      const storage = createFakeStorage(flash)
      storage.write('mend', mend)
      storage.write('old', 'what was there')
      flash.cutAfterSteps(steps, true)
      expect(() => storage.write('cut', 'x'.repeat(900))).toThrow()
      writeFileSync(join(folder, 'espruino.flash'), flash.bytes)
      const run = powerOn(folder)
      await until(run, '>')
      run.child.stdin.write('\x10eval(require("Storage").read("mend"))\n')
      await until(run, 'mended')
      run.child.stdin.write('\x10var s=require("Storage");s.write("new","what came");s.write("more","and more")\n')
      run.child.stdin.write('\x10print("<"+s.read("old")+s.read("new")+s.read("more")+">")\n')
      await until(run, '<what was therewhat cameand more>')
      await powerOff(run)
      flash.powerOn()
      flash.bytes.set(readFileSync(join(folder, 'espruino.flash')))
      expect([storage.checkAtPowerOn(), storage.read('old'), storage.read('new'), storage.read('more')]).toEqual([
        true,
        'what was there',
        'what came',
        'and more',
      ])
    }
    rmSync(folder, { recursive: true, force: true })
  }, 120_000)
}
