/**
 * How every board checks the options of its parts, so that all of them refuse in the same words: a missing option or
 * one of the wrong type is a `TypeError`, one out of range a `RangeError`; the message names the part, the option, what
 * was found and what is allowed. Checked before anything is touched.
 */

function shown(value: unknown): string {
  return typeof value === 'string' ? '"' + value + '"' : String(value)
}

/** The option `name` as a number from `low` to `high`. */
export function numberOption(part: string, options: object, name: string, low: number, high: number): number {
  const value = (options as { [key: string]: unknown })[name]
  const allowed = ' (allowed: a number from ' + low + ' to ' + high + ')'
  if (typeof value !== 'number' || isNaN(value)) {
    throw new TypeError(part + ': option ' + name + ' is ' + shown(value) + allowed)
  }
  if (value < low || value > high) throw new RangeError(part + ': option ' + name + ' is ' + value + allowed)
  return value
}

/** The option `name` as one of a few words. */
export function wordOption<W extends string>(part: string, options: object, name: string, words: W[]): W {
  const value = (options as { [key: string]: unknown })[name]
  if (typeof value !== 'string') {
    throw new TypeError(part + ': option ' + name + ' is ' + shown(value) + ' (allowed: ' + words.join(', ') + ')')
  }
  if (words.indexOf(value as W) < 0) {
    throw new RangeError(part + ': option ' + name + ' is ' + shown(value) + ' (allowed: ' + words.join(', ') + ')')
  }
  return value as W
}

/** The option `name` as an object that is not null. */
export function objectOption<T extends object>(part: string, options: object, name: string): T {
  const value = (options as { [key: string]: unknown })[name]
  if (typeof value !== 'object' || value === null) {
    throw new TypeError(part + ': option ' + name + ' is ' + shown(value) + ' (allowed: an object)')
  }
  return value as T
}

/** The options themselves, refused unless they are an object. */
export function optionsObject<T extends object>(part: string, options: T): T {
  if (typeof options !== 'object' || options === null) {
    throw new TypeError(part + ': options are ' + shown(options) + ' (allowed: an object)')
  }
  return options
}

/** What any call on a closed part throws. */
export function closedError(part: string): Error {
  return new Error(part + ': used after close()')
}
