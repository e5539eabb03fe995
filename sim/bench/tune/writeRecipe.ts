/**
 * Puts a programme into a recipe file. Everything else in the file stays as it is, byte for byte: only the value of one
 * agitation is replaced, or, where other baths turn by the same one, an agitation of the bath's own is added and the
 * bath pointed to it. A file that is not there yet becomes a copy of the recipe with the programme in it.
 *
 * A shipped recipe is not a file and is refused, with what to do. What was written is checked before it takes the old
 * file's place; the old file is never half-written.
 */
import { existsSync } from 'node:fs'
import { basename } from 'node:path'
import type { Agitation, Recipe } from '../../../firmware/recipe/recipe.ts'
import { SHIPPED_NAMES } from '../../../firmware/recipe/shipped/shipped.ts'
import { reportLines } from '../check.ts'
import { InputError } from '../inputError.ts'
import { type JsonNode, readJson } from '../jsonText.ts'
import { checkFile, checkText, readText } from '../loadFile.ts'
import { openWhole, tryWhole } from '../wholeFile.ts'
import { placeFor } from './fragment.ts'

/** A slug may not be longer. */
const NAME_AT_MOST = 24

/** Throws `InputError` when `file` cannot take a programme for this bath, before any work is done. */
export function checkTarget(file: string, bathName: string): void {
  if (SHIPPED_NAMES.includes(file)) {
    throw new InputError([
      `--write: ${file} ships with the base and is never changed; name a file of your own, for instance ` +
        `--write my-${file}.json: where there is none yet, it becomes a copy with the programme in it`,
    ])
  }
  tryWhole('--write', file)
  if (!existsSync(file)) return
  const report = checkFile(file, 'recipe')
  if (!report.accepted) throw new InputError(reportLines(report))
  const recipe = report.value as Recipe
  if (recipe.baths.some(bath => bath.name === bathName)) return
  const names = recipe.baths.map(bath => bath.name).join(', ')
  throw new InputError([`--write: ${file} has no bath called ${bathName}; it has ${names}`])
}

/** Writes it. Returns what was done, in words. */
export function writeProgramme(file: string, recipe: Recipe, bathName: string, agitation: Agitation): string {
  const isNew = !existsSync(file)
  const text = isNew ? copyOf(file, recipe) : textOf(file)
  const { text: changed, key, isAdded } = withProgramme(text, bathName, agitation)
  const report = checkText(file, changed, 'recipe')
  if (!report.accepted) throw new Error(`the changed ${file} would not be a recipe: ${reportLines(report).join('; ')}`)
  replaceFile(file, changed)
  const whole = isNew ? `${file}: a copy of ${recipe.name} with the programme` : `${file}: the programme`
  return isAdded
    ? `${whole} as "${key}", for the ${bathName} alone: other baths go on turning as before`
    : `${whole} as "${key}"`
}

function textOf(file: string): string {
  const read = readText(file)
  if ('problem' in read) throw new InputError([`--write: ${file}: ${read.problem.found}`])
  return read.text
}

/** A recipe of the user's own has its own name: the file's, where that can be one. */
function copyOf(file: string, recipe: Recipe): string {
  const slug = basename(file)
    .replace(/\.json$/i, '')
    .toLowerCase()
  const fits = /^[a-z0-9-]+$/.test(slug) && slug.length <= NAME_AT_MOST && !SHIPPED_NAMES.includes(slug)
  const name = fits ? slug : `${recipe.name.slice(0, NAME_AT_MOST - 6)}-tuned`
  return `${JSON.stringify({ ...recipe, name }, null, 2)}\n`
}

interface Changed {
  text: string
  /** The agitation's name, and whether it is a new one. */
  key: string
  isAdded: boolean
}

/** The text of a checked recipe with another programme for this bath; every other byte stays. */
export function withProgramme(text: string, bathName: string, agitation: Agitation): Changed {
  const json = readJson(text)
  if (!json.ok) throw new Error('withProgramme takes a checked recipe')
  const recipe = json.value as Recipe
  const index = recipe.baths.findIndex(bath => bath.name === bathName)
  const agitations = child(json.root, 'agitations')
  const { key, isAdded } = placeFor(recipe, bathName)
  if (!isAdded) {
    const node = child(agitations, key)
    return { text: spliced(text, node, asWritten(agitation, indentAt(text, node.start))), key, isAdded }
  }
  const bath = (child(json.root, 'baths').items as JsonNode[])[index] as JsonNode
  const pointed = { node: child(bath, 'agitation'), written: JSON.stringify(key) }
  const last = [...(agitations.keys?.values() ?? [])].at(-1) as { start: number; node: JsonNode }
  const indent = indentAt(text, last.start)
  const isOneLine = !text.slice(agitations.start, last.start).includes('\n')
  const gap = isOneLine ? ', ' : `,\n${indent}`
  const added = {
    node: { start: last.node.end, end: last.node.end },
    written: `${gap}${JSON.stringify(key)}: ${isOneLine ? JSON.stringify(agitation) : asWritten(agitation, indent)}`,
  }
  // From the end on, so that what comes first keeps its place.
  const edits = [pointed, added].sort((a, b) => b.node.start - a.node.start)
  const changed = edits.reduce((whole, edit) => spliced(whole, edit.node, edit.written), text)
  return { text: changed, key, isAdded }
}

function child(node: JsonNode, key: string): JsonNode {
  return (node.keys as NonNullable<JsonNode['keys']>).get(key)?.node as JsonNode
}

function spliced(text: string, node: { start: number; end: number }, written: string): string {
  return text.slice(0, node.start) + written + text.slice(node.end)
}

/** The space before what stands first in the line of this place. */
function indentAt(text: string, offset: number): string {
  const line = text.slice(text.lastIndexOf('\n', offset - 1) + 1, offset)
  return /^[ \t]*/.exec(line)?.[0] ?? ''
}

function asWritten(agitation: Agitation, indent: string): string {
  return JSON.stringify(agitation, null, 2).replace(/\n/g, `\n${indent}`)
}

function replaceFile(file: string, text: string): void {
  const whole = openWhole('--write', file)
  whole.write(text)
  whole.finish()
}
