/** Which source each byte of a bundle comes from, read from its source map. */
import { decodeMappings } from './sourceMap.ts'

export interface Sizes {
  /** Bytes by source file. */
  files: { [source: string]: number }
  /** Bytes by room of the house: the folder, two steps deep. */
  rooms: { [room: string]: number }
}

/** Bytes that no source claims (the wrapping, the first line, the padding) are counted as `(joining)`. */
export function sizesOf(code: string, map: string): Sizes {
  const { sources } = JSON.parse(map) as { sources: string[] }
  const files: { [source: string]: number } = {}
  const add = (source: string, bytes: number): void => {
    if (bytes > 0) files[source] = (files[source] ?? 0) + bytes
  }
  const lines = code.split('\n')
  const mapped = decodeMappings(map)
  lines.forEach((line, i) => {
    let owner = '(joining)'
    let from = 0
    for (const segment of mapped[i] ?? []) {
      add(owner, segment.column - from)
      from = segment.column
      owner = segment.source === undefined ? '(joining)' : sources[segment.source]
    }
    add(owner, line.length - from + (i < lines.length - 1 ? 1 : 0))
  })
  const rooms: { [room: string]: number } = {}
  for (const [file, bytes] of Object.entries(files)) {
    const room = roomOf(file)
    rooms[room] = (rooms[room] ?? 0) + bytes
  }
  return { files, rooms: ordered(rooms) }
}

function roomOf(file: string): string {
  const parts = file.split('/')
  return parts.length > 2 ? `${parts[0]}/${parts[1]}` : file
}

function ordered(bytes: { [name: string]: number }): { [name: string]: number } {
  return Object.fromEntries(
    Object.entries(bytes).sort((one, other) => other[1] - one[1] || (one[0] < other[0] ? -1 : 1)),
  )
}
