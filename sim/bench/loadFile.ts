/**
 * Reads recipe, tank, base and population files by name or path, checks them, and says of each problem where it stands. Never
 * throws for anything a file or its absence can be: what went wrong comes back as a problem of the file.
 */

import { readFileSync, statSync } from 'node:fs'
import type { BaseFile } from '../../firmware/baseFile.ts'
import { checkBase } from '../../firmware/baseFileCheck.ts'
import { baseSpec } from '../../firmware/baseFileFields.ts'
import { accepted, checkRecipe } from '../../firmware/recipe/check.ts'
import type { ObjectSpec } from '../../firmware/recipe/fields.ts'
import { asFields, has } from '../../firmware/recipe/ownKeys.ts'
import { type Problem, quote } from '../../firmware/recipe/problem.ts'
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { recipeSpec } from '../../firmware/recipe/recipeFields.ts'
import { findRecipe } from '../../firmware/recipe/shipped/shipped.ts'
import type { Tank } from '../../firmware/tank/tank.ts'
import { checkTank, tankSpec } from '../../firmware/tank/tankFile.ts'
import { hasDecimalComma, pointed } from './decimalComma.ts'
import { lineAt, readJson } from './jsonText.ts'
import { offsetOf } from './locate.ts'
import { checkDistribution, distributionSpec } from './population/distributionFields.ts'
import { shippedRecipes } from './shippedRecipes.ts'

export type FileKind = 'recipe' | 'tank' | 'base' | 'population'

/** A problem with its line and column, both from 1; 0 where there is no text to point into. */
export interface LocatedProblem extends Problem {
  line: number
  column: number
  lineText: string
}

export interface FileReport {
  file: string
  /** What the file is, as far as it can be told. */
  kind: FileKind | undefined
  accepted: boolean
  problems: LocatedProblem[]
  /** What the file holds; to be used only when it is accepted. */
  value: unknown
}

/** The largest of our files has a few kilobytes. */
const BYTES_AT_MOST = 16 * 1024 * 1024

const KINDS: { kind: FileKind; spec: ObjectSpec; check: (value: unknown) => Problem[] }[] = [
  { kind: 'recipe', spec: recipeSpec(), check: checkRecipe },
  { kind: 'tank', spec: tankSpec, check: checkTank },
  { kind: 'base', spec: baseSpec, check: checkBase },
  { kind: 'population', spec: distributionSpec, check: checkDistribution },
]

/** Reads and checks one file, as `kind` when it is given, else as what its keys look like. */
export function checkFile(file: string, kind?: FileKind): FileReport {
  const read = readText(file)
  if ('problem' in read) return report(file, kind, undefined, [{ ...read.problem, line: 0, column: 0, lineText: '' }])
  return checkText(file, read.text, kind)
}

/** The same for a text that is at hand; `file` is only what it is called. */
export function checkText(file: string, text: string, kind?: FileKind): FileReport {
  const json = readJson(text)
  if (!json.ok) {
    const problem = fileProblem(json.fault.found, json.fault.expected, notJsonHint(file, text, json.fault.offset))
    return report(file, kind, undefined, [{ ...problem, ...lineAt(text, json.fault.offset) }])
  }
  const meant = kind ?? kindOf(json.value)
  const problems: LocatedProblem[] = []
  for (const { key, offset } of json.repeated.slice(0, 20)) {
    const problem = fileProblem(`the key ${quote(key)} a second time`, 'each key once')
    problems.push({ ...problem, about: 'key', ...lineAt(text, offset) })
  }
  const checker = KINDS.find(entry => entry.kind === meant)
  if (checker === undefined) {
    const known = KINDS.map(entry => `a ${entry.kind} has ${keysOf(entry.spec).slice(0, 4).join(', ')} ...`)
    problems.push({
      ...fileProblem('neither a recipe, a tank, a base nor a population', known.join('; ')),
      ...lineAt(text, 0),
    })
  } else {
    for (const problem of checker.check(json.value)) {
      const found = problem.found.replaceAll('"', '')
      const hint = hasDecimalComma(found) ? `${pointed(found)}, without quotes` : problem.hint
      problems.push({ ...problem, hint, ...lineAt(text, offsetOf(json.root, problem.place, problem.about)) })
    }
  }
  problems.sort((a, b) => (a.line === b.line ? a.column - b.column : a.line - b.line))
  return report(file, meant, json.value, problems)
}

