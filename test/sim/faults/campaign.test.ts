/** A campaign as its user meets it: the same bytes for the same seed, shards that add up, failures that shrink. */
import { spawnSync } from 'node:child_process'
import { mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { expect, test } from 'vitest'
import { ALARMS } from '../../../firmware/session/alarmTable.ts'
import type { InputError } from '../../../sim/bench/inputError.ts'
import { shardFrom } from '../../../sim/bench/shards.ts'
import {
  type CampaignResult,
  emptyResult,
  mergeResults,
  mostBeyond,
  runSeeds,
  seedsOf,
  shortcomings,
  unmarked,
  WHOLE_CAMPAIGN,
} from '../../../sim/faults/campaign.ts'
import { mergeCommand, onlyFrom } from '../../../sim/faults/command.ts'
import { drawScenario } from '../../../sim/faults/draw.ts'
import { eventName } from '../../../sim/faults/scenario.ts'
import { runFaultSession } from '../../../sim/faults/session.ts'
import { fewest } from '../../../sim/faults/shrink.ts'
import { FAULT_NAMES } from '../../../sim/faults/table.ts'
import { resultText } from '../../../sim/faults/text.ts'

const top = fileURLToPath(new URL('../../..', import.meta.url))

function evenbath(...args: string[]): { code: number | null; out: string; err: string } {
  const child = spawnSync(process.execPath, ['--import', 'tsx', 'sim/cli.ts', ...args], { cwd: top, encoding: 'utf8' })
  return { code: child.status, out: child.stdout, err: child.stderr }
}

const first = seedsOf({ sessions: 40, seed: 1, shard: 1, of: 1 })

test('forty sessions in which things go wrong keep every promise', () => {
  const result = runSeeds(first)
  expect(result.broken).toEqual([])
  expect(result.sessions).toBe(40)
  expect(Object.keys(result.marks).length).toBe(FAULT_NAMES.length + ALARMS.length)
  expect(unmarked(result).length).toBeLessThan(30)
})

test('the same seed gives the same session, event for event', () => {
  const log = (): string[] => {
    const lines: string[] = []
    runFaultSession(drawScenario(12), line => lines.push(line))
    return lines
  }
  const once = log()
  expect(once.length).toBeGreaterThan(20)
  expect(log()).toEqual(once)
})

test('shards share the seeds among them and add up to the whole, in any order', () => {
  const shards = [1, 2, 3].map(shard => seedsOf({ sessions: 12, seed: 4_294_967_290, shard, of: 3 }))
  const whole = seedsOf({ sessions: 12, seed: 4_294_967_290, shard: 1, of: 1 })
  expect(shards.flat().sort((a, b) => a - b)).toEqual([...whole].sort((a, b) => a - b))
  expect(whole).toContain(0)
  const parts = shards.map(seeds => runSeeds(seeds))
  expect(mergeResults([...parts].reverse())).toEqual(mergeResults([runSeeds(whole)]))
})

test('a campaign as a whole: what never came up, what was never judged, and a bound that does not hold are told', () => {
  const whole = emptyResult()
  for (const name of Object.keys(whole.marks)) whole.marks[name] = 1
  for (const name of Object.keys(whole.judged)) whole.judged[name] = 1
  whole.sessions = WHOLE_CAMPAIGN
  expect(shortcomings(whole, true)).toEqual([])
  whole.marks['probeOpen'] = 0
  whole.marks['alarm 25 driverStuck'] = 0
  whole.judged['resumes'] = 0
  expect(shortcomings(whole, true)).toEqual([
    'never occurred: probeOpen, alarm 25 driverStuck',
    'never judged: resumes',
  ])
  // Some faults only, or too few sessions: nothing can be said.
  expect(shortcomings(whole, false)).toEqual([])
  expect(shortcomings({ ...whole, sessions: WHOLE_CAMPAIGN - 1 }, true)).toEqual([])
  const bounds = { baths: 1000, beyond: 70, uncertainBaths: 100, uncertainBeyond: 50 }
  expect(shortcomings({ ...emptyResult(), bounds }, false)).toEqual([])
  expect(shortcomings({ ...emptyResult(), bounds: { ...bounds, beyond: 71 } }, false)).toHaveLength(1)
  expect(mostBeyond(1000)).toBeCloseTo(50 + 3 * Math.sqrt(47.5), 6)
})

test('a failure shrinks to the fewest parts that still fail', () => {
  const all = Array.from({ length: 23 }, (_, i) => i)
  expect(fewest(all, part => part.includes(4) && part.includes(17))).toEqual([4, 17])
  expect(fewest(all, part => part.includes(22))).toEqual([22])
  expect(fewest(all, () => true)).toEqual([])
})

test('an option that means nothing is named, with what is allowed', () => {
  expect(() => shardFrom('3/2')).toThrow('1/N to N/N')
  expect(() => onlyFrom('probeOpen,probeClosed')).toThrow('probeClosed')
  expect(() => onlyFrom('probOpen#2')).toThrow('probOpen#2 (meant: probeOpen?)')
  expect(() => onlyFrom('x')).not.toThrow('meant')
  try {
    onlyFrom('nosuch')
  } catch (thrown) {
    for (const line of (thrown as InputError).problems) expect(line.length).toBeLessThanOrEqual(80)
  }
  expect(onlyFrom('probeOpen#2,hang')).toEqual(['probeOpen#2', 'hang'])
})

test('faults --json gives one document, alike on one process and on two, and merge adds two up', () => {
  const folder = mkdtempSync(join(tmpdir(), 'evenbath-faults-'))
  const one = evenbath('faults', '--sessions', '12', '--seed', '7', '--json', '--jobs', '1')
  const two = evenbath('faults', '--sessions', '12', '--seed', '7', '--json', '--jobs', '2')
  expect(two.out).toBe(one.out)
  const result = JSON.parse(one.out) as CampaignResult
  expect(one.code).toBe(result.broken.length === 0 ? 0 : 3)
  expect(result).toMatchObject({ sessions: 12, broken: [] })
  const path = join(folder, 'one.json')
  writeFileSync(path, one.out)
  const merged = evenbath('faults', 'merge', path, path, '--json')
  expect(JSON.parse(merged.out)).toMatchObject({ sessions: 24, simulatedSeconds: 2 * result.simulatedSeconds })
  writeFileSync(path, '{"sessions": "many"}')
  expect(evenbath('faults', 'merge', path)).toMatchObject({ code: 2 })
  expect(() =>
    mergeCommand(
      [join(folder, 'none.json')],
      false,
      () => {},
      () => {},
    ),
  ).toThrow('no such file')
  const lines = resultText({ ...result, sessions: 12 }).split('\n')
  expect(Math.max(...lines.map(line => line.length))).toBeLessThanOrEqual(80)
  expect(lines[lines.length - 1]).toContain('sim/faults/FAULTS.md')
})

test('a single session is told in full: what may go wrong first, then what happened', () => {
  const { out, code } = evenbath('faults', '--sessions', '1', '--seed', '12')
  expect(code).toBe(0)
  const { events } = drawScenario(12)
  for (const event of events) expect(out).toContain(`  ${eventName(event)} `)
  expect(out.indexOf('possible faults:')).toBeLessThan(out.indexOf('bathBegun'))
  expect(out).toContain('promises kept')
  expect(Math.max(...out.split('\n').map(line => line.length))).toBeLessThanOrEqual(80)
  expect(evenbath('faults', '--only', 'nonsense')).toMatchObject({ code: 2 })
})
