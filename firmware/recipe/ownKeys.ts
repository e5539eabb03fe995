/**
 * Looks into values of which nothing is known: own keys only, so that `toString` or `__proto__` in a file are keys like
 * any other. Nothing here throws.
 */

export type Fields = { [key: string]: unknown }

/** An object with keys, or undefined: lists and null are none. */
export function asFields(value: unknown): Fields | undefined {
  return typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as Fields) : undefined
}

const hasKey = Object.prototype.hasOwnProperty

/** Own keys only, so that `toString` is a key like any other; one that holds nothing counts as left out. */
export function has(fields: Fields, key: string): boolean {
  return hasKey.call(fields, key) && fields[key] !== undefined
}

/** The value of an own key, else undefined. */
export function own(fields: Fields | undefined, key: string): unknown {
  return fields !== undefined && has(fields, key) ? fields[key] : undefined
}

/** A number one can reckon with, else NaN. */
export function ownNumber(fields: Fields | undefined, key: string): number {
  const value = own(fields, key)
  return typeof value === 'number' && isFinite(value) ? value : NaN
}
