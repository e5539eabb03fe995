/** The JSON reader with positions, against the one that the language brings. */
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { type JsonNode, lineAt, readJson } from '../../../sim/bench/jsonText.ts'

test('any JSON text is read as JSON.parse reads it', () => {
  fc.assert(
    fc.property(fc.jsonValue({ maxDepth: 6 }), fc.constantFrom(0, 2), (value, indent) => {
      const text = JSON.stringify(value, null, indent)
      const read = readJson(text)
      expect(read.ok && read.value).toEqual(JSON.parse(text))
      if (read.ok) expectNodes(text, read.root, read.value)
    }),
  )
})

/** Every node's stretch of text is that node's value. */
function expectNodes(text: string, node: JsonNode, value: unknown): void {
  expect(JSON.parse(text.slice(node.start, node.end))).toEqual(value)
  node.items?.forEach((item, i) => {
    expectNodes(text, item, (value as unknown[])[i])
  })
  for (const [key, child] of node.keys ?? []) {
    expect(text.startsWith(JSON.stringify(key), child.start)).toBe(true)
    expectNodes(text, child.node, (value as Record<string, unknown>)[key])
  }
}

test('whatever text it is given, the reader refuses exactly what JSON.parse refuses, and never throws', () => {
  const pieces = [
    '{',
    '}',
    '[',
    ']',
    ',',
    ':',
    '"',
    '\\',
    '"a"',
    '1',
    '-',
    '.5',
    'e1',
    '0',
    'true',
    'null',
    'NaN',
    ' ',
    '\n',
    '\\u00e9',
  ]
  const text = fc.oneof(
    fc.string(),
    fc.array(fc.constantFrom(...pieces), { maxLength: 12 }).map(parts => parts.join('')),
  )
  fc.assert(
    fc.property(text, candidate => {
      expect(readJson(candidate).ok, candidate).toBe(parses(candidate))
    }),
    { numRuns: 3000 },
  )
})

function parses(text: string): boolean {
  try {
    JSON.parse(text)
    return true
  } catch {
    return false
  }
}

test('line and column count from 1, over every kind of line end', () => {
  const text = 'ab\ncd\r\nef\rgh'
  expect(lineAt(text, 0)).toEqual({ line: 1, column: 1, lineText: 'ab' })
  expect(lineAt(text, 4)).toEqual({ line: 2, column: 2, lineText: 'cd' })
  expect(lineAt(text, 7)).toEqual({ line: 3, column: 1, lineText: 'ef' })
  expect(lineAt(text, 12)).toEqual({ line: 4, column: 3, lineText: 'gh' })
})
