/**
 * Makes dist/: each bundle of the table with its source map, and the manifest that the upload reads. The same sources give
 * the same bytes. Fails, and leaves dist/ as it was, when a bundle does not compile or breaks a rule of the engine.
 *
 *     npm run build [-- NAME…] [--json]
 */
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { crc32 } from 'node:zlib'
import { checkWiring } from '../wiring/checkWiring.ts'
import { bundle } from './bundle.ts'
import { type BundleRow, definesOf, wiringName } from './bundles.ts'
import { breaches } from './rules/engineRules.ts'
import { type Sizes, sizesOf } from './sizes.ts'
import { sourceAt } from './sourceMap.ts'

export interface Built {
  row: BundleRow
  code: string
  map: string
  /** Of the text's bytes: eight hexadecimal digits. */
  crc32: string
  sizes: Sizes
}

export interface Manifest {
  version: string
  bundles: { file: string; kind: BundleRow['kind']; wiring: string; bytes: number; crc32: string }[]
}

/** The project's top. */
export const ROOT = join(dirname(fileURLToPath(import.meta.url)), '../../..')

/** Builds rows of the table in memory, from the sources under `root`. */
export async function buildAll(rows: readonly BundleRow[], root: string = ROOT): Promise<Built[]> {
  const { version } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as { version: string }
  const all: Built[] = []
  for (const row of rows) {
    refuseWiring(row)
    const onBoard = row.wiring !== undefined && row.kind !== 'guard'
    const { code, map } = await bundle({
      entry: row.entry,
      root,
      define: definesOf(row, version),
      short: true,
      onBoard,
    })
    const text = stamped(code, `//evenbath ${version} ${wiringName(row)} ${row.kind}`)
    const lower = lineLower(map, `${row.name}.js`)
    refuse(row.name, text, lower)
    all.push({ row, code: text, map: lower, crc32: hex(crc32(text)), sizes: sizesOf(text, lower) })
  }
  return all
}

/** On the board a wiring's figures are not looked at again: a wrong one is refused here. */
function refuseWiring(row: BundleRow): void {
  const problems = row.wiring === undefined ? [] : checkWiring(row.wiring)
  if (problems.length === 0) return
  const lines = problems.map(({ field, found, allowed }) => `${field} is ${found} (allowed: ${allowed})`)
  throw new Error(`The wiring ${wiringName(row)} cannot be:\n${lines.join('\n')}`)
}

/** Throws where a text breaks a rule of the engine: every breach, with its place in the sources and what to do. */
export function refuse(name: string, code: string, map: string): void {
  const found = breaches(code)
  if (found.length === 0) return
  const lines = found.map(({ rule, advice, offset }) => {
    const place = sourceAt(code, map, offset) ?? 'outside the sources'
    return `${place}: ${rule}. ${advice}\n    ${code.slice(offset, offset + 60).replace(/\s+/g, ' ')}`
  })
  throw new Error(`${name} would not run on the board's engine:\n${lines.join('\n')}`)
}

/** Under its first line, and as long as a flash writes in one piece: a multiple of four bytes, ending in a newline. */
function stamped(code: string, first: string): string {
  const text = `${first}\n${code.trimEnd()}`
  return `${text}${' '.repeat(3 - (text.length % 4))}\n`
}

function lineLower(map: string, file: string): string {
  const known = JSON.parse(map) as { mappings: string }
  return `${JSON.stringify({ ...known, file, mappings: `;${known.mappings}` })}\n`
}

function hex(value: number): string {
  return value.toString(16).padStart(8, '0')
}

export function manifestOf(all: readonly Built[], version: string): Manifest {
  return {
    version,
    bundles: all.map(({ row, code, crc32 }) => ({
      file: `${row.name}.js`,
      kind: row.kind,
      wiring: wiringName(row),
      bytes: code.length,
      crc32,
    })),
  }
}

export function writeAll(all: readonly Built[], folder: string, version: string): void {
  mkdirSync(folder, { recursive: true })
  for (const { row, code, map } of all) {
    writeFileSync(join(folder, `${row.name}.js`), code)
    writeFileSync(join(folder, `${row.name}.js.map`), map)
  }
  writeFileSync(join(folder, 'manifest.json'), `${JSON.stringify(manifestOf(all, version), undefined, 2)}\n`)
}
