import { mkdtempSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { InputError, unreadable } from '../../../sim/bench/inputError.ts'
import { ambientOnTrace, bathOnTrace, parseTrace, readTrace, traceFrom } from '../../../sim/bench/trace.ts'

function problemsOf(read: () => unknown): string[] {
  try {
    read()
  } catch (thrown) {
    if (thrown instanceof InputError) return thrown.problems
    throw thrown
  }
  return []
}

const problemsIn = (text: string): string[] => problemsOf(() => parseTrace(text, 't.csv'))

test('a trace is linear between its rows and constant beyond them, whichever way it is read', () => {
  const trace = parseTrace('seconds,bathCelsius,ambientCelsius\n0,38,20\n10,36,21\n30,30,21\n', 't.csv')
  const cursor = traceFrom(trace)
  expect([-5, 0, 5, 10, 20, 30, 99, 5].map(seconds => bathOnTrace(cursor, seconds))).toEqual([
    38, 38, 37, 36, 33, 30, 30, 37,
  ])
  expect(ambientOnTrace(cursor, 5)).toBe(20.5)
  expect(ambientOnTrace(traceFrom(parseTrace('seconds,bathCelsius\n0,38', 't.csv')), 0)).toBeNaN()
})

test('a byte-order mark, Windows line ends and blank lines do no harm', () => {
  const trace = parseTrace('\ufeffseconds,bathCelsius\r\n0, 38\r\n\r\n10 ,37\r\n', 't.csv')
  expect([...trace.bathCelsius]).toEqual([38, 37])
})

test('every problem is named with its line, what was found and what is allowed', () => {
  expect(problemsIn('seconds,bathCelsius\n0,38\n5,warm\n4,37\n5,\n6,100\n7,1,2\n8,"38,0"\n')).toEqual([
    't.csv:3: bathCelsius is "warm"; allowed: a number',
    't.csv:4: seconds is 4 after 5; allowed: more than in the row before (sort the rows)',
    't.csv:5: bathCelsius is empty; allowed: a number',
    't.csv:6: bathCelsius is 100; allowed: 0 to 60 C (is it in Fahrenheit?)',
    't.csv:7: 3 columns; allowed: 2, as in the header (decimals take a point: 38.5)',
    't.csv:8: bathCelsius is "38,0"; allowed: a number (decimals take a point: 38.0)',
  ])
})

test('a missing column, no header, no rows and an empty file each get one message', () => {
  expect(problemsIn('seconds;bathCelsius\n0;38,5\n')[0]).toContain('commas between the columns')
  for (const text of ['', 'seconds,ambientCelsius\n0,20\n', '0,38\n1,37\n', 'seconds,bathCelsius\n', 'a']) {
    expect(problemsIn(text), JSON.stringify(text)).toHaveLength(1)
    expect(problemsIn(text)[0]).toContain('allowed')
  }
})

test('a thousand lines of rubbish give twenty messages and a count', () => {
  const problems = problemsIn(`seconds,bathCelsius\n${'x,y\n'.repeat(1000)}`)
  expect(problems).toHaveLength(21)
  expect(problems[20]).toBe('t.csv: and 1980 more problems like these')
})

test('a file that is not there, a folder and a file without permission say so and what to do', () => {
  const folder = mkdtempSync(join(tmpdir(), 'evenbath-'))
  expect(problemsOf(() => readTrace(join(folder, 'none.csv')))[0]).toMatch(/no such file/)
  expect(problemsOf(() => readTrace(folder))[0]).toMatch(/folder/)
  expect(unreadable('locked.csv', { code: 'EACCES' })).toBe(
    'locked.csv: no permission to read it; change its permissions',
  )
})

test('whatever text is read as a trace, it is a trace or a list of problems', () => {
  const cell = fc.oneof(fc.double(), fc.integer(), fc.string(), fc.constantFrom('', '"', 'NaN', '1e3', 'seconds'))
  const line = fc.array(cell.map(String), { maxLength: 4 }).map(cells => cells.join(','))
  const text = fc.oneof(
    fc.string({ unit: 'binary' }),
    fc.array(line, { maxLength: 20 }).map(lines => ['seconds,bathCelsius', ...lines].join('\n')),
  )
  fc.assert(
    fc.property(text, rubbish => {
      let rows = 0
      const problems = problemsOf(() => {
        rows = parseTrace(rubbish, 't.csv').seconds.length
      })
      expect(rows > 0).toBe(problems.length === 0)
    }),
    { numRuns: 500 },
  )
})
