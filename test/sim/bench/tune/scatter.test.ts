/** The picture of characters: its axes are about the marks. */
import { expect, test } from 'vitest'
import { type Mark, scatterLines } from '../../../../sim/bench/tune/scatter.ts'

const percent = (value: number): string => `${(100 * value).toFixed(2)} %`

function linesOf(marks: Mark[]): string[] {
  return scatterLines(marks, 'J', 'unevenness', percent)
}

test('marks at one and the same place get axes close about it, and stand in the middle', () => {
  const lines = linesOf([
    { x: 220, y: 0.0083, sign: 'o' },
    { x: 220, y: 0.0083, sign: 'A' },
  ])
  expect(lines[1]).toContain('0.87 %')
  expect(lines[12]).toContain('0.79 %')
  expect(lines.at(-1)).toMatch(/209 +231 J/)
  const row = lines.findIndex(line => line.includes('A'))
  expect(row).toBe(6)
  expect(lines[row]!.indexOf('A') - lines[row]!.indexOf('|')).toBe(31)
})

test('marks that lie apart fill the picture from end to end', () => {
  const lines = linesOf([
    { x: 150, y: 0.008, sign: 'o' },
    { x: 370, y: 0.03, sign: 'A' },
  ])
  expect(lines[1]).toMatch(/3\.00 % \| {59}A$/)
  expect(lines[12]).toMatch(/0\.80 % \|o$/)
  expect(lines.at(-1)).toMatch(/150 +370 J/)
})

test('a measure that is nothing for all of them still has an axis', () => {
  const lines = linesOf([
    { x: 0, y: 0, sign: 'o' },
    { x: 0, y: 0, sign: 'A' },
  ])
  expect(lines.join('\n')).not.toContain('NaN')
  expect(lines.filter(line => line.includes('A'))).toHaveLength(1)
})
