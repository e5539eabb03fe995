/**
 * The checks that the contract asks of every part: options before anything is touched, values before they are written,
 * use after `close`. The bundle for a board leaves them out, because its wiring was checked when it was built
 * (`checkWiring.ts`) and the firmware's values are proved by its tests; they would cost a third of this folder. What
 * stays there always stands in the parts themselves: the flash's limits, a file's name, and that what is no duty stops
 * the motor.
 */
import { closedError, numberOption, objectOption, optionsObject, wordOption } from '../options.ts'

/** Replaced by `true` in a bundle whose wiring was checked. */
declare const WIRING_CHECKED: boolean

export const CHECKS: boolean = typeof WIRING_CHECKED === 'undefined'

export type OptionKind =
  | { kind: 'number'; low: number; high: number }
  | { kind: 'word'; words: string[] }
  | { kind: 'pin' }
  | { kind: 'object' }
  | { kind: 'pinOrNone' }

/** Checks the options of a part against a table of what each may be; every part has an engine. */
export function checkOptions(part: string, options: object, table: { [name: string]: OptionKind }): void {
  objectOption(part, optionsObject(part, options), 'engine')
  for (const name in table) {
    const kind = table[name]
    if (kind.kind === 'number') numberOption(part, options, name, kind.low, kind.high)
    else if (kind.kind === 'word') wordOption(part, options, name, kind.words)
    else if (kind.kind === 'object') objectOption(part, options, name)
    else checkPin(part, options, name, kind.kind === 'pinOrNone')
  }
}

export const PIN: OptionKind = { kind: 'pin' }
export const PIN_OR_NONE: OptionKind = { kind: 'pinOrNone' }
export const OBJECT: OptionKind = { kind: 'object' }

export function from(low: number, high: number): OptionKind {
  return { kind: 'number', low: low, high: high }
}

export function oneOf(words: string[]): OptionKind {
  return { kind: 'word', words: words }
}

function checkPin(part: string, options: object, name: string, mayMiss: boolean): void {
  const value = (options as { [key: string]: unknown })[name]
  if (mayMiss && value === undefined) return
  const message = part + ': option ' + name + ' is ' + value + ' (allowed: a pin as D5)'
  if (typeof value !== 'string') throw new TypeError(message)
  if (!isPin(value)) throw new RangeError(message)
}

export function isPin(name: string): boolean {
  return /^[A-Z]+[0-9]+$/.test(name)
}

export function mustBeOpen(part: string, closed: boolean): void {
  if (closed) throw closedError(part)
}

/** Throws unless `good`. */
export function mustBe(part: string, good: boolean, found: unknown, allowed: string): void {
  if (good) return
  const message = part + ': cannot take ' + found + ' (allowed: ' + allowed + ')'
  throw typeof found === 'number' && !isNaN(found) ? new RangeError(message) : new TypeError(message)
}

/** Whether a text is printable ASCII throughout; `extra` lists control characters that are allowed too. */
export function printable(text: unknown, extra: string): boolean {
  if (typeof text !== 'string') return false
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i)
    if ((code < 32 || code > 126) && extra.indexOf(text.charAt(i)) < 0) return false
  }
  return true
}
