/**
 * How a quantity varies from evening to evening, as a file of a population says it, and how one value is drawn.
 */
import { between, gaussian, type Random, uniform } from '../../plant/random.ts'

/** Exactly one of `is`, `between`, `around` and `choose`. */
export interface Spread {
  /** Always this. */
  is?: number
  /** Anywhere from the first to the second, evenly. */
  between?: [number, number]
  /** The normal distribution: middle and one sigma. */
  around?: [number, number]
  /** For `around`: what lies beyond takes the nearer end. */
  within?: [number, number]
  /** One of these values, each with its share; shares need not add up to 1. */
  choose?: [number, number][]
}

/** One value. What a stream has already given decides what comes next, so give each quantity a stream of its own. */
export function drawValue(spread: Spread, random: Random): number {
  if (spread.is !== undefined) return spread.is
  if (spread.between !== undefined) return between(random, spread.between[0], spread.between[1])
  if (spread.choose !== undefined) return chosen(spread.choose, uniform(random))
  const [middle, sigma] = spread.around ?? [0, 0]
  const value = middle + sigma * gaussian(random)
  const [low, high] = spread.within ?? [-Infinity, Infinity]
  return Math.min(high, Math.max(low, value))
}

function chosen(choices: [number, number][], place: number): number {
  const whole = choices.reduce((sum, [, share]) => sum + share, 0)
  let left = place * whole
  for (const [value, share] of choices) {
    left -= share
    if (left < 0) return value
  }
  return (choices[choices.length - 1] as [number, number])[0]
}

/** Whether the quantity is the same every evening. */
export function isFixed(spread: Spread): boolean {
  return spread.is !== undefined
}

/** `10 to 32`, `0 +-0.7`, `1 or 2`: for a line of a report. */
export function spreadWords(spread: Spread, unit: string): string {
  const behind = unit === '' ? '' : ` ${unit}`
  if (spread.is !== undefined) return `${spread.is}${behind}`
  if (spread.between !== undefined) return `${spread.between[0]} to ${spread.between[1]}${behind}`
  if (spread.choose !== undefined) return `${spread.choose.map(([value]) => value).join(', ')}${behind}`
  const [middle, sigma] = spread.around ?? [0, 0]
  return `${middle} +-${sigma}${behind}`
}
