/** The golden sessions: what the firmware does today is what was accepted, and the same twice. */
import { readdirSync, readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { differingLines } from '../sim/bench/golden/difference.ts'
import { GOLDEN_SESSIONS, goldenText } from '../sim/bench/golden/sessions.ts'

const folder = new URL('./golden/', import.meta.url)

test.each(GOLDEN_SESSIONS)(
  '$name goes as it was accepted, twice (if a change is meant: npm run golden -- --accept)',
  session => {
    const kept = readFileSync(new URL(`${session.name}.txt`, folder), 'utf8')
    const today = goldenText(session)
    expect(differingLines(kept, today)).toEqual([])
    expect(goldenText(session)).toBe(today)
  },
)

test('every file of a golden session belongs to one, and tells a whole session', () => {
  expect(readdirSync(folder).sort()).toEqual(GOLDEN_SESSIONS.map(({ name }) => `${name}.txt`).sort())
  for (const { name } of GOLDEN_SESSIONS) {
    const lines = readFileSync(new URL(`${name}.txt`, folder), 'utf8')
      .trim()
      .split('\n')
    expect(lines.length, name).toBeGreaterThan(20)
    expect(lines[lines.length - 1], name).toMatch(/finished after/)
  }
})

test('a difference shows the lines that went and came, and no others', () => {
  expect(differingLines('a\nb\nc\nd\n', 'a\nc\nx\nd\n')).toEqual(['- b', '+ x'])
  expect(differingLines('same\n', 'same\n')).toEqual([])
})
