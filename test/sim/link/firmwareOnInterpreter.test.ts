/**
 * The firmware as it is built, on the board's own interpreter where the variable ESPRUINO names one: uploaded through its
 * prompt, started by the guard, healthy after a minute, and answering there and in a session; then the rehearsal likewise.
 */
import { mkdtempSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { KIND } from '../../../firmware/journal/record.ts'
import { buildAll } from '../../../hal/espruino/build/build.ts'
import { BUNDLES } from '../../../hal/espruino/build/bundles.ts'
import { readJournalFile } from '../../../sim/field/journalFile.ts'
import { pullCommand } from '../../../sim/field/pullCommand.ts'
import type { BundleText } from '../../../sim/link/bundles.ts'
import { type Link, openLink } from '../../../sim/link/link.ts'
import { crcOf } from '../../../sim/link/prompt.ts'
import { remoteOver } from '../../../sim/link/remote.ts'
import { upload } from '../../../sim/link/upload.ts'
import { WAITS } from '../../../sim/link/waits.ts'
import { padded } from '../../hal/espruino/guardBench.ts'
import { type InterpreterPort, openInterpreter } from './interpreterPort.ts'
import { LAPTOP_PARTS } from './laptopParts.ts'
import { needSocat } from './portPair.ts'

const INTERPRETER = process.env['ESPRUINO']
const MINUTES = 60_000

if (INTERPRETER) {
  const bundles: { [name: string]: BundleText } = {}
  let port: InterpreterPort
  beforeAll(async () => {
    needSocat()
    const rows = BUNDLES.filter(row => /^(guard-|rehearsal-)?pico$/.test(row.name))
    for (const { row, code } of await buildAll(rows)) {
      const text = row.kind === 'guard' ? code : padded(LAPTOP_PARTS + code)
      bundles[row.kind] = { text, crc32: crcOf(text), kind: row.kind, wiring: 'pico', version: '1' }
    }
    port = await openInterpreter(INTERPRETER)
  }, 5 * MINUTES)
  afterAll(() => port.close())

  const put = async (kind: 'firmware' | 'rehearsal') => {
    const link = await openLink(port.path)
    try {
      const choose = () => ({ bundle: bundles[kind] as BundleText, guard: bundles['guard'] as BundleText, slots: 2 })
      return await upload(link, {
        choose,
        await: true,
        waits: WAITS,
        report: () => {},
        reopen: () => openLink(port.path),
      })
    } finally {
      await link.close()
    }
  }
  const withLink = async <T>(use: (link: Link) => Promise<T>): Promise<T> => {
    const link = await openLink(port.path)
    try {
      return await use(link)
    } finally {
      await link.close()
    }
  }

  test(
    'the firmware is uploaded, proves itself in its first minute, and answers',
    async () => {
      expect(await put('firmware')).toMatchObject({ end: 'healthy', slot: 'eb.a', guardWritten: true })
      await withLink(async link => {
        const { request } = remoteOver(link, WAITS)
        expect(await request('describe')).toMatchObject({ base: 'evenbath', wiring: 'pico', slot: 'eb.a', good: true })
        expect(await request('status')).toMatchObject({ state: 'planned', recipe: 'colour-negative', mishaps: 0 })
        expect(await request('recipe.list')).toMatchObject({
          shipped: ['colour-negative', 'colour-reversal', 'bw-negative'],
        })
        const { recipe } = (await request('recipe.get', { name: 'bw-negative' })) as { recipe: { name: string } }
        const mine = { ...recipe, name: 'my-negative' }
        const { version } = (await request('describe')) as { version: string }
        expect(await request('recipe.put', { recipe: mine, checkedBy: version }, 30)).toMatchObject({
          name: 'my-negative',
        })
        expect(await request('session.start', { recipe: 'my-negative', millilitres: 300, films: 1 })).toMatchObject({
          waitsFor: 'advance',
        })
        await expect(request('session.advance')).rejects.toThrow(/advance/i)
        await expect(request('tea')).rejects.toThrow()
        expect(await request('status')).toMatchObject({ recipe: 'my-negative', mishaps: 0 })
      })
    },
    6 * MINUTES,
  )

  test(
    'what was put and planned outlives a power cut',
    async () => {
      port.cutPower()
      await new Promise(resolve => setTimeout(resolve, 8000))
      await withLink(async link => {
        const { request } = remoteOver(link, WAITS)
        expect(await request('status')).toMatchObject({ recipe: 'my-negative', state: 'planned' })
        expect(await request('recipe.list')).toMatchObject({ put: ['my-negative'] })
      })
    },
    MINUTES,
  )

  test(
    'its journal is pulled: a start for each time the power came, and nothing twice',
    async () => {
      const folder = mkdtempSync(join(tmpdir(), 'evenbath-pull-'))
      const words: string[] = []
      const pull = async (): Promise<{ file: string; safe: number }> => {
        const out: string[] = []
        const options = { port: port.path, to: folder, json: true }
        const say = (line: string): void => void words.push(line)
        expect(await pullCommand(options, line => void out.push(line), say), words.join()).toBe(0)
        return JSON.parse(out.join(''))
      }
      const first = await pull()
      const { records } = readJournalFile(first.file)
      expect(records.filter(record => record.kind === KIND.started).length).toBeGreaterThanOrEqual(2)
      expect(first.safe).toBe(records.length)
      const second = await pull()
      expect(second.file).toBe(first.file)
      expect(readJournalFile(first.file).records.map(record => record.kind)).toEqual([
        ...records.map(record => record.kind),
        KIND.pulled,
      ])
    },
    2 * MINUTES,
  )

  test(
    'the rehearsal takes the other slot, proves itself, and runs a session on the simulated bath when asked',
    async () => {
      expect(await put('rehearsal')).toMatchObject({ end: 'healthy', slot: 'eb.b', guardWritten: false })
      await withLink(async link => {
        const { request } = remoteOver(link, WAITS)
        expect(await request('describe')).toMatchObject({ kind: 'rehearsal', slot: 'eb.b', good: true })
        await request('rehearse', {})
        await new Promise(resolve => setTimeout(resolve, 20_000))
        const status = (await request('status')) as { state: string; mishaps: number }
        expect(status.mishaps).toBe(0)
        expect(status.state).not.toBe('planned')
      })
    },
    6 * MINUTES,
  )
} else {
  console.info('ESPRUINO is not set: the whole firmware on the interpreter itself is left out.')
  test('the wiring that would be uploaded is in the table', () => {
    expect(BUNDLES.map(row => row.name)).toEqual(expect.arrayContaining(['guard-pico', 'pico', 'rehearsal-pico']))
  })
}
