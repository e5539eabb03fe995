/**
 * The bundles that `npm run build` leaves, checked before a byte of them goes to a board: there, whole (CRC), ASCII, with
 * the first line that says what they are. Throws `LinkError` that says what to do.
 */
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { unreadable } from '../bench/inputError.ts'
import { badBuild, badBundle, noBuild, noBundle } from './messages.ts'
import { crcOf } from './prompt.ts'

export const DIST = fileURLToPath(new URL('../../dist', import.meta.url))

export type BundleKind = 'guard' | 'firmware' | 'rehearsal'

/** A text for the board's store. */
export interface BundleText {
  text: string
  crc32: number
  kind: BundleKind
  wiring: string
  version: string
}

interface Entry {
  file: string
  kind: BundleKind
  wiring?: string
  bytes: number
  crc32: string
}

interface Manifest {
  version: string
  bundles: Entry[]
}

const FIRST_LINE = /^\/\/evenbath (\S+) (\S+) (firmware|rehearsal)\b/

export const hex8 = (crc: number): string => (crc >>> 0).toString(16).padStart(8, '0')

function manifestIn(dist: string): Manifest {
  const path = join(dist, 'manifest.json')
  let text: string
  try {
    text = readFileSync(path, 'utf8')
  } catch {
    throw noBuild(path)
  }
  try {
    const manifest = JSON.parse(text) as Manifest
    if (typeof manifest.version === 'string' && Array.isArray(manifest.bundles)) return manifest
  } catch {
    // Said below, like any other wrong shape.
  }
  throw badBuild(path, 'not a list of bundles')
}

function textOf(dist: string, entry: Entry, version: string): BundleText {
  const path = join(dist, entry.file)
  let text: string
  try {
    text = readFileSync(path, 'latin1')
  } catch {
    throw noBuild(path)
  }
  const crc32 = crcOf(text)
  if (text.length !== entry.bytes || hex8(crc32) !== entry.crc32.toLowerCase()) {
    throw badBuild(path, `not the file that was built (CRC ${hex8(crc32)}, expected ${entry.crc32})`)
  }
  return { text, crc32, kind: entry.kind, wiring: entry.wiring ?? '', version }
}

/** The guard, firmware or rehearsal of the build for a wiring. */
export function builtBundle(dist: string, kind: BundleKind, wiring: string): BundleText {
  const { bundles, version } = manifestIn(dist)
  const entry = bundles.find(one => one.kind === kind && one.wiring === wiring)
  if (entry === undefined) {
    const known = bundles.filter(one => one.kind === kind && one.wiring !== undefined).map(one => String(one.wiring))
    throw noBundle(kind, wiring, known)
  }
  return textOf(dist, entry, version)
}

/** Throws `LinkError` when there is no build at all: said before a board is touched. */
export function needBuild(dist: string): void {
  manifestIn(dist)
}

/** A bundle from a file of the user's. Padded to a multiple of 4 bytes, as the board's store wants it. */
export function bundleFile(path: string): BundleText {
  let text: string
  try {
    text = readFileSync(path, 'latin1')
  } catch (thrown) {
    throw badBundle(path, unreadable(path, thrown).replace(`${path}: `, ''))
  }
  const first = FIRST_LINE.exec(text)
  if (first === null) throw badBundle(path, 'its first line does not say //evenbath VERSION WIRING KIND')
  if (/[^\t\n\r -~]/.test(text)) throw badBundle(path, 'it holds more than plain ASCII')
  while (text.length % 4 !== 0) text += '\n'
  const [, version, wiring, kind] = first as unknown as [string, string, string, BundleKind]
  return { text, crc32: crcOf(text), kind, wiring, version }
}
