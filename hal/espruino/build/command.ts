/**
 * The command line of the build.
 *
 *     npm run build [-- NAME…] [--json] [--files]
 *
 * Words and the size table go to stderr and stdout; exit 0 done, 1 a bundle is wrong, 2 bad usage. With names only those
 * bundles are made, and the manifest names only them.
 */
import { existsSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { type Built, buildAll, ROOT, writeAll } from './build.ts'
import { BUDGET_BYTES, BUNDLES, leftOut, wiringName } from './bundles.ts'

async function main(): Promise<number> {
  const { values, positionals } = parseArgs({
    allowPositionals: true,
    options: { json: { type: 'boolean', default: false }, files: { type: 'boolean', default: false } },
  })
  const unknown = positionals.filter(name => !BUNDLES.some(row => row.name === name))
  if (unknown.length > 0) {
    console.error(`No bundle ${unknown.join(', ')}. There are: ${BUNDLES.map(row => row.name).join(', ')}.`)
    return 2
  }
  const rows = BUNDLES.filter(row => positionals.length === 0 || positionals.includes(row.name))
  const lost = rows.filter(row => !existsSync(join(ROOT, row.entry)))
  if (lost.length > 0) {
    console.error(lost.map(row => `${row.name}: its entry ${row.entry} is not there.`).join('\n'))
    return 1
  }
  const all = await buildAll(rows)
  const { version } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as { version: string }
  writeAll(all, join(ROOT, 'dist'), version)
  if (values.json) console.log(JSON.stringify(all.map(reported)))
  else for (const built of all) console.log(table(built, values.files))
  return 0
}

function reported({ row, code, crc32, sizes }: Built): object {
  return {
    name: row.name,
    kind: row.kind,
    wiring: wiringName(row),
    bytes: code.length,
    budgetBytes: BUDGET_BYTES,
    crc32,
    ...sizes,
  }
}

function table({ row, code, crc32, sizes }: Built, files: boolean): string {
  const parts = Object.entries(files ? sizes.files : sizes.rooms).sort((one, other) => other[1] - one[1])
  const line = (name: string, bytes: number): string => `  ${String(bytes).padStart(6)}  ${name}`
  const budget =
    row.kind === 'firmware'
      ? [
          line(
            `bytes in all, of ${BUDGET_BYTES} allowed: ${code.length > BUDGET_BYTES ? 'TOO LARGE' : 'fits'}`,
            code.length,
          ),
        ]
      : [line('bytes in all', code.length)]
  const left = leftOut(row)
  const reduced = left.length > 0 ? `, reduced: without ${left.join(', ')}` : ''
  return [
    `dist/${row.name}.js  crc32 ${crc32}${reduced}`,
    ...parts.map(([name, bytes]) => line(name, bytes)),
    ...budget,
  ].join('\n')
}

main().then(
  status => {
    process.exitCode = status
  },
  (error: unknown) => {
    console.error(error instanceof Error ? error.message : error)
    process.exitCode = 1
  },
)
