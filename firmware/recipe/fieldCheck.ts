/**
 * Checks any value against a table of fields: every problem at once, each with its place, what was found, what is
 * allowed and a hint. Assumes nothing of the value: it never throws, goes no deeper than the table, and looks at no
 * more entries than a list may have, so that a million baths cost no more than sixteen.
 */
import {
  allowedWords,
  type Field,
  type ListSpec,
  type NamedSpec,
  type ObjectSpec,
  type Order,
  type Spec,
  type TupleSpec,
  type When,
} from './fields.ts'
import { checkChoice, checkNumber, checkText, didYouMean, wrong } from './leafCheck.ts'
import { asFields, type Fields, has, own } from './ownKeys.ts'
import { describe, type Problems, placeOf, quote, refuse } from './problem.ts'

/** Unknown keys listed for one object; the rest are counted. */
const UNKNOWN_LISTED_AT_MOST = 10

/** Checks `value` at `place` against `spec`. */
export function checkSpec(problems: Problems, spec: Spec, value: unknown, place: string, meaning: string): void {
  switch (spec.type) {
    case 'number':
      checkNumber(problems, spec, value, place, meaning)
      return
    case 'text':
      checkText(problems, spec, value, place, meaning)
      return
    case 'choice':
      checkChoice(problems, spec, value, place, meaning)
      return
    case 'flag':
      if (value !== true && value !== false) wrong(problems, spec, value, place, meaning)
      return
    case 'list':
      checkList(problems, spec, value, place, meaning)
      return
    case 'tuple':
      checkTuple(problems, spec, value, place, meaning)
      return
    case 'object':
      checkObject(problems, spec, value, place, meaning)
      return
    case 'named':
      checkNamed(problems, spec, value, place, meaning)
      return
  }
}

function checkList(problems: Problems, spec: ListSpec, value: unknown, place: string, meaning: string): void {
  if (!Array.isArray(value)) {
    wrong(problems, spec, value, place, meaning)
    return
  }
  if (value.length < spec.least || value.length > spec.most) wrong(problems, spec, value, place, meaning)
  for (let i = 0; i < value.length && i < spec.most; i++) {
    if (problems.onEntry !== undefined) problems.onEntry()
    checkSpec(problems, spec.of, value[i], placeOf(place, i), meaning)
    if (i > 0) checkOrder(problems, spec, value, i, place)
  }
}

/** The pair at `i` against the one before; members that are no numbers are somebody else's problem. */
function checkOrder(problems: Problems, spec: ListSpec, list: unknown[], i: number, place: string): void {
  const before = list[i - 1]
  const here = list[i]
  if (!Array.isArray(before) || !Array.isArray(here)) return
  const orders = [spec.first, spec.second]
  for (let k = 0; k < 2; k++) {
    const order = orders[k]
    if (order === undefined || typeof before[k] !== 'number' || typeof here[k] !== 'number') continue
    if (isNaN(before[k]) || isNaN(here[k]) || inOrder(order, before[k], here[k])) continue
    const found = describe(here[k]) + ' after ' + describe(before[k])
    refuse(problems, 'relation', placeOf(placeOf(place, i), k), found, ORDER_WORDS[order], '')
  }
}

const ORDER_WORDS = {
  rising: 'more than the entry before',
  falling: 'less than the entry before',
  notRising: 'no more than the entry before',
  notFalling: 'no less than the entry before',
}

function inOrder(order: Order, before: number, here: number): boolean {
  if (order === 'rising') return here > before
  if (order === 'falling') return here < before
  return order === 'notRising' ? here <= before : here >= before
}

function checkTuple(problems: Problems, spec: TupleSpec, value: unknown, place: string, meaning: string): void {
  if (!Array.isArray(value) || value.length !== spec.of.length) {
    wrong(problems, spec, value, place, meaning)
    return
  }
  for (let i = 0; i < spec.of.length; i++) {
    checkSpec(problems, spec.of[i], value[i], placeOf(place, i), meaning)
    const before = value[i - 1]
    // An object need not become a number: comparing with one may throw.
    if (spec.rising && typeof value[i] === 'number' && typeof before === 'number' && value[i] <= before) {
      const found = describe(value[i]) + ' after ' + describe(before)
      refuse(problems, 'relation', placeOf(place, i), found, ORDER_WORDS.rising, meaning)
    }
  }
}