/** What may be meant by a text that is not JSON. */
function notJsonHint(file: string, text: string, offset: number): string {
  if (/\.[cm]?[jt]s$/.test(file)) {
    return 'not JSON: recipes that ship are TypeScript; take the example in the README, or check --example recipe'
  }
  const whole = /\d+(?=,$)/.exec(text.slice(Math.max(0, offset - 20), offset))
  const part = /^\d+/.exec(text.slice(offset, offset + 20))
  if (whole !== null && part !== null) return pointed(`${whole[0]},${part[0]}`)
  return 'the file is not JSON'
}

function report(file: string, kind: FileKind | undefined, value: unknown, problems: LocatedProblem[]): FileReport {
  return { file, kind, accepted: accepted(problems), problems, value }
}

function fileProblem(found: string, allowed: string, hint = ''): Problem {
  return { place: '', found, allowed, hint, severity: 'refused', about: 'value' }
}

/** Keys that only one kind of file has. */
function keysOf(spec: ObjectSpec): string[] {
  return spec.fields.map(field => field.key).filter(key => !['name', 'title', 'note', 'source'].includes(key))
}

/** The kind of file whose own keys the value has most of; undefined when it has none of any. */
export function kindOf(value: unknown): FileKind | undefined {
  const fields = asFields(value)
  if (fields === undefined) return undefined
  let best: FileKind | undefined
  let most = 0
  for (const { kind, spec } of KINDS) {
    const count = keysOf(spec).filter(key => has(fields, key)).length
    if (count > most) {
      best = kind
      most = count
    }
  }
  return best
}

/** The text of a file, or what stands against reading it. */
export function readText(file: string): { text: string } | { problem: Problem } {
  try {
    const stat = statSync(file)
    if (stat.isDirectory()) return { problem: fileProblem('a directory', 'a JSON file') }
    if (!stat.isFile()) return { problem: fileProblem('no regular file', 'a JSON file') }
    if (stat.size === 0) return { problem: fileProblem('an empty file', 'a JSON file') }
    if (stat.size > BYTES_AT_MOST) {
      return {
        problem: fileProblem(`${stat.size} bytes`, `at most ${BYTES_AT_MOST} bytes`, 'our files have kilobytes'),
      }
    }
    return decode(readFileSync(file))
  } catch (error) {
    return { problem: readProblem((error as { code?: string }).code ?? 'unknown') }
  }
}

/** The bytes as UTF-8 text without a byte order mark. */
export function decode(bytes: Uint8Array): { text: string } | { problem: Problem } {
  if (bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf) {
    return { problem: fileProblem('a byte order mark', 'UTF-8 without one', 'save it as plain UTF-8') }
  }
  try {
    return { text: new TextDecoder('utf-8', { fatal: true }).decode(bytes) }
  } catch {
    return { problem: fileProblem('bytes that are not UTF-8', 'UTF-8', 'save it as plain UTF-8') }
  }
}

/** What the system said against reading a file, in our words. */
export function readProblem(code: string): Problem {
  if (code === 'ENOENT' || code === 'ENOTDIR') return fileProblem('no such file', 'a JSON file', 'is the path right?')
  if (code === 'EACCES' || code === 'EPERM') return fileProblem('a file that may not be read', 'permission to read it')
  return fileProblem(`a file that cannot be read (${code})`, 'a JSON file')
}

/** A file's content as what it is meant to be, or the report that says why not. Warnings are in the report either way. */
export interface Loaded<T> {
  /** Undefined when the file was refused. */
  value: T | undefined
  report: FileReport
}

function load<T>(file: string, kind: FileKind): Loaded<T> {
  const checked = checkFile(file, kind)
  return { value: checked.accepted ? (checked.value as T) : undefined, report: checked }
}

/** A shipped recipe by name, or a recipe file. */
export function loadRecipe(nameOrFile: string): Loaded<Recipe> {
  const shipped = findRecipe(nameOrFile)
  if (shipped !== undefined) return { value: shipped, report: report(nameOrFile, 'recipe', shipped, []) }
  const loaded = load<Recipe>(nameOrFile, 'recipe')
  const first = loaded.report.problems[0]
  if (first?.found === 'no such file') {
    first.allowed = `a recipe file, or one of ${shippedRecipes.map(recipe => recipe.name).join(', ')}`
  }
  return loaded
}

export function loadTank(file: string): Loaded<Tank> {
  return load<Tank>(file, 'tank')
}

export function loadBase(file: string): Loaded<BaseFile> {
  return load<BaseFile>(file, 'base')
}
