/** The laptop's side against the firmware's own console, over a real pseudo-terminal with a prompt's noise on it. */
import { mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { openLink } from '../../../sim/link/link.ts'
import { type Remote, remoteOver } from '../../../sim/link/remote.ts'
import { talkCommand } from '../../../sim/link/talkCommand.ts'
import { upload } from '../../../sim/link/upload.ts'
import { watchCommand } from '../../../sim/link/watchCommand.ts'
import { createRig, type Rig, toTurning } from '../../firmware/console/rig.ts'
import { needSocat } from './portPair.ts'
import { smallFirmware, smallGuard } from './programs.ts'
import { QUICK } from './quick.ts'
import { openRigPort, type RigPort } from './rigPort.ts'

let pair: RigPort
let rig: Rig

beforeAll(async () => {
  needSocat()
  rig = createRig()
  pair = await openRigPort(rig)
})
afterAll(() => pair?.close())

async function withRemote<T>(work: (remote: Remote) => Promise<T>): Promise<T> {
  const link = await openLink(pair.path)
  try {
    return await work(remoteOver(link, QUICK))
  } finally {
    await link.close()
  }
}

test('a recipe file goes over in one command and comes back the same; a wrong one is refused with its line', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'evenbath-recipe-'))
  const file = join(folder, 'mine.json')
  const recipe = {
    name: 'mine',
    title: 'Mine',
    note: 'from memory, '.repeat(14),
    pour: { fillSeconds: 8, drainSeconds: 10 },
    baths: Array.from({ length: 7 }, (_, i) => ({
      name: `bath-${i}`,
      kind: 'timed',
      seconds: 60,
      note: `bath ${i} `.repeat(18),
      agitation: 'even',
    })),
    agitations: { even: { rpm: 45, legTurns: 2, restSeconds: 0.5, rampSeconds: 0.6, stagger: true } },
  }
  writeFileSync(file, JSON.stringify(recipe, null, 2))
  const words: string[] = []
  const port = pair.path
  const say = (line: string): number => words.push(line)
  const code = await talkCommand('recipe.put', `@${file}`, { port }, () => {}, say, QUICK)
  expect(words.join('\n')).toBe('')
  expect(code).toBe(0)
  const back = await withRemote(remote => remote.request('recipe.get', { name: 'mine' }, 2))
  expect(back).toEqual({ recipe })
  const more = recipe.baths.flatMap((bath, i) => [bath, { ...bath, name: `more-${i}`, source: 'a book, '.repeat(24) }])
  const long = { ...recipe, baths: more }
  writeFileSync(file, JSON.stringify(long))
  const tooLong = talkCommand(
    'recipe.put',
    `@${file}`,
    { port },
    () => {},
    () => {},
    QUICK,
  )
  await expect(tooLong).rejects.toMatchObject({ trouble: 'tooLong' })
  writeFileSync(file, JSON.stringify(recipe, null, 2).replace('"timed"', '"tmied"'))
  const wrong = talkCommand(
    'recipe.put',
    `@${file}`,
    { port },
    () => {},
    () => {},
    QUICK,
  )
  await expect(wrong).rejects.toMatchObject({ trouble: 'badRecipe' })
  writeFileSync(file, JSON.stringify(recipe, null, 2).replace('"mine",', '"mine"'))
  const broken = talkCommand(
    'recipe.put',
    `@${file}`,
    { port },
    () => {},
    () => {},
    QUICK,
  )
  await expect(broken).rejects.toMatchObject({ trouble: 'badRecipe', message: expect.stringContaining(':3') })
})

test('what the base refuses comes in words, with what it allows', async () => {
  const words: string[] = []
  const code = await talkCommand(
    'motor.turn',
    '{"rpm":500,"seconds":5}',
    { port: pair.path },
    () => {},
    line => words.push(line),
    QUICK,
  )
  expect(code).toBe(2)
  expect(words.join('\n')).toMatch(/rpm.*500.*allowed.*5 to 120/s)
  expect(
    await talkCommand(
      'tea',
      undefined,
      { port: pair.path },
      () => {},
      () => {},
      QUICK,
    ),
  ).toBe(2)
})

test('watch shows a session from its start to the bath, an upload is refused in it, and the prompt is back after it', async () => {
  const out: string[] = []
  let stop: () => void = () => {}
  const stopped = new Promise<void>(resolve => {
    stop = resolve
  })
  const watching = watchCommand(
    { port: pair.path },
    line => out.push(line),
    () => {},
    QUICK,
    stopped,
  )
  await new Promise(resolve => setTimeout(resolve, 300))
  toTurning(rig)
  await new Promise(resolve => setTimeout(resolve, 300))
  stop()
  expect(await watching).toBe(0)
  expect(out[0]).toMatch(/planned/)
  expect(out.at(-1)).toMatch(/^prewet \(1 of 7\): turning.* pour out in .* rpm, charge/)

  const link = await openLink(pair.path)
  const choose = () => ({ bundle: smallFirmware('2'), guard: smallGuard(), slots: 2 })
  const options = { choose, await: true, waits: QUICK, report: () => {}, reopen: () => openLink(pair.path) }
  await expect(upload(link, options)).rejects.toMatchObject({ trouble: 'sessionRuns' })
  await link.close()

  await withRemote(async remote => {
    expect(await remote.request('session.abandon', { confirm: true })).toMatchObject({ taken: true })
    expect(remote.way()).toBe('raw')
    await new Promise(resolve => setTimeout(resolve, 100))
    expect(await remote.question('status')).toMatchObject({ state: 'abandoned' })
    expect(remote.way()).toBe('prompt')
  })
})
