/** The file of a pull: what a base is told to be safe is in it, whatever else happens to that file meanwhile. */
import { spawnSync } from 'node:child_process'
import {
  existsSync,
  linkSync,
  readdirSync,
  readFileSync,
  renameSync,
  symlinkSync,
  truncateSync,
  unlinkSync,
  writeFileSync,
} from 'node:fs'
import { hostname } from 'node:os'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { chooseFile, openChosen } from '../../../sim/field/pullFile.ts'
import {
  createPulledBase,
  gone,
  heldBy,
  journalOf,
  newFolder,
  type PulledBase,
  pullTo,
  recordsOf,
  SERIAL,
  sequences,
  settle,
  write,
} from './pulledBase.ts'

function usedBase(records = 70): PulledBase {
  const base = createPulledBase()
  write(base, records)
  settle(base)
  return base
}

/** Does `what` at the base's request `at`. */
function meanwhile(base: PulledBase, at: number, what: () => void): void {
  base.before = asked => {
    if (asked === at) what()
  }
}

test('of two bases that are pulled into one new file at once only one is told that it is safe, and it is', async () => {
  const path = join(newFolder(), 'a.journal')
  const bases = [usedBase(70), usedBase(40)]
  const ends = await Promise.allSettled(bases.map((base, i) => pullTo(base, path, `base-${i}`)))
  const done = ends.findIndex(end => end.status === 'fulfilled')
  expect(ends.filter(end => end.status === 'fulfilled')).toHaveLength(1)
  expect(readFileSync(path, 'latin1').split('\n')[0]).toContain(`base-${done}`)
  expect(sequences(path).at(-1)).toBe(journalOf(bases[done]!).pulled)
  expect(journalOf(bases[1 - done]!).pulled).toBe(0)
  const again = await pullTo(bases[1 - done]!, path, `base-${1 - done}`)
  expect(again.file).not.toBe(path)
  expect(again.safe).toBe(sequences(again.file).at(-1))
})

test('two pulls of one base into one file at once leave it whole', async () => {
  const path = join(newFolder(), 'a.journal')
  const base = usedBase()
  const held = heldBy(base)
  const ends = await Promise.allSettled([pullTo(base, path), pullTo(base, path)])
  expect(ends.map(end => end.status).sort()).toEqual(['fulfilled', 'rejected'])
  expect(sequences(path)).toEqual(held)
  await pullTo(base, path)
  expect(existsSync(`${path}.lock`)).toBe(false)
})

test('a file that changed since it was chosen is not cut back', () => {
  const path = join(newFolder(), 'a.journal')
  const none = chooseFile(path, SERIAL).chosen
  writeFileSync(path, 'somebody else wrote this')
  expect(() => openChosen(none, SERIAL)).toThrow('has just made it')
  expect(readFileSync(path, 'utf8')).toBe('somebody else wrote this')
  unlinkSync(path)
  openChosen(none, SERIAL).close()
  const empty = chooseFile(path, SERIAL).chosen
  writeFileSync(path, 'more', { flag: 'a' })
  const bytes = readFileSync(path)
  expect(() => openChosen(empty, SERIAL)).toThrow('changed by another program')
  expect(readFileSync(path)).toEqual(bytes)
  expect(existsSync(`${path}.lock`)).toBe(false)
})

test('a file that is removed, renamed or written over in the middle of a pull is not called safe to the base', async () => {
  const meddlings: ((path: string) => void)[] = [
    path => unlinkSync(path),
    path => renameSync(path, `${path}.old`),
    path => {
      // Another file under the same name.
      renameSync(path, `${path}.old`)
      writeFileSync(path, readFileSync(`${path}.old`))
    },
    path => truncateSync(path, 20),
    path => writeFileSync(path, 'x'.repeat(3000)),
    path => writeFileSync(path, ' ', { flag: 'r+' }),
  ]
  for (const meddle of meddlings) {
    const base = usedBase()
    const path = join(newFolder(), 'a.journal')
    meanwhile(base, 15, () => meddle(path))
    await expect(pullTo(base, path)).rejects.toThrow('base was told nothing')
    expect(base.asked).toBeGreaterThan(15)
    expect(journalOf(base).pulled).toBe(0)
    if (existsSync(path)) unlinkSync(path)
    base.before = () => {}
    const { safe } = await pullTo(base, path)
    expect(sequences(path).at(-1)).toBe(safe)
  }
})

