/**
 * Uploads to the board's own interpreter, where the variable ESPRUINO names one: the real guard, its file store, its
 * prompt with all that it adds to the stream.
 */
import { afterAll, beforeAll, expect, test } from 'vitest'
import { pico } from '../../../hal/espruino/wiring/pico.ts'
import type { BundleText } from '../../../sim/link/bundles.ts'
import { openLink } from '../../../sim/link/link.ts'
import { LinkError } from '../../../sim/link/messages.ts'
import { crcOf } from '../../../sim/link/prompt.ts'
import { talkCommand } from '../../../sim/link/talkCommand.ts'
import { type UploadReport, type UploadStep, upload } from '../../../sim/link/upload.ts'
import { WAITS } from '../../../sim/link/waits.ts'
import { builtGuard, padded } from '../../hal/espruino/guardBench.ts'
import { type InterpreterPort, openInterpreter } from './interpreterPort.ts'
import { needSocat } from './portPair.ts'
import { smallFirmware } from './programs.ts'

const INTERPRETER = process.env['ESPRUINO']

if (INTERPRETER) {
  let guard: BundleText
  const ports: InterpreterPort[] = []
  beforeAll(async () => {
    needSocat()
    const text = padded(await builtGuard(pico))
    guard = { text, crc32: crcOf(text), kind: 'guard', wiring: 'pico', version: '1' }
  })
  afterAll(async () => {
    for (const port of ports) await port.close()
  })

  const powerOn = async (): Promise<InterpreterPort> => {
    const port = await openInterpreter(INTERPRETER)
    ports.push(port)
    return port
  }
  const uploadTo = async (
    path: string,
    bundle: BundleText,
    report: (step: UploadStep) => void = () => {},
  ): Promise<UploadReport | LinkError> => {
    const link = await openLink(path)
    try {
      const choose = () => ({ bundle, guard, slots: 2 })
      const waits = { ...WAITS, healthySeconds: 20, pollSeconds: 1 }
      return await upload(link, { choose, await: true, waits, report, reopen: () => openLink(path) })
    } catch (thrown) {
      if (thrown instanceof LinkError) return thrown
      throw thrown
    } finally {
      await link.close()
    }
  }

  test.concurrent('guard and firmware go onto a blank interpreter, start through the guard and become healthy', async () => {
    const { path } = await powerOn()
    const first = await uploadTo(path, smallFirmware('1', 45_000, 1000))
    expect(first).toMatchObject({ end: 'healthy', slot: 'eb.a', guardWritten: true, runs: '1' })
    const again = await uploadTo(path, smallFirmware('1', 45_000, 1000))
    expect(again).toMatchObject({ end: 'healthy', sentBytes: 0 })
    const second = await uploadTo(path, smallFirmware('2', 4000, 1000))
    expect(second).toMatchObject({ end: 'healthy', slot: 'eb.b', guardWritten: false, runs: '2' })
    const out: string[] = []
    expect(
      await talkCommand(
        'describe',
        undefined,
        { port: path, json: true },
        line => out.push(line),
        () => {},
      ),
    ).toBe(0)
    expect(JSON.parse(out.join(''))).toMatchObject({ version: '2', slot: 'eb.b', good: true })
    await talkCommand(
      'session.start',
      undefined,
      { port: path },
      () => {},
      () => {},
    )
    expect(await uploadTo(path, smallFirmware('3', 4000, 1000))).toMatchObject({ trouble: 'sessionRuns' })
  }, 120_000)

  test.concurrent('the power cut in mid-upload: what was there starts, and a second try goes on', async () => {
    const port = await powerOn()
    await uploadTo(port.path, smallFirmware('1', 3000, 500))
    let cut = false
    const broken = await uploadTo(port.path, smallFirmware('2', 6000, 500), step => {
      if (step.step === 'writing' && step.doneBytes > 3000 && !cut) {
        cut = true
        port.cutPower()
      }
    })
    expect(broken).toMatchObject({ trouble: 'boardLost' })
    await new Promise(resolve => setTimeout(resolve, 4000))
    const out: string[] = []
    expect(
      await talkCommand(
        'describe',
        undefined,
        { port: port.path, json: true },
        line => out.push(line),
        () => {},
      ),
    ).toBe(0)
    expect(JSON.parse(out.join(''))).toMatchObject({ version: '1', slot: 'eb.a', good: true })
    const again = await uploadTo(port.path, smallFirmware('2', 6000, 500))
    expect(again).toMatchObject({ end: 'healthy', slot: 'eb.b', runs: '2' })
    expect((again as UploadReport).keptBytes).toBeGreaterThan(2000)
  }, 120_000)

  test.concurrent('a firmware that throws at once is left for the one before, and that is said', async () => {
    const { path } = await powerOn()
    await uploadTo(path, smallFirmware('1', 3000, 500))
    const text = padded('//evenbath 2 pico firmware\nthrow new Error("at once")\n')
    const bad = await uploadTo(path, { ...smallFirmware('2'), text, crc32: crcOf(text) })
    expect(bad).toMatchObject({ end: 'fellBack', runs: '1' })
  }, 120_000)
} else {
  console.info('ESPRUINO is not set: uploads to the interpreter itself are left out.')
  test('the small programs of these tests fit a line of the prompt and a slot', () => {
    expect(smallFirmware('1', 45_000).text.length % 4).toBe(0)
  })
}
