/**
 * What a checker found, and how problems are collected: all at once, each once, with a bound on how many are listed.
 */

export interface Problem {
  /** `baths[1].rows[0][1]`; empty for the whole file. */
  place: string
  found: string
  allowed: string
  hint: string
  severity: 'refused' | 'warning'
  /**
   * What the place points at: a `key` that should not be there, one that is `missing`, a `value` that is not allowed
   * by itself, or one that is not in `relation` to others.
   */
  about: 'key' | 'missing' | 'value' | 'relation'
}

/** A person mends a file in rounds; nobody reads further than this. */
const LISTED_AT_MOST = 100

export interface Problems {
  list: Problem[]
  /** Found, but beyond what is listed. */
  unlisted: number
  unlistedRefused: boolean
  /** Called at every entry of a list, for whoever must not be kept waiting. */
  onEntry: (() => void) | undefined
}

export function createProblems(onEntry?: () => void): Problems {
  return { list: [], unlisted: 0, unlistedRefused: false, onEntry: onEntry }
}

export function addProblem(problems: Problems, problem: Problem): void {
  if (problems.list.length < LISTED_AT_MOST) {
    problems.list.push(problem)
    return
  }
  problems.unlisted++
  if (problem.severity === 'refused') problems.unlistedRefused = true
}

export function refuse(
  problems: Problems,
  about: Problem['about'],
  place: string,
  found: string,
  allowed: string,
  hint: string,
): void {
  addProblem(problems, { place, found, allowed, hint, severity: 'refused', about })
}

export function warn(problems: Problems, place: string, found: string, allowed: string, hint: string): void {
  addProblem(problems, { place, found, allowed, hint, severity: 'warning', about: 'relation' })
}

/** The list, closed by one entry that counts what was not listed. */
export function listProblems(problems: Problems): Problem[] {
  if (problems.unlisted > 0) {
    problems.list.push({
      place: '',
      found: problems.unlisted + ' more problems',
      allowed: 'none',
      hint: 'mend the first ' + LISTED_AT_MOST + ', then check again',
      severity: problems.unlistedRefused ? 'refused' : 'warning',
      about: 'relation',
    })
  }
  return problems.list
}

/** True when nothing stands against using the file: warnings may. */
export function accepted(problems: Problem[]): boolean {
  for (let i = 0; i < problems.length; i++) {
    if (problems[i].severity === 'refused') return false
  }
  return true
}

/** The place of an entry of a list or of a key of an object. */
export function placeOf(place: string, key: string | number): string {
  if (typeof key === 'number') return place + '[' + key + ']'
  if (/^[A-Za-z][A-Za-z0-9]*$/.test(key)) return place === '' ? key : place + '.' + key
  return place + '[' + quote(key) + ']'
}

const QUOTED_AT_MOST = 40

/** A text as it is shown: in quotes, printable ASCII, cut when long. */
export function quote(value: string): string {
  let shown = ''
  for (let i = 0; i < value.length && i < QUOTED_AT_MOST; i++) {
    const code = value.charCodeAt(i)
    const sign = value.charAt(i)
    if (sign === '"' || sign === '\\') shown += '\\' + sign
    else shown += code < 32 || code > 126 ? escapeCode(code) : sign
  }
  return '"' + shown + (value.length > QUOTED_AT_MOST ? '...' : '') + '"'
}

/** \u00e9 */
function escapeCode(code: number): string {
  return '\\u' + ('000' + code.toString(16)).slice(-4)
}

/** What was found, in words; never calls anything that belongs to the value. */
export function describe(value: unknown): string {
  if (value === null) return 'null'
  if (value === undefined) return 'nothing'
  if (typeof value === 'string') return quote(value)
  if (typeof value === 'number' || typeof value === 'boolean') return '' + value
  if (Array.isArray(value)) return value.length === 0 ? 'an empty list' : 'a list of ' + value.length
  return typeof value === 'object' ? 'an object' : 'a ' + typeof value
}
