/** Checks single values, numbers, texts and choices, against their specs, and words what is wrong with them. */
import { allowedWords, type ChoiceSpec, type NumberSpec, type Spec, type TextSpec } from './fields.ts'
import { nearest } from './nearest.ts'
import { describe, type Problems, quote, refuse } from './problem.ts'

/** Refuses a value for not being what its spec allows. */
export function wrong(problems: Problems, spec: Spec, value: unknown, place: string, hint: string): void {
  refuse(problems, 'value', place, describe(value), allowedWords(spec), hint)
}

export function didYouMean(word: string, known: string[], otherwise: string): string {
  const near = nearest(word, known)
  return near === '' ? otherwise : 'did you mean ' + near + '?'
}

export function checkNumber(
  problems: Problems,
  spec: NumberSpec,
  value: unknown,
  place: string,
  meaning: string,
): void {
  if (typeof value === 'string' && value !== '' && isFinite(+value)) {
    wrong(problems, spec, value, place, 'a number is written without quotes')
  } else if (typeof value !== 'number' || !(value >= spec.least && value <= spec.most)) {
    wrong(problems, spec, value, place, meaning)
  } else if (spec.whole && Math.floor(value) !== value) {
    wrong(problems, spec, value, place, meaning)
  }
}

export function checkText(problems: Problems, spec: TextSpec, value: unknown, place: string, meaning: string): void {
  if (typeof value !== 'string') {
    wrong(problems, spec, value, place, meaning)
    return
  }
  if (value.length < spec.least || value.length > spec.most) {
    refuse(problems, 'value', place, quote(value) + ', ' + value.length + ' long', allowedWords(spec), meaning)
    return
  }
  for (let i = 0; i < value.length; i++) {
    if (!allowedSign(spec, value.charCodeAt(i), i)) {
      const found = quote(value) + ', where character ' + (i + 1) + ' is ' + quote(value.charAt(i))
      refuse(problems, 'value', place, found, allowedWords(spec), meaning)
      return
    }
  }
}

function allowedSign(spec: TextSpec, code: number, index: number): boolean {
  const small = code >= 97 && code <= 122
  const digit = code >= 48 && code <= 57
  if (spec.form === 'slug') return small || digit || code === 45
  if (spec.form === 'word' && index === 0) return small || digit || (code >= 65 && code <= 90)
  return code >= 32 && code <= 126
}

export function checkChoice(
  problems: Problems,
  spec: ChoiceSpec,
  value: unknown,
  place: string,
  meaning: string,
): void {
  if (typeof value === 'string' && spec.of.indexOf(value) >= 0) return
  wrong(problems, spec, value, place, typeof value === 'string' ? didYouMean(value, spec.of, meaning) : meaning)
}