function checkNamed(problems: Problems, spec: NamedSpec, value: unknown, place: string, meaning: string): void {
  const fields = asFields(value)
  if (fields === undefined) {
    wrong(problems, spec, value, place, meaning)
    return
  }
  let count = 0
  for (const key in fields) {
    if (!has(fields, key)) continue
    count++
    if (count > spec.most) continue
    const before = problems.list.length
    checkText(problems, spec.key, key, placeOf(place, key), 'the name of an entry')
    for (let i = before; i < problems.list.length; i++) problems.list[i].about = 'key'
    checkSpec(problems, spec.of, fields[key], placeOf(place, key), meaning)
  }
  if (count < spec.least || count > spec.most) {
    refuse(problems, 'value', place, 'an object with ' + count + ' entries', allowedWords(spec), meaning)
  }
}

function checkObject(problems: Problems, spec: ObjectSpec, value: unknown, place: string, meaning: string): void {
  const fields = asFields(value)
  if (fields === undefined) {
    wrong(problems, spec, value, place, meaning)
    return
  }
  for (let i = 0; i < spec.fields.length; i++) checkField(problems, spec.fields[i], fields, place)
  checkUnknown(problems, spec, fields, place)
  if (spec.exactlyOneOf !== undefined) {
    const there = keysThere(fields, spec.exactlyOneOf)
    if (there.length !== 1) {
      const found = there.length === 0 ? 'none of them' : there.join(' and ')
      refuse(problems, 'value', place, found, 'exactly one of ' + spec.exactlyOneOf.join(', '), meaning)
    }
  }
  if (spec.when !== undefined) {
    for (let i = 0; i < spec.when.length; i++) checkWhen(problems, spec, spec.when[i], fields, place)
  }
}

function checkField(problems: Problems, field: Field, fields: Fields, place: string): void {
  const there = has(fields, field.key)
  if (there) checkSpec(problems, field.spec, fields[field.key], placeOf(place, field.key), field.meaning)
  else if (field.required) {
    refuse(problems, 'missing', placeOf(place, field.key), 'nothing', allowedWords(field.spec), field.meaning)
  }
}

function checkUnknown(problems: Problems, spec: ObjectSpec, fields: Fields, place: string): void {
  const known: string[] = []
  for (let i = 0; i < spec.fields.length; i++) known.push(spec.fields[i].key)
  let unknown = 0
  for (const key in fields) {
    if (!has(fields, key) || known.indexOf(key) >= 0) continue
    unknown++
    if (unknown > UNKNOWN_LISTED_AT_MOST) continue
    const hint = didYouMean(key, known, '')
    refuse(problems, 'key', placeOf(place, key), 'the unknown key ' + quote(key), 'the keys ' + known.join(', '), hint)
  }
  if (unknown > UNKNOWN_LISTED_AT_MOST) {
    const found = unknown - UNKNOWN_LISTED_AT_MOST + ' more unknown keys'
    refuse(problems, 'key', place, found, 'the keys ' + known.join(', '), '')
  }
}

function keysThere(fields: Fields, keys: string[]): string[] {
  const there: string[] = []
  for (let i = 0; i < keys.length; i++) {
    if (has(fields, keys[i])) there.push(keys[i])
  }
  return there
}

/** The sets of keys that a kind asks for: one of them whole. */
function checkWhen(problems: Problems, spec: ObjectSpec, when: When, fields: Fields, place: string): void {
  if (own(fields, when.key) !== when.is) return
  const wanted: string[] = []
  const wholeSets: string[] = []
  const begun: string[] = []
  for (let i = 0; i < when.oneSetOf.length; i++) {
    const set = when.oneSetOf[i]
    const there = keysThere(fields, set)
    wanted.push(set.join(', '))
    if (there.length === set.length) wholeSets.push(set.join(', '))
    if (there.length > 0) begun.push(there.join(', '))
  }
  if (wholeSets.length === 1) return
  const allowed = (wanted.length > 1 ? 'either ' : '') + wanted.join(', or ')
  const hint = 'what ' + when.key + ' ' + when.is + ' asks for'
  if (when.oneSetOf.length === 1 && when.oneSetOf[0].length === 1) {
    const key = when.oneSetOf[0][0]
    refuse(problems, 'missing', placeOf(place, key), 'nothing', allowedForKey(spec, key), hint)
  } else {
    const found = begun.length === 0 ? 'none of them' : (wholeSets.length > 1 ? 'both: ' : 'only ') + begun.join(', ')
    refuse(problems, 'value', place, found, allowed, hint)
  }
}

function allowedForKey(spec: ObjectSpec, key: string): string {
  for (let i = 0; i < spec.fields.length; i++) {
    if (spec.fields[i].key === key) return allowedWords(spec.fields[i].spec)
  }
  return key
}
