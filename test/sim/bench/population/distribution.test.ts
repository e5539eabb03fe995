/** Population files: what they may say, and how a bad one is refused. */
import { mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { InputError } from '../../../../sim/bench/inputError.ts'
import { DISTRIBUTIONS, findDistribution } from '../../../../sim/bench/population/distribution.ts'
import { checkDistribution } from '../../../../sim/bench/population/distributionFields.ts'
import { loadDistribution } from '../../../../sim/bench/population/load.ts'
import { drawValue, type Spread } from '../../../../sim/bench/population/spread.ts'
import { createRandom } from '../../../../sim/plant/random.ts'

const folder = mkdtempSync(join(tmpdir(), 'evenbath-population-'))

function fileOf(text: string): string {
  const path = join(folder, 'population.json')
  writeFileSync(path, text)
  return path
}

function refusal(text: string): string {
  try {
    loadDistribution(fileOf(text), () => {})
    return ''
  } catch (thrown) {
    return (thrown as InputError).message
  }
}

test('the distributions that ship pass the check of a file', () => {
  for (const distribution of DISTRIBUTIONS) expect(checkDistribution(distribution), distribution.name).toEqual([])
})

test('a file says what it changes; the rest is as usual', () => {
  const path = fileOf('{ "name": "cellar", "roomCelsius": { "around": [12, 1], "within": [9, 15] } }')
  const distribution = loadDistribution(path, () => {})
  expect(distribution).toMatchObject({ name: 'cellar', roomCelsius: { around: [12, 1], within: [9, 15] } })
  expect(distribution.probeLag).toEqual(findDistribution('usual')?.probeLag)
})

test('a problem names its line and field, what was found and what is allowed', () => {
  const text = refusal(
    '{\n  "name": "cellar",\n  "roomCelsius": { "is": 12, "between": [10, 60] },\n  "volume": 300\n}',
  )
  expect(text).toContain(':3:')
  expect(text).toContain('roomCelsius: found is and between; allowed exactly one of is, between, around, choose')
  expect(text).toContain('roomCelsius.between[1]: found 60; allowed 0 to 45 C')
  expect(text).toContain('found the unknown key "volume"')
})

test('limits without a middle, a list upside down and a file that is none are refused in words', () => {
  expect(refusal('{ "name": "a", "jugError": { "is": 0, "within": [0, 0.1] } }')).toContain(
    '`within` only beside `around`',
  )
  expect(refusal('{ "name": "a", "roomCelsius": { "between": [20, 10] } }')).toContain('roomCelsius.between')
  expect(() => loadDistribution(join(folder, 'none.json'), () => {})).toThrow(
    /population file, or one of usual, planned/,
  )
  expect(() => loadDistribution(join(folder, 'none.json'), () => {})).toThrow(InputError)
})

test('each form draws what it says', () => {
  const random = createRandom(3, 1)
  const many = (spread: Spread): number[] => Array.from({ length: 2000 }, () => drawValue(spread, random))
  const mean = (values: number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length
  expect(new Set(many({ is: 4 }))).toEqual(new Set([4]))
  const even = many({ between: [10, 20] })
  expect(Math.min(...even)).toBeGreaterThanOrEqual(10)
  expect(Math.max(...even)).toBeLessThan(20)
  expect(mean(even)).toBeCloseTo(15, 0)
  const limited = many({ around: [0, 1], within: [-1, 3] })
  expect(Math.min(...limited)).toBe(-1)
  expect(Math.max(...limited)).toBeLessThanOrEqual(3)
  const shares = many({
    choose: [
      [1, 3],
      [2, 1],
    ],
  })
  expect(mean(shares)).toBeCloseTo(1.25, 1)
})
