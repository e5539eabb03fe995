/**
 * Checks the parameters of a request against what its method takes: every problem at once, each with place, found and
 * allowed. Own keys only; never throws.
 *
 * A parameter is written as one line, which is also what a refusal says is allowed: `rpm number 5 to 120`. Kinds:
 * `number`, `whole`, `text` (its length), `flag`, `any` (its method looks at it). A `?` after the name: may be left out.
 */
import { type Fields, has } from '../recipe/ownKeys.ts'
import { describe, quote } from '../recipe/problem.ts'

/** One thing wrong, as it is sent. */
export interface Wrong {
  place: string
  found: string
  allowed: string
}

export function wrong(place: string, found: string, allowed: string): Wrong {
  return { place: place, found: found, allowed: allowed }
}

/** One of them in a line. */
export function wrongText(one: Wrong): string {
  return one.place + ': ' + one.found + ' (allowed: ' + one.allowed + ')'
}

/** Listed at most; nobody mends more at once. */
const WRONGS_AT_MOST = 8

/** All that is wrong with `given`; empty when nothing is. */
export function checkParams(params: string[], given: Fields): Wrong[] {
  const wrongs: Wrong[] = []
  const names: string[] = []
  for (let i = 0; i < params.length; i++) {
    const words = params[i].split(' ')
    const name = words[0].replace('?', '')
    const there = has(given, name)
    names.push(name)
    if (there ? fits(words, given[name]) : name !== words[0]) continue
    wrongs.push(wrong(name, there ? describe(given[name]) : 'nothing', params[i].substr(words[0].length + 1)))
  }
  for (const key in given) {
    if (!has(given, key) || names.indexOf(key) >= 0 || wrongs.length >= WRONGS_AT_MOST) continue
    wrongs.push(wrong(quote(key), 'unknown', names.join(', ') || 'nothing'))
  }
  return wrongs
}

/** `words`: name, kind, least, "to", most. */
function fits(words: string[], value: unknown): boolean {
  const kind = words[1]
  if (kind === 'any') return true
  if (kind === 'flag') return value === true || value === false
  let size = value as number
  if (kind === 'text') size = isPlain(value) ? (value as string).length : NaN
  else if (typeof value !== 'number' || (kind === 'whole' && Math.floor(value) !== value)) return false
  return size >= +words[2] && size <= +words[4]
}

/** Printable ASCII. */
export function isPlain(value: unknown): boolean {
  return typeof value === 'string' && !/[^ -~]/.test(value)
}
