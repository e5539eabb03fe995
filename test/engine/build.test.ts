/** What `npm run build` promises of its files, and how names are shortened. */
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { crc32 } from 'node:zlib'
import { beforeAll, expect, test } from 'vitest'
import { type Built, buildAll, type Manifest, ROOT, writeAll } from '../../hal/espruino/build/build.ts'
import { bundle } from '../../hal/espruino/build/bundle.ts'
import { BUNDLES, definesOf, leftOut } from '../../hal/espruino/build/bundles.ts'
import { pico } from '../../hal/espruino/wiring/pico.ts'
import { runOn } from './engines.ts'

/** A short one and a long one; the others are built by the command, which holds them all against the rules. */
const BUILT = ['guard-pico', 'rehearsal']

let all: Built[]

beforeAll(async () => {
  all = await buildAll(BUNDLES.filter(row => BUILT.includes(row.name)))
}, 120_000)

const byName = (name: string): Built => all.find(one => one.row.name === name) as Built

test('two builds give the same bytes', async () => {
  const rows = BUNDLES.filter(row => BUILT.includes(row.name))
  const again = await buildAll(rows)
  const first = rows.map(row => byName(row.name))
  expect(again.map(one => [one.crc32, one.code])).toEqual(first.map(one => [one.crc32, one.code]))
  expect(again.map(one => one.map)).toEqual(first.map(one => one.map))
}, 120_000)

test('every text is ASCII, stamped, and a multiple of four bytes that ends in a newline', () => {
  const { version } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as { version: string }
  for (const { row, code } of all) {
    expect(code).toMatch(/^[\n\x20-\x7e]*\n$/)
    expect(code.split('\n')[0]).toBe(`//evenbath ${version} ${row.wiring?.name ?? 'any'} ${row.kind}`)
    expect(code.length % 4).toBe(0)
  }
})

test('the manifest names every file with its length and CRC-32', () => {
  const folder = mkdtempSync(join(tmpdir(), 'evenbath-build-'))
  try {
    writeAll(all, folder, '1.2.3')
    const { version, bundles } = JSON.parse(readFileSync(join(folder, 'manifest.json'), 'utf8')) as Manifest
    expect(version).toBe('1.2.3')
    expect(bundles.length).toBe(BUILT.length)
    for (const { file, bytes, crc32: told } of bundles) {
      const text = readFileSync(join(folder, file))
      expect([bytes, told]).toEqual([text.length, crc32(text).toString(16).padStart(8, '0')])
      expect(readdirSync(folder)).toContain(`${file}.map`)
    }
  } finally {
    rmSync(folder, { recursive: true })
  }
})

test('the sizes by module add up to the text, and no path of this machine is in the map', () => {
  for (const { code, map, sizes } of all) {
    expect(Object.values(sizes.files).reduce((sum, bytes) => sum + bytes, 0)).toBe(code.length)
    expect(Object.values(sizes.rooms).reduce((sum, bytes) => sum + bytes, 0)).toBe(code.length)
    expect(map).not.toContain(ROOT)
  }
  expect(byName('rehearsal').sizes.rooms['sim/plant']).toBeGreaterThan(1000)
})

test('boards with a small store get a firmware without the checker, the others the whole; every rehearsal is reduced', () => {
  for (const row of BUNDLES) {
    const isReduced = row.kind === 'rehearsal' || row.name === 'pico' || row.name === 'stm32f4'
    expect(definesOf(row, '')['EVENBATH_REDUCED'], row.name).toBe(String(isReduced))
    expect(leftOut(row).length > 0, row.name).toBe(isReduced)
  }
})

test('two firmwares of the Pico, its guard and its journal fit its store of 256 kB, with room for recipes', async () => {
  const HEADER_BYTES = 32
  const TRAILER_BYTES = 48
  const [firmware] = await buildAll(BUNDLES.filter(row => row.name === 'pico'))
  const slot = HEADER_BYTES + (firmware as Built).code.length + TRAILER_BYTES
  const guard = HEADER_BYTES + byName('guard-pico').code.length
  // Its blocks begin where the flash's do: up to one more of them.
  const journal = HEADER_BYTES + pico.journal.bytes + pico.journal.blockBytes
  expect(2 * slot + guard + journal + 8000).toBeLessThan(256 * 1024)
}, 120_000)

