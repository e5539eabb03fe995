/** Reads source maps (ECMA-426, version 3 of the format): just what the size report and the rules' messages need. */
export interface Segment {
  /** Column in the generated line, from 0. */
  column: number
  /** Index into the map's sources; undefined where nothing is mapped. */
  source?: number
  /** Line and column in the source, from 0. */
  sourceLine: number
  sourceColumn: number
}

const DIGITS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/'

/** The segments of each generated line, in order. */
export function decodeMappings(map: string): Segment[][] {
  const { mappings } = JSON.parse(map) as { mappings: string }
  let source = 0
  let sourceLine = 0
  let sourceColumn = 0
  return mappings.split(';').map(line => {
    let column = 0
    return line.split(',').flatMap(text => {
      if (text === '') return []
      const [dColumn, dSource, dLine, dSourceColumn] = numbers(text)
      column += dColumn
      if (dSource === undefined) return [{ column, sourceLine: 0, sourceColumn: 0 }]
      source += dSource
      sourceLine += dLine
      sourceColumn += dSourceColumn
      return [{ column, source, sourceLine, sourceColumn }]
    })
  })
}

/** Base 64 variable-length quantities: five bits a digit, the lowest bit of a number its sign. */
function numbers(text: string): number[] {
  const found: number[] = []
  let value = 0
  let shift = 0
  for (const character of text) {
    const digit = DIGITS.indexOf(character)
    value += (digit & 31) << shift
    shift += 5
    if (digit & 32) continue
    found.push(value & 1 ? -(value >> 1) : value >> 1)
    value = 0
    shift = 0
  }
  return found
}

/** `file:line` of the source at an offset of a text, or undefined where the map knows none. */
export function sourceAt(code: string, map: string, offset: number): string | undefined {
  const before = code.slice(0, offset).split('\n')
  const column = before[before.length - 1].length
  const segment = decodeMappings(map)
    [before.length - 1]?.filter(one => one.column <= column)
    .pop()
  if (segment?.source === undefined) return undefined
  return `${(JSON.parse(map) as { sources: string[] }).sources[segment.source]}:${segment.sourceLine + 1}`
}