test('the lock of a process that has ended is taken over; one that cannot be judged is named, with what to do', async () => {
  const base = usedBase(20)
  const path = join(newFolder(), 'a.journal')
  const lock = `${path}.lock`
  const dead = spawnSync(process.execPath, ['-e', '']).pid
  for (const left of [`${dead} ${hostname()}\n`, `${process.pid} ${hostname()}\n`]) {
    writeFileSync(lock, left)
    await pullTo(base, path)
    expect(readdirSync(join(path, '..'))).toEqual(['a.journal'])
  }
  const bytes = readFileSync(path)
  write(base, 3, 20)
  for (const left of [`${process.ppid} ${hostname()}\n`, '4 another-machine\n', '', 'rubbish']) {
    writeFileSync(lock, left)
    const failed = await pullTo(base, path).catch(thrown => thrown as Error)
    expect((failed as Error).message).toContain(`remove ${lock}`)
    const [, id] = /^(\d+) /.exec(left) ?? []
    if (id !== undefined) expect((failed as Error).message).toContain(`process ${id} on`)
    expect(readFileSync(lock, 'utf8')).toBe(left)
    expect(readFileSync(path)).toEqual(bytes)
  }
})

test('a pull that was broken off leaves no lock', async () => {
  const base = usedBase()
  const path = join(newFolder(), 'a.journal')
  meanwhile(base, 15, () => {
    expect(existsSync(`${path}.lock`)).toBe(true)
    throw gone()
  })
  await expect(pullTo(base, path)).rejects.toMatchObject({ trouble: 'pulled' })
  expect(readdirSync(join(path, '..'))).toEqual(['a.journal'])
})

test('a file under two names has one lock where the names are links, and none of it is lost where they are not', async () => {
  const folder = newFolder()
  const path = join(folder, 'a.journal')
  const base = usedBase()
  await pullTo(base, path)
  write(base, 20, 70)
  symlinkSync(path, join(folder, 'soft.journal'))
  linkSync(path, join(folder, 'hard.journal'))
  for (const other of ['soft.journal', 'hard.journal']) {
    write(base, 10, 200)
    await Promise.allSettled([pullTo(base, path), pullTo(base, join(folder, other))])
    expect(sequences(path)).toContain(journalOf(base).pulled)
    const all = sequences(path)
    expect(all).toEqual([...new Set(all)].sort((a, b) => a - b))
  }
})

test('a file with the next number that belongs to another base, or is no journal, is passed by', async () => {
  const folder = newFolder()
  const path = join(folder, 'a.journal')
  const second = join(folder, 'a-2.journal')
  const third = join(folder, 'a-3.journal')
  const base = usedBase(20)
  await pullTo(base, path)
  await pullTo(usedBase(30), second, 'other')
  writeFileSync(third, 'notes')
  const before = [readFileSync(second), readFileSync(third)]
  write(base, 5, 20)
  expect(await pullTo(base, path)).toMatchObject({ file: path, instead: undefined })
  expect(recordsOf(path).length).toBe(heldBy(base).length - 1)
  // Begun anew: the next free number, and gone on with there.
  const anew = createPulledBase()
  write(anew, 10, 1000)
  const fourth = join(folder, 'a-4.journal')
  expect((await pullTo(anew, path)).file).toBe(fourth)
  write(anew, 3, 1010)
  expect(await pullTo(anew, path)).toMatchObject({ file: fourth, instead: undefined })
  expect([readFileSync(second), readFileSync(third)]).toEqual(before)
})

test('a link that leads nowhere, and a file too large to be a journal, are said with what to do', async () => {
  const folder = newFolder()
  const base = usedBase(10)
  symlinkSync(join(folder, 'nowhere'), join(folder, 'link.journal'))
  await expect(pullTo(base, join(folder, 'link.journal'))).rejects.toThrow(/link that leads nowhere; remove it/)
  const large = join(folder, 'large.journal')
  writeFileSync(large, '')
  truncateSync(large, 700e6)
  await expect(pullTo(base, large)).rejects.toThrow(/700 MB; allowed: up to 200 MB/)
})
