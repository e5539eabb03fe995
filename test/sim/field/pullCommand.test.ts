/** The command over a real pseudo-terminal, against the firmware's own console: what it brings, and what it says. */
import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { basename, join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { pullCommand } from '../../../sim/field/pullCommand.ts'
import { wantedPath } from '../../../sim/field/pullFile.ts'
import type { Waits } from '../../../sim/link/waits.ts'
import { call, createRig, OPTIONS, toTurning } from '../../firmware/console/rig.ts'
import { needSocat } from '../link/portPair.ts'
import { QUICK } from '../link/quick.ts'
import { openRigPort, type RigPort } from '../link/rigPort.ts'
import type { LineFaults } from '../link/scriptedBoard.ts'
import {
  createPulledBase,
  heldBy,
  journalOf,
  newFolder,
  type PulledBase,
  SERIAL,
  sequences,
  settle,
  write,
} from './pulledBase.ts'

const ports: RigPort[] = []

beforeAll(needSocat)
afterAll(async () => {
  for (const port of ports) await port.close()
})

async function portOf(base: PulledBase, faults?: LineFaults): Promise<RigPort> {
  const port = await openRigPort(base.rig, faults)
  ports.push(port)
  return port
}

async function baseOnPort(records: number): Promise<{ base: PulledBase; port: RigPort }> {
  const base = createPulledBase()
  write(base, records)
  settle(base)
  return { base, port: await portOf(base) }
}

interface Said {
  code: number
  words: string
  json: Record<string, unknown>
}

async function pullFrom(port: string, to: string, waits: Waits = QUICK): Promise<Said> {
  const out: string[] = []
  const words: string[] = []
  const say = (line: string): void => void words.push(line)
  const code = await pullCommand({ port, to, json: true }, line => void out.push(line), say, waits)
  return { code, words: words.join('\n'), json: JSON.parse(out.join('\n')) }
}

test('a pull brings all that the base has into a file that is called after it, and says what to do with it', async () => {
  const base = createPulledBase()
  toTurning(base.rig)
  call(base.rig, 'session.abandon', { confirm: true })
  write(base, 60)
  settle(base)
  const port = await portOf(base)
  const folder = newFolder()
  const held = heldBy(base)
  const { code, words, json } = await pullFrom(port.path, folder)
  const path = join(folder, `${SERIAL}.journal`)
  expect(code).toBe(0)
  expect(sequences(path)).toEqual(held)
  expect(json).toMatchObject({
    serial: SERIAL,
    file: path,
    records: { new: held.length, total: held.length },
    safe: held.at(-1),
  })
  expect(words).toContain(
    `${held.length} new records, 1 new session: ${path} now has ${held.length} records of 1 session.`,
  )
  expect(words).toContain(`npm start --silent -- replay ${path}`)
  expect(journalOf(base).pulled).toBe(held.at(-1))
  expect((await pullFrom(port.path, folder)).words).toContain('1 new record, 0 new sessions')
  expect((await pullFrom(port.path, folder)).words).toContain(`Nothing new on base ${SERIAL}`)
}, 30_000)

test('with the cable pulled at many places the next pulls end with every record', async () => {
  const base = createPulledBase()
  write(base, 40)
  settle(base)
  const path = join(newFolder(), 'a.journal')
  const held = heldBy(base)
  for (const bytes of [30, 300, 600, 900, 800, 700]) {
    const port = await portOf(base)
    port.pullAfterBytes = bytes
    await expect(pullFrom(port.path, path)).rejects.toMatchObject({ trouble: 'pulled' })
    await port.close()
    expect(journalOf(base).pulled).toBe(0)
  }
  await pullFrom((await portOf(base)).path, path)
  expect(sequences(path)).toEqual(held)
}, 30_000)

test('over a line that drops and garbles bytes the same file comes, if need be in several pulls', async () => {
  const base = createPulledBase()
  write(base, 40)
  settle(base)
  const port = await portOf(base, { seed: 3, dropped: 0.0005, garbled: 0.0005, delayedMilliseconds: 0 })
  const path = join(newFolder(), 'a.journal')
  const held = heldBy(base)
  let done = false
  for (let runs = 0; runs < 8 && !done; runs++) {
    done = await pullFrom(port.path, path).then(
      () => true,
      thrown => {
        if (thrown.trouble === undefined) throw thrown
        return false
      },
    )
  }
  expect(done).toBe(true)
  expect(sequences(path).slice(0, held.length)).toEqual(held)
  expect(readdirSync(join(path, '..'))).toEqual(['a.journal'])
}, 60_000)

test('in a session the pull is refused with the reason, and the session goes on', async () => {
  const base = createPulledBase()
  toTurning(base.rig)
  const port = await portOf(base)
  const path = join(newFolder(), 'a.journal')
  const refused = pullFrom(port.path, path)
  await expect(refused).rejects.toMatchObject({ trouble: 'sessionRuns' })
  await expect(refused).rejects.toThrow(/prewet, turning.*\n.*then pull/)
  expect(existsSync(path)).toBe(false)
  expect(base.rig.base.session.state).toBe('turning')
})

test('a session that begins in the middle ends the pull in words, and what came is kept', async () => {
  const { base, port } = await baseOnPort(60)
  const path = join(newFolder(), 'a.journal')
  const pulling = pullFrom(port.path, path)
  while (!existsSync(path) || readFileSync(path).length < 500) await new Promise(resolve => setTimeout(resolve, 5))
  toTurning(base.rig)
  await expect(pulling).rejects.toMatchObject({ trouble: 'sessionRuns' })
  const came = sequences(path)
  expect(came.length).toBeGreaterThan(5)
  expect(came).toEqual(heldBy(base).slice(0, came.length))
}, 30_000)

test('a base that has no journal to give is told apart: a rehearsal, and a board without room for one', async () => {
  const rehearsal = createPulledBase()
  rehearsal.rig = createRig(undefined, { identity: { ...OPTIONS.identity, kind: 'rehearsal' } })
  const none = createPulledBase()
  none.rig.base.keeper = undefined
  const path = join(newFolder(), 'a.journal')
  await expect(pullFrom((await portOf(rehearsal)).path, path)).rejects.toMatchObject({ trouble: 'noJournal' })
  const words: string[] = []
  const code = await pullCommand(
    { port: (await portOf(none)).path, to: path },
    () => {},
    line => words.push(line),
    QUICK,
  )
  expect([code, words]).toEqual([2, ['pull: refused: No journal']])
  expect(existsSync(path)).toBe(false)
})

test('a silent board, no port and a port that is not there are said as everywhere', async () => {
  const words = (): void => {}
  await expect(pullCommand({}, words, words, QUICK)).rejects.toMatchObject({ trouble: 'noPort' })
  const nowhere = pullCommand({ port: '/dev/ttyNowhere' }, words, words, QUICK)
  await expect(nowhere).rejects.toMatchObject({ trouble: 'noSuchPort' })
  const port = await portOf(createPulledBase(), { seed: 1, dropped: 1, garbled: 0, delayedMilliseconds: 0 })
  await expect(pullFrom(port.path, newFolder())).rejects.toMatchObject({ trouble: 'silent' })
}, 30_000)

test('a base is called in a file name by what its serial has in letters that every system takes', () => {
  expect(wantedPath(undefined, 'e6:61/4c')).toBe('e6_61_4c.journal')
  expect(wantedPath('evening.journal', 'x')).toBe('evening.journal')
  expect(wantedPath('there/', 'x')).toBe(join('there', 'x.journal'))
  const folder = newFolder()
  expect(basename(wantedPath(folder, 'x'))).toBe('x.journal')
})
