/** The `replay` command: what a file is, which session is meant, and what is said when it cannot be carried out. */
import { mkdtempSync, readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, test } from 'vitest'
import { claimedBytes, KIND } from '../../../firmware/journal/record.ts'
import { planSession } from '../../../firmware/planning.ts'
import { InputError } from '../../../sim/bench/inputError.ts'
import { type ReplayOptions, replayCommand } from '../../../sim/bench/replayCommand.ts'
import { crc32 } from '../../../sim/crc32.ts'
import { firstLine, type SavedRecord } from '../../../sim/field/journalFile.ts'
import { journalBytes, largeFlash, record, recordsOf } from './recording.ts'
import { developerAndStop, withDeveloper } from './replayRecipes.ts'

const folder = mkdtempSync(join(tmpdir(), 'replay-'))
afterAll(() => rmSync(folder, { recursive: true }))

const SAID = { recipe: developerAndStop, seed: 5, millilitres: [300, 300], pourCelsius: [26, 20] }
const flash = largeFlash()
// Two sessions of one base, one after the other.
record({ said: SAID, flash, wallSeconds: 1_764_000_000 })
const records = recordsOf(record({ said: { ...SAID, seed: 6 }, flash, wallSeconds: 1_764_087_120 }))

function save(name: string, content: Uint8Array | string): string {
  const path = join(folder, name)
  writeFileSync(path, content)
  return path
}

const journal = save('two.journal', journalBytes(records))
const recipe = save('recipe.json', JSON.stringify(developerAndStop))
const pushed = save('pushed.json', JSON.stringify(withDeveloper({ timeFactor: 1.2 })))

interface Said {
  code: number
  out: string
  words: string
}

function run(path: string, options: ReplayOptions): Said {
  const said: Said = { code: 0, out: '', words: '' }
  said.code = replayCommand(
    path,
    options,
    text => {
      said.out += `${text}\n`
    },
    text => {
      said.words += `${text}\n`
    },
  )
  return said
}

function refused(path: string, options: ReplayOptions): string {
  try {
    run(path, options)
  } catch (thrown) {
    if (thrown instanceof InputError) return thrown.problems.join('\n')
    throw thrown
  }
  throw new Error('it was not refused')
}

test('the newest session is taken, or the one that is asked for', () => {
  expect(run(journal, { recipe }).out).toMatch(/^Session 2 of base test-base, begun 2025-11-25 16:1\d UTC\n/)
  expect(run(journal, { recipe, session: 1 }).out).toMatch(
    /^Session 1 of base test-base, begun 2025-11-24 16:0\d UTC\n/,
  )
})

test('the same file gives the same bytes, and stays as it was', () => {
  const before = readFileSync(journal)
  const first = run(journal, { recipe, json: true })
  expect(run(journal, { recipe, json: true }).out).toBe(first.out)
  expect(readFileSync(journal).equals(before)).toBe(true)
  expect(JSON.parse(first.out)).toMatchObject({ kind: 'journal', serial: 'test-base', same: true, differences: [] })
})

test('in words it fits 80 columns and says within what it is the same', () => {
  const { out } = run(journal, { recipe })
  for (const line of out.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80)
  expect(out).toContain("Today's firmware acts the same.")
  expect(out).toMatch(/"Same" is within 0\.5 s by time; \d\.\d s and 0\.\d % counted in developer/)
})

