/** The whole of a tuning, small: what it advises for the developer, and the command as its user meets it. */
import { spawnSync } from 'node:child_process'
import { existsSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { expect, test } from 'vitest'
import { defaultBase } from '../../../../firmware/defaultBase.ts'
import type { Agitation } from '../../../../firmware/recipe/recipe.ts'
import { findRecipe } from '../../../../firmware/recipe/shipped/shipped.ts'
import { defaultTank } from '../../../../firmware/tank/defaultTank.ts'
import { runByPlan } from '../../../../sim/bench/defaults.ts'
import { runSession } from '../../../../sim/bench/run.ts'
import { openPool } from '../../../../sim/bench/tune/pool.ts'
import { questionFrom } from '../../../../sim/bench/tune/question.ts'
import { type TuneReport, tune } from '../../../../sim/bench/tune/result.ts'
import { tuneText } from '../../../../sim/bench/tune/text.ts'
import { figuresAt } from '../../../../sim/bench/tune/work.ts'

const top = fileURLToPath(new URL('../../../..', import.meta.url))

function evenbath(...args: string[]): { code: number | null; out: string; err: string } {
  const child = spawnSync(process.execPath, ['--import', 'tsx', 'sim/cli.ts', ...args], { cwd: top, encoding: 'utf8' })
  return { code: child.status, out: child.stdout, err: child.stderr }
}

test('the colour developer gets a programme of 1 percent at most, cheaper than as it stands, far more even than equal legs', async () => {
  const loadout = { recipe: findRecipe('colour-negative')!, tank: defaultTank, base: defaultBase }
  // Speeds near the cheapest, so that a small search finds what a large one finds.
  const options = { recipe: 'colour-negative', seed: 1, room: 20, films: 0, mostRpm: 42 }
  const question = questionFrom(options, loadout, () => {})
  const pool = openPool(question.setup, 1, () => {})
  const { report } = await tune(question, { wearJoules: 1, tries: 150 }, pool.evaluate)
  const { advised, equalLegs, asItStands, front } = report
  expect(report.meetsWishes).toBe(true)
  expect(advised.immersionCv).toBeLessThanOrEqual(0.01)
  expect(advised.longestDrySeconds).toBeLessThanOrEqual(3)
  expect(equalLegs.immersionCv).toBeGreaterThan(3 * advised.immersionCv)
  expect(equalLegs).toMatchObject({ rpm: advised.rpm, legTurns: advised.legTurns, stagger: false })
  expect(advised.joules + advised.reversals).toBeLessThan(asItStands.joules + asItStands.reversals)
  expect(front).toContainEqual(advised)
  // Other baths turn by "even" too, so that it stays and the developer gets a programme of its own.
  expect(report.fragment.agitations['developer']).toMatchObject({ rpm: advised.rpm, leastRpm: 30 })
  expect(report.fragment.baths).toEqual([{ name: 'developer', agitation: 'developer' }])
  const text = tuneText(report)
  expect(Math.max(...text.split('\n').map(line => line.length))).toBeLessThanOrEqual(80)
  for (const word of ['Advised', 'Why', 'equal legs', 'as it stands', '"agitations"']) expect(text).toContain(word)
  for (const line of ['  "agitation": "developer"', '  "developer": {']) expect(text.split('\n')).toContain(line)
  expect(text).toContain('The other baths keep theirs: prewet, bleach')
  expect(text).toContain('(--write does it)')
  expect(tuneText({ ...report, meetsWishes: false })).toContain('(--write does not, as it breaks a wish)')
})

test('whole sessions of the firmware turn a programme as evenly as tune says, with as many reversals', () => {
  const shipped = findRecipe('colour-negative')!
  const agitation: Agitation = { rpm: 36, legTurns: 4.3, restSeconds: 0.2, rampSeconds: 0.5, stagger: true }
  const recipe = { ...shipped, agitations: { ...shipped.agitations, even: agitation } }
  const loadout = { recipe, tank: defaultTank, base: defaultBase }
  const { setup } = questionFrom({ recipe: '', seed: 1, room: 20, films: 0 }, loadout, () => {})
  const said = figuresAt(setup, agitation, 'proof')
  const developers = Array.from(
    { length: 12 },
    (_, i) => runSession({ ...runByPlan({ recipe }), seed: 200 + i }).agitation[1]!,
  )
  const even = developers.filter(bath => bath.immersionCv <= said.immersionCv)
  expect(even.length).toBeGreaterThanOrEqual(10)
  expect(Math.max(...developers.map(bath => bath.longestDrySeconds))).toBeLessThan(said.longestDrySeconds + 0.2)
  const reversals = developers.reduce((sum, bath) => sum + bath.reversals, 0) / developers.length
  // An evening's bath is longer or shorter than planned, and the operator takes a second or two to answer a call.
  expect(Math.abs(reversals / said.reversals - 1)).toBeLessThan(0.15)
})

test('the command gives the same document for the same seed, however many threads there are', () => {
  const args = ['tune', '--json', '--tries', '24', '--seed', '5', '--bath', 'bleach wash']
  const one = evenbath(...args, '--jobs', '1')
  expect([0, 3]).toContain(one.code)
  const three = evenbath(...args, '--jobs', '3')
  expect(three.out).toBe(one.out)
  const report = JSON.parse(one.out) as TuneReport
  expect(report.bath).toBe('bleach wash')
  for (const key of ['tried', 'advised', 'equalLegs', 'front']) expect(report).toHaveProperty(key)
  for (const key of ['rpm', 'legTurns', 'restSeconds', 'rampSeconds', 'stagger', 'immersionCv', 'longestDrySeconds']) {
    expect(report.advised).toHaveProperty(key)
  }
  for (const key of ['exchangesPerMinute', 'reversals', 'joules', 'peakAmps'])
    expect(report.advised).toHaveProperty(key)
  expect(one.code).toBe(report.meetsWishes ? 0 : 3)
  expect(one.err === '').toBe(report.meetsWishes)
})

test('what cannot be used ends with 2 and says what is allowed', () => {
  const { code, out, err } = evenbath('tune', '--volume', '90')
  expect([code, out]).toEqual([2, ''])
  expect(err).toContain('allowed: at least 212 mL')
})

test('a place that --write cannot use is refused before any work, with what to do', () => {
  const missing = join(mkdtempSync(join(tmpdir(), 'evenbath-tune-')), 'no-such-folder', 'mine.json')
  // So many tries would take hours.
  const { code, out, err } = evenbath('tune', '--tries', '1000000', '--write', missing)
  expect([code, out]).toEqual([2, ''])
  expect(err).toContain(`--write ${missing}: cannot be written: there is no such folder; make it first`)
})

test('where no programme keeps to all wishes a file that is not there is not written, one that is stays as it is', () => {
  const file = join(mkdtempSync(join(tmpdir(), 'evenbath-tune-')), 'mine.json')
  const args = ['tune', '--json', '--tries', '20', '--bath', 'bleach wash', '--dry', '0.1', '--write', file]
  const none = evenbath(...args)
  expect(none.code).toBe(3)
  expect(none.err).toContain(`${file}: not written, for no programme keeps to all wishes`)
  expect(existsSync(file)).toBe(false)
  const text = JSON.stringify(findRecipe('colour-negative'))
  writeFileSync(file, text)
  expect(evenbath(...args).err).toContain(`${file}: left as it is, for no programme keeps to all wishes`)
  expect(readFileSync(file, 'utf8')).toBe(text)
})
