/**
 * The language in which the keys of a recipe, tank or base file are described: one table each, from which come the
 * checker, the JSON Schema for editors and the key table for people. Nothing else knows a range.
 *
 * Plain objects; `exactlyOneOf` and `when` say what a single field cannot.
 */

/** A number within `least` and `most`, both allowed. */
export interface NumberSpec {
  type: 'number'
  least: number
  most: number
  unit: string
  whole: boolean
}

/** Printable ASCII. `slug` allows only a-z, 0-9 and -; `word` forbids only that it begins with punctuation or space. */
export interface TextSpec {
  type: 'text'
  least: number
  most: number
  form: 'any' | 'slug' | 'word'
}

export interface ChoiceSpec {
  type: 'choice'
  of: string[]
}

export interface FlagSpec {
  type: 'flag'
}

/**
 * `least` to `most` entries. Where the entries are pairs, `first` and `second` say how the pairs' members must run from
 * entry to entry.
 */
export interface ListSpec {
  type: 'list'
  of: Spec
  least: number
  most: number
  first?: Order
  second?: Order
}

export type Order = 'rising' | 'falling' | 'notRising' | 'notFalling'

/** A list of fixed length, each entry with its own meaning; `rising` asks each to be above the one before. */
export interface TupleSpec {
  type: 'tuple'
  of: Spec[]
  rising: boolean
}

export interface ObjectSpec {
  type: 'object'
  fields: Field[]
  /** Of these keys there must be one and no second. */
  exactlyOneOf?: string[]
  when?: When[]
}

/** Where `key` has the value `is`, all keys of exactly one of the sets must be there, and none of the other sets whole. */
export interface When {
  key: string
  is: string
  oneSetOf: string[][]
}

/** An object whose keys the writer chooses. */
export interface NamedSpec {
  type: 'named'
  of: Spec
  key: TextSpec
  least: number
  most: number
}

export type Spec = NumberSpec | TextSpec | ChoiceSpec | FlagSpec | ListSpec | TupleSpec | ObjectSpec | NamedSpec

export interface Field {
  key: string
  spec: Spec
  required: boolean
  /** What it is, for editors, for the key table, and as the hint of a problem. */
  meaning: string
  /** What counts when it is left out, where that is not simply nothing. */
  ifLeftOut: string
}

export function number(least: number, most: number, unit: string): NumberSpec {
  return { type: 'number', least, most, unit, whole: false }
}

export function whole(least: number, most: number, unit: string): NumberSpec {
  return { type: 'number', least, most, unit, whole: true }
}

export function text(least: number, most: number): TextSpec {
  return { type: 'text', least, most, form: 'any' }
}

export function required(key: string, spec: Spec, meaning: string): Field {
  return { key, spec, required: true, meaning, ifLeftOut: '' }
}

export function optional(key: string, spec: Spec, ifLeftOut: string, meaning: string): Field {
  return { key, spec, required: false, meaning, ifLeftOut }
}

/** What a spec allows, in words: `5 to 120 rpm`. Used by messages and by the key table alike. */
export function allowedWords(spec: Spec): string {
  switch (spec.type) {
    case 'number':
      return (
        (spec.whole ? 'a whole number, ' : '') + spec.least + ' to ' + spec.most + (spec.unit ? ' ' + spec.unit : '')
      )
    case 'text': {
      const signs = spec.form === 'slug' ? 'a-z, 0-9 and -' : 'printable ASCII'
      const start = spec.form === 'word' ? ', beginning with a letter or digit' : ''
      return spec.least + ' to ' + spec.most + ' characters of ' + signs + start
    }
    case 'choice':
      return 'one of ' + spec.of.join(', ')
    case 'flag':
      return 'true or false'
    case 'list':
      return 'a list of ' + (spec.least === spec.most ? '' + spec.least : spec.least + ' to ' + spec.most) + ' entries'
    case 'tuple':
      return '[' + spec.of.map(allowedWords).join(', ') + ']' + (spec.rising ? ', rising' : '')
    case 'object':
      return spec.exactlyOneOf === undefined
        ? 'an object'
        : 'an object with exactly one of ' + spec.exactlyOneOf.join(', ')
    case 'named':
      return 'an object with ' + spec.least + ' to ' + spec.most + ' named entries'
  }
}
