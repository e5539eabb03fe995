/** Populations as their user meets them: the same bytes on any number of processes, parts that add up, exit codes. */
import { spawnSync } from 'node:child_process'
import { mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { expect, test } from 'vitest'
import { InputError } from '../../../../sim/bench/inputError.ts'
import {
  type MergeOptions,
  mergePopulations,
  type PopulationOptions,
  populationCommand,
} from '../../../../sim/bench/population/command.ts'
import type { PopulationDocument } from '../../../../sim/bench/population/document.ts'

const top = fileURLToPath(new URL('../../../..', import.meta.url))
const folder = mkdtempSync(join(tmpdir(), 'evenbath-population-'))
const usual = {
  recipe: 'colour-negative',
  from: 'usual',
  sessions: 12,
  seed: 4_294_967_290,
  onlyDeveloper: true,
  jobs: 1,
}

interface Ended {
  code: number
  out: string
  err: string
}

async function ended(
  work: (out: (line: string) => void, err: (line: string) => void) => Promise<number>,
): Promise<Ended> {
  const lines: { out: string[]; err: string[] } = { out: [], err: [] }
  const code = await work(
    line => lines.out.push(line),
    line => lines.err.push(line),
  )
  return { code, out: lines.out.join('\n'), err: lines.err.join('\n') }
}

const population = (more: Partial<PopulationOptions>): Promise<Ended> =>
  ended((out, err) => populationCommand({ ...usual, ...more }, out, err))
const merge = (parts: string[], more: MergeOptions = {}): Promise<Ended> =>
  ended(async (out, err) => mergePopulations(parts, more, out, err))

const text = (await population({ json: true })).out
const whole = JSON.parse(text) as PopulationDocument

test('population --json gives one document with what others rely on', () => {
  expect(whole.sessions).toBe(12)
  for (const errors of [whole.clockErrorPercent, whole.totalErrorPercent]) {
    for (const key of ['mean', 'p50', 'p95', 'p99', 'max'] as const) expect(errors[key]).toBeGreaterThan(0)
  }
  for (const key of ['p50', 'p95', 'max'] as const) expect(whole.immersionCv[key]).toBeGreaterThan(0)
  for (const key of ['p5', 'p50', 'p95'] as const) expect(whole.sessionsPerCharge).toHaveProperty(key)
  expect(whole.boundHolds).toBeGreaterThan(0.5)
  expect(whole.toleranceCelsius).toBeGreaterThan(0)
  expect(whole.alarms).toBeTypeOf('object')
})

test('two processes of the command line give the bytes of one', () => {
  const args = ['--sessions', '12', '--seed', '4294967290', '--only-developer', '--json', '--jobs', '2']
  const child = spawnSync(process.execPath, ['--import', 'tsx', 'sim/cli.ts', 'population', ...args], {
    cwd: top,
    encoding: 'utf8',
  })
  expect(child.stdout).toBe(`${text}\n`)
  expect(child.status).toBe(0)
})

test('parts add up to the bytes of the whole; one that is missing is said, one that comes twice refused', async () => {
  const paths: string[] = []
  for (const shard of [2, 1]) {
    paths.push(join(folder, `part${shard}.json`))
    writeFileSync(paths.at(-1) as string, (await population({ json: true, shard: { shard, of: 2 } })).out)
  }
  expect((await merge(paths, { json: true })).out).toBe(text)
  const [second] = paths as [string]
  expect((await merge([second])).out).toMatch(/part\s+2\/2/)
  await expect(merge([second, second])).rejects.toThrow('part 2/2 a second time')
  const other = join(folder, 'other.json')
  writeFileSync(other, (await population({ json: true, from: 'planned', sessions: 4 })).out)
  await expect(merge([second, other])).rejects.toThrow('the number of sessions is 4; allowed: 12')
})

test('a threshold that is not kept ends with 3 and says what was asked and what was found', async () => {
  const path = join(folder, 'whole.json')
  writeFileSync(path, text)
  expect(await merge([path], { mostErrorP95: 50, leastBoundHolds: 1 })).toMatchObject({ code: 0 })
  const broken = await merge([path], { mostErrorP95: 0.001, json: true })
  expect(broken.code).toBe(3)
  expect(broken.err).toContain('at most 0.001 % asked')
  expect((JSON.parse(broken.out) as PopulationDocument).thresholds).toMatchObject([
    { threshold: '--most-error-p95', asked: 0.001, kept: false },
  ])
})

test('what cannot be used is refused before any work, and says what is allowed', async () => {
  writeFileSync(join(folder, 'bad.json'), '{ "name": "bad", "roomCelsius": { "is": 90 } }')
  const cases: [Partial<PopulationOptions>, string][] = [
    [{ from: join(folder, 'bad.json') }, 'roomCelsius.is: found 90; allowed 0 to 45 C'],
    [{ from: 'nowhere' }, 'or one of usual, planned'],
    [{ compare: 'nowhere' }, 'the folder of another checkout, or one of'],
    [{ compare: folder }, 'with sim/bench/run.ts'],
    [{ shard: { shard: 25, of: 30 } }, 'no more parts than sessions'],
    [{ sensitivity: true }, 'allowed with --sensitivity: 320'],
    [{ report: join(folder, 'nowhere', 'page.html') }, '--report'],
  ]
  for (const [options, words] of cases) {
    const refused = population(options)
    await expect(refused).rejects.toThrow(InputError)
    await expect(refused).rejects.toThrow(words)
  }
  writeFileSync(join(folder, 'none.json'), '{ "sessions": 4 }')
  await expect(merge([join(folder, 'none.json')])).rejects.toThrow('what population --json has written')
})

test('another checkout runs the same evenings: this one, compared with itself, differs nowhere', async () => {
  const { out } = await population({ sessions: 3, compare: top, json: true })
  const { compared } = JSON.parse(out) as PopulationDocument
  expect(compared?.with).toContain('the firmware of')
  expect(compared?.differences.clockErrorPercent).toMatchObject({ count: 3, mean: 0 })
})
