/** How the figures of a population are written: one place for the terminal and for the page. `null` is not known. */

export type Known = number | null

/** Whole numbers with thousands: `100,000`. */
export function count(value: number): string {
  return value.toLocaleString('en')
}

export function plain(value: Known, digits = 2): string {
  return value === null || isNaN(value) ? '?' : value.toFixed(digits)
}

export function percent(value: Known): string {
  return `${plain(value)} %`
}

/** With its sign; what rounds to nothing has none. */
export function signed(value: Known, digits = 2): string {
  if (value === null) return '?'
  const text = value.toFixed(digits)
  if (Number(text) === 0) return (0).toFixed(digits)
  return value > 0 ? `+${text}` : text
}

export function signedPercent(value: Known): string {
  return `${signed(value)} %`
}

/** Of a share, so many of 100. */
export function hundredths(share: Known): string {
  return share === null ? '?' : (100 * share).toFixed(1)
}

/** `0.87 to 1.28`. */
export function range([low, high]: [Known, Known], factor = 1, digits = 1): string {
  const text = (value: Known): string => (value === null ? '?' : (value * factor).toFixed(digits))
  return `${text(low)} to ${text(high)}`
}

/** A share in whole percent. */
export function wholePercent(share: Known): string {
  if (share === null) return '?'
  const text = (100 * share).toFixed(0)
  return text === '-0' ? '0' : text
}
