/** Numbers written with a comma for the point: how they are known, and the words that help. */

/** For whoever writes decimals with a comma, as most of the continent does. */
export const DECIMAL_HINT = 'decimals take a point: 38.5'

/** True for one number whose decimals follow a comma. */
export function hasDecimalComma(text: string): boolean {
  return /^\s*[-+]?\d+,\d+\s*$/.test(text)
}

/** The number with a point, for a hint. */
export function pointed(text: string): string {
  return `decimals take a point: ${text.trim().replace(',', '.')}`
}
