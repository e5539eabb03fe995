/**
 * Reads JSON text and keeps where everything stands, so that a problem can be shown at its line and column. Strict
 * (RFC 8259), because the board's own reader is not: a text that passes here means the same everywhere. A key given
 * twice is reported, for the board takes the first and the laptop the last. Never throws; depth is bounded.
 */

/** Where a value stands in the text, and its parts. */
export interface JsonNode {
  start: number
  end: number
  /** Of an object. */
  keys: Map<string, { start: number; node: JsonNode }> | undefined
  /** Of a list. */
  items: JsonNode[] | undefined
}

export interface JsonFault {
  offset: number
  found: string
  expected: string
}

export type JsonResult =
  | { ok: true; value: unknown; root: JsonNode; repeated: { key: string; offset: number }[] }
  | { ok: false; fault: JsonFault }

/** No file of ours nests deeper than seven. */
const DEPTH_AT_MOST = 64

interface Reader {
  text: string
  at: number
  depth: number
  fault: JsonFault | undefined
  repeated: { key: string; offset: number }[]
}

interface Read {
  value: unknown
  node: JsonNode
}

/** Reads the whole text; the first fault ends the reading. */
export function readJson(text: string): JsonResult {
  const reader: Reader = { text, at: 0, depth: 0, fault: undefined, repeated: [] }
  const read = readValue(reader)
  skipSpace(reader)
  if (read !== undefined && reader.at < text.length) fail(reader, 'nothing more')
  if (read === undefined || reader.fault !== undefined) {
    return { ok: false, fault: reader.fault ?? { offset: reader.at, found: next(reader), expected: 'JSON' } }
  }
  return { ok: true, value: read.value, root: read.node, repeated: reader.repeated }
}

/** Notes the first fault, at the reading point unless `found` says otherwise. */
function fail(reader: Reader, expected: string, found = next(reader)): undefined {
  reader.fault ??= { offset: Math.min(reader.at, reader.text.length), found, expected }
  return undefined
}

/** What stands at the reading point, for messages. */
function next(reader: Reader): string {
  if (reader.at >= reader.text.length) return 'the end of the file'
  const word = /^[\w$.+-]{1,20}/.exec(reader.text.slice(reader.at, reader.at + 20))
  const sign = word === null ? reader.text[reader.at] : word[0]
  return word !== null ? sign : JSON.stringify(sign)
}

function skipSpace(reader: Reader): void {
  while (reader.at < reader.text.length && ' \t\n\r'.includes(reader.text[reader.at])) reader.at++
}

function readValue(reader: Reader): Read | undefined {
  skipSpace(reader)
  const sign = reader.text[reader.at]
  if (sign === '{') return nested(reader, readObject)
  if (sign === '[') return nested(reader, readList)
  const start = reader.at
  if (sign === '"') {
    const value = readString(reader)
    return value === undefined ? undefined : leaf(reader, value, start)
  }
  for (const [word, value] of WORDS) {
    if (reader.text.startsWith(word, start) && !/\w/.test(reader.text[start + word.length] ?? ' ')) {
      reader.at += word.length
      return leaf(reader, value, start)
    }
  }
  NUMBER.lastIndex = start
  const number = NUMBER.exec(reader.text)
  if (number === null || /[\w.]/.test(reader.text[NUMBER.lastIndex] ?? ' ')) {
    return fail(reader, 'a value')
  }
  reader.at = NUMBER.lastIndex
  return leaf(reader, Number(number[0]), start)
}

const WORDS: [string, unknown][] = [
  ['true', true],
  ['false', false],
  ['null', null],
]

const NUMBER = /-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?/y

function leaf(reader: Reader, value: unknown, start: number): Read {
  return { value, node: { start, end: reader.at, keys: undefined, items: undefined } }
}

function nested(reader: Reader, read: (reader: Reader) => Read | undefined): Read | undefined {
  if (reader.depth >= DEPTH_AT_MOST) return fail(reader, `at most ${DEPTH_AT_MOST} levels of nesting`, 'a deeper one')
  reader.depth++
  const result = read(reader)
  reader.depth--
  return result
}

function readList(reader: Reader): Read | undefined {
  const start = reader.at++
  const value: unknown[] = []
  const items: JsonNode[] = []
  skipSpace(reader)
  if (reader.text[reader.at] === ']') reader.at++
  else {
    for (;;) {
      const read = readValue(reader)
      if (read === undefined) return undefined
      value.push(read.value)
      items.push(read.node)
      skipSpace(reader)
      const sign = reader.text[reader.at]
      if (sign !== ',' && sign !== ']') return fail(reader, '"," or "]" after an entry')
      reader.at++
      if (sign === ']') break
    }
  }
  return { value, node: { start, end: reader.at, keys: undefined, items } }
}

function readObject(reader: Reader): Read | undefined {
  const start = reader.at++
  const value: Record<string, unknown> = {}
  const keys: NonNullable<JsonNode['keys']> = new Map()
  skipSpace(reader)
  if (reader.text[reader.at] === '}') reader.at++
  else {
    for (;;) {
      skipSpace(reader)
      const keyStart = reader.at
      if (reader.text[keyStart] !== '"') return fail(reader, 'a key in double quotes')
      const key = readString(reader)
      if (key === undefined) return undefined
      skipSpace(reader)
      if (reader.text[reader.at] !== ':') return fail(reader, '":" after a key')
      reader.at++
      const read = readValue(reader)
      if (read === undefined) return undefined
      if (keys.has(key)) reader.repeated.push({ key, offset: keyStart })
      keys.set(key, { start: keyStart, node: read.node })
      // A key like __proto__ must become a key and not what it names.
      Object.defineProperty(value, key, { value: read.value, enumerable: true, writable: true, configurable: true })
      skipSpace(reader)
      const sign = reader.text[reader.at]
      if (sign !== ',' && sign !== '}') return fail(reader, '"," or "}" after a value')
      reader.at++
      if (sign === '}') break
    }
  }
  return { value, node: { start, end: reader.at, keys, items: undefined } }
}

function readString(reader: Reader): string | undefined {
  const { text } = reader
  let at = reader.at + 1
  while (at < text.length && text[at] !== '"' && text[at] >= ' ') at += text[at] === '\\' ? 2 : 1
  if (text[at] !== '"') {
    reader.at = Math.min(at, text.length)
    return fail(reader, 'a quotation mark at the end of the text')
  }
  const raw = text.slice(reader.at, at + 1)
  const badEscape = /\\(?!["\\/bfnrt]|u[0-9a-fA-F]{4})/.exec(raw.replace(/\\\\/g, '__'))
  if (badEscape !== null) {
    reader.at += badEscape.index
    return fail(reader, 'an escape such as \\n or \\u00e9', raw.slice(badEscape.index, badEscape.index + 2))
  }
  reader.at = at + 1
  return JSON.parse(raw) as string
}

/** Line and column, both from 1, and the line itself. */
export function lineAt(text: string, offset: number): { line: number; column: number; lineText: string } {
  const before = text.slice(0, offset)
  const lineStart = Math.max(before.lastIndexOf('\n'), before.lastIndexOf('\r')) + 1
  const line = before.split(/\r\n|\n|\r/).length
  const rest = /[^\r\n]*/y
  rest.lastIndex = lineStart
  return { line, column: offset - lineStart + 1, lineText: rest.exec(text)?.[0] ?? '' }
}
