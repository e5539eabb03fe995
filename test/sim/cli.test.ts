/** The command line as its user meets it: what it prints where, and how it ends. */
import { spawnSync } from 'node:child_process'
import { existsSync, mkdtempSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { expect, test } from 'vitest'

const top = fileURLToPath(new URL('../..', import.meta.url))

interface Said {
  code: number | null
  out: string
  err: string
}

function evenbath(...args: string[]): Said {
  const child = spawnSync(process.execPath, ['--import', 'tsx', 'sim/cli.ts', ...args], { cwd: top, encoding: 'utf8' })
  return { code: child.status, out: child.stdout, err: child.stderr }
}

const folder = mkdtempSync(join(tmpdir(), 'evenbath-'))

function fileOf(name: string, text: string): string {
  const path = join(folder, name)
  writeFileSync(path, text)
  return path
}

test('without a command it runs the demo session and reports it for people', () => {
  const { code, out, err } = evenbath()
  expect(code).toBe(0)
  expect(err).toBe('')
  for (const expected of ['Colour negative', 'developer: called to pour out', 'Development', 'Pack', 'Finished', '!']) {
    expect(out).toContain(expected)
  }
  expect(Math.max(...out.split('\n').map(line => line.length))).toBeLessThanOrEqual(80)
})

test('run --json prints one document and nothing else, the same bytes for the same seed', () => {
  const first = evenbath('run', '--json', '--seed', '3')
  expect(first.code).toBe(0)
  expect(JSON.parse(first.out)).toMatchObject({ seed: 3, recipe: 'colour-negative', finished: true })
  expect(evenbath('run', '--json', '--seed', '3').out).toBe(first.out)
})

test('run --csv writes the whole series, and nothing half-written beside it', () => {
  const path = join(folder, 'series.csv')
  const { code } = evenbath('run', '--csv', path)
  expect(code).toBe(0)
  const lines = readFileSync(path, 'utf8').trimEnd().split('\n')
  expect(lines[0]).toMatch(/^seconds,.*trueBathCelsius.*state$/)
  expect(lines.length).toBeGreaterThan(10_000)
  expect(new Set(lines.map(line => line.split(',').length)).size).toBe(1)
  expect(readdirSync(folder).filter(name => name.includes('unfinished'))).toEqual([])
})

test('run --panel shows the screen in a box whenever it changes', () => {
  const { out } = evenbath('run', '--panel')
  expect(out.split('\n').filter(line => line.startsWith('+--')).length).toBeGreaterThan(100)
})

test('plan prints a plan, and the same as JSON with the names that others rely on', () => {
  expect(evenbath('plan').out).toMatch(/Mix .*mL/)
  const plan = JSON.parse(evenbath('plan', '--json').out)
  for (const key of [
    'leastMillilitres',
    'leastBecause',
    'advisedMillilitres',
    'standingMillilitres',
    'savedFraction',
  ]) {
    expect(plan).toHaveProperty(key)
  }
  for (const key of ['seconds', 'chargeNeeded', 'chargeLeft', 'sessionsLeft', 'pourCelsius']) {
    expect(plan).toHaveProperty(key)
  }
})

test('what cannot be used ends with 2, a message on stderr, and nothing on stdout', () => {
  const wrong: [string[], RegExp][] = [
    [['devlop'], /devlop: no such command; allowed: run, plan, check/],
    [['run', '--seed', 'x'], /--seed.*whole number from 0/],
    [['run', '--room', '99'], /--room.*0 to 45 C/],
    [['run', '--pour', '38,39'], /--pour: 2 values; allowed: one for all, or 7/],
    [['run', '--volume', '4000'], /--volume: 4000 mL; allowed: at most/],
    [['run', '--sed', '3'], /unknown option '--sed'/],
    [['run', '--recipe', 'nope'], /nope.*no such file.*colour-negative/],
    [['run', '--tank', folder], /directory/],
    [['run', '--trace', join(folder, 'none.csv')], /no such file/],
    [['run', '--trace', fileOf('gap.csv', 'seconds,bathCelsius\n0,38\n5,\n')], /gap.csv:3: bathCelsius is empty/],
    [['run', '--csv', join(folder, 'none', 'x.csv')], /cannot be written/],
    [['plan', '--base', fileOf('rubbish.json', '{"drive": 3')], /rubbish.json/],
    [['check'], /no file named.*--example/],
    [['--recipe', 'bw-negative', 'plan'], /Put the command first: npm start -- plan --recipe bw-negative/],
    [['check', join(folder, 'none.json')], /refused/],
  ]
  for (const [args, message] of wrong) {
    const { code, out, err } = evenbath(...args)
    expect(code, args.join(' ')).toBe(2)
    expect(out + err, args.join(' ')).toMatch(message)
    if (args[0] !== 'check') expect(out, args.join(' ')).toBe('')
  }
})

test('a refused run leaves no file behind', () => {
  const path = join(folder, 'never.csv')
  evenbath('run', '--csv', path, '--recipe', 'nope')
  expect(existsSync(path)).toBe(false)
  expect(existsSync(`${path}.unfinished`)).toBe(false)
})

test('a file that passes is said to, and ends with 0', () => {
  const recipe = {
    name: 'mine',
    title: 'Mine',
    pour: { fillSeconds: 8, drainSeconds: 10 },
    baths: [{ name: 'stop', kind: 'timed', seconds: 60, agitation: 'even' }],
    agitations: { even: { rpm: 45, legTurns: 2, restSeconds: 0.5, rampSeconds: 0.6, stagger: true } },
  }
  const { code, out } = evenbath('check', fileOf('mine.json', JSON.stringify(recipe)))
  expect(code).toBe(0)
  expect(out).toMatch(/no problems/)
})