test('what is different ends with 0, and with 3 when that was asked for', () => {
  const different = run(journal, { recipe: pushed })
  expect(different.code).toBe(0)
  expect(different.out).toMatch(/- developer: pour-out called \d+ s later \(recorded \d:\d\d, today \d:\d\d/)
  expect(run(journal, { recipe: pushed, strict: true }).code).toBe(3)
  expect(run(journal, { recipe, strict: true }).code).toBe(0)
})

test('the sessions are listed, with what is left of each', () => {
  const begun = records.findIndex(one => one.kind === KIND.sessionBegun)
  const second = records.findIndex((one, i) => one.kind === KIND.sessionBegun && i > begun)
  const kept = records.filter((one, i) => i >= second || one.kind === KIND.summary)
  const path = save('kept.journal', journalBytes(kept))
  const { out } = run(path, { list: true })
  for (const line of out.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80)
  expect(out).toMatch(/ 1 {2}2025-11-24 16:0\d {2}developer-and-stop +\d+ +2 +\d\.\d % +0 +0\n/)
  expect(out).toMatch(/Session 1: only its summary is left/)
  const list = JSON.parse(run(path, { list: true, json: true }).out)
  expect(list.sessions).toMatchObject([
    { number: 1, details: false },
    { number: 2, details: true, whole: true },
  ])
  expect(refused(path, { recipe, session: 1 })).toMatch(/--session 1: only its summary is left .*with their details: 2/)
  expect(run(path, { recipe }).out).toMatch(/^Session 2/)
})

test('a session that is not there is refused with those that are', () => {
  expect(refused(journal, { recipe, session: 7 })).toMatch(/^--session 7: not in .*; allowed: 1, 2$/)
})

test('summaries alone are refused, and so is a journal without a session', () => {
  const summaries = save('old.journal', journalBytes(records.filter(one => one.kind === KIND.summary)))
  expect(refused(summaries, { recipe })).toMatch(/no session in it has its details.*pull soon after a session/)
  const none = save('none.journal', journalBytes(records.filter(one => one.kind === KIND.started)))
  expect(refused(none, { recipe })).toMatch(/no session in this journal/)
})

test('a recipe that does not ship has to be given', () => {
  expect(refused(journal, {})).toMatch(
    /the recipe "developer-and-stop", which is none of those that ship; .*--recipe FILE/,
  )
})

test('another recipe is said to be another', () => {
  const { words } = run(journal, { recipe: 'bw-negative' })
  expect(words).toMatch(/its name is bw-negative; the session was of developer-and-stop/)
  expect(words).toMatch(/it has 7 baths, the session had 2/)
})

test('a damaged journal is refused where it is damaged; a torn end is not', () => {
  const bytes = journalBytes(records)
  const damaged = Uint8Array.from(bytes)
  damaged[2000] = (damaged[2000] as number) ^ 1
  expect(refused(save('damaged.journal', damaged), { recipe })).toMatch(/damaged at byte \d+/)
  const torn = save('torn.journal', bytes.slice(0, bytes.length - 3000))
  const { out } = run(torn, { recipe })
  expect(out).toMatch(/the record is not whole: nothing after \d:\d\d/)
})

test('a file that is neither a journal nor a trace is refused as both', () => {
  const words = refused(save('odd.txt', 'hello\n'), {})
  expect(words).toMatch(/neither a journal nor a temperature trace; allowed: a file that pull has written, or a CSV/)
  expect(refused(join(folder, 'nowhere'), {})).toMatch(/no such file/)
})

test('a trace is known by its header, and its bad rows are named', () => {
  const trace = save('t.csv', '\uFEFFseconds,bathCelsius\n0,24\n600,22\n')
  const said = run(trace, { recipe, json: true, strict: true })
  expect(said.code).toBe(0)
  expect(JSON.parse(said.out)).toMatchObject({ kind: 'trace', same: true, finished: true })
  expect(refused(save('bad.csv', 'seconds,bathCelsius\n0,24\n0,99\n'), { recipe })).toMatch(/bad.csv:3: seconds is 0/)
})

test('a trace as spreadsheets of many countries save it is refused with what to do', () => {
  const rows = 'seconds;bathCelsius\r\n0;38,2\r\n600;37,5\r\n'
  expect(refused(save('semicolon.csv', rows), { recipe })).toMatch(
    /semicolon.csv:1: the columns are separated by ";"; allowed: commas between the columns, and points in the numbers/,
  )
  expect(refused(save('tab.csv', rows.replaceAll(';', '\t')), { recipe })).toMatch(/separated by tabs; allowed: commas/)
  for (const text of ['\uFEFFseconds,bathCelsius\n0,38\n', 'seconds,bathCelsius\n0,38\n']) {
    const little = Buffer.from(text, 'utf16le')
    const words = /: its text is UTF-16; allowed: UTF-8 \(save it as "CSV UTF-8"\)/
    expect(refused(save('little.csv', little), { recipe })).toMatch(words)
    expect(refused(save('big.csv', Buffer.from(little).swap16()), { recipe })).toMatch(words)
  }
})

test('a file too large to be either is refused before it is read', () => {
  const path = save('film.mov', '')
  truncateSync(path, 700e6)
  expect(refused(path, {})).toMatch(/film.mov: 700 MB; allowed: up to 200 MB/)
})

test('records of another version are told, and a journal of them alone has no session', () => {
  const bytes = Uint8Array.from(journalBytes(records))
  let at = firstLine('test-base').length
  while (at < bytes.length) {
    const end = at + claimedBytes(bytes.subarray(at)) - 4
    bytes[at + 1] = 9
    new DataView(bytes.buffer).setUint32(end, crc32(bytes.subarray(at, end)), true)
    at = end + 4
  }
  const path = save('version9.journal', bytes)
  expect(refused(path, { recipe })).toMatch(/no session in this journal/)
  expect(run(path, { list: true }).words).toContain(
    `${records.length} of its ${records.length} records are of another version than 1 and are left out`,
  )
})

test('figures that cannot be are never printed, and nothing fails inside', () => {
  const spoilt = (which: SavedRecord, at: number, value: number): SavedRecord[] =>
    records.map(one => {
      if (one !== which) return one
      const payload = one.payload.slice()
      new DataView(payload.buffer).setFloat32(at, value, true)
      return { ...one, payload }
    })
  const ofKind = (kind: number): SavedRecord[] => records.filter(one => one.kind === kind)
  const events = ofKind(KIND.event).slice(-11)
  const targets: [SavedRecord, number][] = [
    ...events.map((one): [SavedRecord, number] => [one, 8]),
    ...[8, 12, 20, 24, 32, 36, 40].map((at): [SavedRecord, number] => [ofKind(KIND.checkpoint).at(-8)!, at]),
    ...[12, 16, 20].map((at): [SavedRecord, number] => [ofKind(KIND.summary).at(-1)!, at]),
    [ofKind(KIND.sessionBegun).at(-1)!, 8],
  ]
  for (const [which, at] of targets) {
    for (const value of [NaN, -Infinity, 3.4e38]) {
      const path = save('spoilt.journal', journalBytes(spoilt(which, at, value)))
      const said = `${run(path, { list: true }).out}${orRefused(path)}`
      expect(said, `kind ${which.kind} at ${at}: ${value}`).not.toMatch(/NaN|Infinity|undefined|e\+/)
    }
  }
}, 30_000)

function orRefused(path: string): string {
  try {
    return run(path, { recipe, session: 2 }).out
  } catch (thrown) {
    if (thrown instanceof InputError) return thrown.problems.join('\n')
    throw thrown
  }
}

test('options that mean nothing for a file are refused by name', () => {
  const trace = save('t2.csv', 'seconds,bathCelsius\n0,24\n')
  expect(refused(trace, { session: 1 })).toMatch(/^--session: a temperature trace has no sessions/)
  expect(refused(journal, { room: 20, films: 2 })).toMatch(/--room: .*\n--films: /)
})

test('a base that plans a second session keeps both apart', () => {
  const bench = record({ said: SAID })
  planSession(bench.base, developerAndStop, { millilitres: [300, 300], films: 1, filmsPerLitre: 0 })
  const saved: SavedRecord[] = recordsOf(bench)
  expect(run(save('one.journal', journalBytes(saved)), { recipe }).out).toMatch(/^Session 1/)
})