test('a rehearsal carries neither the recipe checker nor the journal', () => {
  const { files } = byName('rehearsal').sizes
  for (const file of ['recipe/check', 'recipe/relations', 'journal/journal', 'journal/area', 'journal/payloads']) {
    expect(files[`firmware/${file}.ts`] ?? 0, file).toBeLessThan(20)
  }
})

/** Bundles one file of the given text, and runs it. */
async function run(text: string): Promise<{ code: string; lines: string[] }> {
  const folder = mkdtempSync(join(ROOT, 'test/engine/tmp-'))
  try {
    writeFileSync(join(folder, 'entry.ts'), `declare const print: (line: string) => void\n${text}`)
    const { code } = await bundle({
      entry: join(folder, 'entry.ts').slice(ROOT.length + 1),
      root: ROOT,
      define: {},
      short: true,
    })
    return { code, lines: await runOn('node', code) }
  } finally {
    rmSync(folder, { recursive: true })
  }
}

const COUNTER = `
interface Counter { tallyCounted: number; tallySpoken: number }
function counted(n: number): Counter { return { tallyCounted: n, tallySpoken: n + 1 } }
const counters = [counted(1), counted(2)]
`

test('a name that only the bundle knows is shortened', async () => {
  const { code, lines } = await run(`${COUNTER}for (const one of counters) print('' + one.tallyCounted)`)
  expect(lines).toEqual(['1', '2'])
  expect(code).not.toContain('tallyCounted')
})

test('a name that is also a text may be asked for by that text', async () => {
  const { code, lines } = await run(`${COUNTER}const asked: 'tallyCounted' = 'tallyCounted'
    for (const one of counters) print('' + one[asked] + one.tallySpoken)`)
  expect(lines).toEqual(['12', '23'])
  expect(code).not.toContain('tallySpoken')
})

test('names that go out as JSON are kept, also through a function that takes anything', async () => {
  const { lines } = await run(`${COUNTER}
    function send(value: unknown): void { print(JSON.stringify(value)) }
    send({ inner: counters[0] })
    print(JSON.stringify(counters[1]))`)
  expect(lines).toEqual(['{"inner":{"tallyCounted":1,"tallySpoken":2}}', '{"tallyCounted":2,"tallySpoken":3}'])
})

test('names that come in as JSON are kept, however the value gets its type', async () => {
  const { lines } = await run(`
    interface Heard { firstWord: string; inner: { secondWord: string }; thirdWord?: string }
    const isHeard = (value: unknown): value is Heard => typeof value === 'object'
    const text = '{"firstWord":"a","inner":{"secondWord":"b"},"thirdWord":"c","fourthWord":"d"}'
    const heard: Heard = JSON.parse(text)
    const cast = JSON.parse(text) as { inner: Heard['inner'] }
    const any = JSON.parse(text)
    const { fourthWord } = JSON.parse(text)
    const unknown: unknown = JSON.parse(text)
    print(heard.firstWord + cast.inner.secondWord + any.fourthWord + fourthWord)
    if (isHeard(unknown)) print('' + unknown.thirdWord)
    for (const key in heard) print(key)`)
  expect(lines).toEqual(['abdd', 'c', 'firstWord', 'inner', 'thirdWord', 'fourthWord'])
})

test('a global of another bundle keeps its name and its members', async () => {
  const { code } = await run(`declare const keeper: { slotName: string; healthyNow(): void }
    if (typeof keeper !== 'undefined') { keeper.healthyNow(); print(keeper.slotName) }`)
  expect(code).toContain('keeper.healthyNow()')
  expect(code).toContain('keeper.slotName')
})
