/**
 * What a programme comes to over many evenings: of each measure the value that counts.
 *
 * Unevenness, dry spell, current and time in one direction are those that 19 evenings in 20 keep (the 95th percentile by
 * nearest rank; of fewer than 20 evenings the worst). Energy, reversals and exchanges are means: they add up over the
 * sessions of a charge and the life of a motor, and no single evening matters.
 */
import type { EveningFigures } from './evening.ts'

export interface Figures {
  immersionCv: number
  longestDrySeconds: number
  exchangesPerMinute: number
  reversals: number
  joules: number
  motorJoules: number
  peakAmps: number
  foamMillimetresPerSecond: number
  oneWaySeconds: number
  /** Speed reached over speed asked for, on the worst evening. */
  reachedFraction: number
  /** Part of the evenings on which the motor was taken for stalled or the pack cut off. */
  failedFraction: number
}

const COUNTING_PERCENTILE = 0.95

/** The value that 19 of 20 do not exceed, by nearest rank. */
export function nineteenOfTwenty(values: number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  return sorted[Math.max(0, Math.ceil(COUNTING_PERCENTILE * sorted.length) - 1)] as number
}

function mean(values: number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length
}

/** Rounded to what can be meant, so that the last bits of a sum show nowhere. */
function rounded(value: number, digits: number): number {
  const scale = 10 ** digits
  return Math.round(value * scale) / scale
}

/** From at least one evening. */
export function figuresOver(evenings: EveningFigures[]): Figures {
  const all = (pick: (one: EveningFigures) => number): number[] => evenings.map(pick)
  return {
    immersionCv: rounded(nineteenOfTwenty(all(one => one.immersionCv)), 5),
    longestDrySeconds: rounded(nineteenOfTwenty(all(one => one.longestDrySeconds)), 2),
    exchangesPerMinute: rounded(mean(all(one => one.exchangesPerMinute)), 2),
    reversals: rounded(mean(all(one => one.reversals)), 1),
    joules: rounded(mean(all(one => one.joules)), 1),
    motorJoules: rounded(mean(all(one => one.motorJoules)), 1),
    peakAmps: rounded(nineteenOfTwenty(all(one => one.peakAmps)), 3),
    foamMillimetresPerSecond: rounded(mean(all(one => one.foamMillimetresPerSecond)), 1),
    oneWaySeconds: rounded(nineteenOfTwenty(all(one => one.oneWaySeconds)), 1),
    reachedFraction: rounded(Math.min(...all(one => one.reachedFraction)), 3),
    failedFraction: rounded(mean(all(one => (one.failed ? 1 : 0))), 3),
  }
}
