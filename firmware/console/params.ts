/**
 * Checks the parameters of a request against a method's table: every problem at once, each with place, found and
 * allowed. Own keys only; never throws. A parameter of kind `any` is checked by its method.
 */
import { type Fields, has } from '../recipe/ownKeys.ts'
import { describe, quote } from '../recipe/problem.ts'

export interface Param {
  name: string
  kind: 'number' | 'whole' | 'text' | 'flag' | 'any'
  /** Of a number its range; of a text its length. */
  least: number
  most: number
  required: boolean
}

export function required(name: string, kind: Param['kind'], least: number, most: number): Param {
  return { name: name, kind: kind, least: least, most: most, required: true }
}

export function optional(name: string, kind: Param['kind'], least: number, most: number): Param {
  return { name: name, kind: kind, least: least, most: most, required: false }
}

/** One thing wrong, as it is sent. */
export interface Wrong {
  place: string
  found: string
  allowed: string
}

export function wrong(place: string, found: string, allowed: string): Wrong {
  return { place: place, found: found, allowed: allowed }
}

/** Unknown keys listed at most; nobody mends more at once. */
const UNKNOWN_AT_MOST = 5

/** All that is wrong with `given`; empty when nothing is. */
export function checkParams(params: Param[], given: Fields): Wrong[] {
  const wrongs: Wrong[] = []
  let names = ''
  for (let i = 0; i < params.length; i++) {
    const param = params[i]
    names += (i > 0 ? ', ' : '') + param.name
    if (has(given, param.name)) {
      if (!fits(param, given[param.name])) wrongs.push(wrong(param.name, describe(given[param.name]), allowed(param)))
    } else if (param.required) wrongs.push(wrong(param.name, 'nothing', allowed(param)))
  }
  for (const key in given) {
    if (!has(given, key) || isNamed(params, key) || wrongs.length >= UNKNOWN_AT_MOST) continue
    wrongs.push(wrong(quote(key), 'an unknown key', names === '' ? 'no keys' : names))
  }
  return wrongs
}

function isNamed(params: Param[], key: string): boolean {
  for (let i = 0; i < params.length; i++) if (params[i].name === key) return true
  return false
}

function fits(param: Param, value: unknown): boolean {
  switch (param.kind) {
    case 'flag':
      return value === true || value === false
    case 'text':
      return typeof value === 'string' && within(param, value.length) && !/[^ -~]/.test(value)
    case 'number':
      return typeof value === 'number' && within(param, value)
    case 'whole':
      return typeof value === 'number' && within(param, value) && Math.floor(value) === value
    default:
      return true
  }
}

function within(param: Param, value: number): boolean {
  return value >= param.least && value <= param.most
}

/** What a parameter may be, in words. */
export function allowed(param: Param): string {
  const range = param.least + ' to ' + param.most
  switch (param.kind) {
    case 'flag':
      return 'true or false'
    case 'text':
      return 'ASCII text, ' + range + ' long'
    case 'number':
      return range
    case 'whole':
      return 'whole, ' + range
    default:
      return 'see the method'
  }
}

/** One of them in a line. */
export function wrongText(one: Wrong): string {
  return one.place + ': ' + one.found + ' (allowed: ' + one.allowed + ')'
}
