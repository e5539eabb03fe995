/**
 * Variance-based sensitivity: which part of the spread of an output each input makes, alone and together with the others.
 *
 * Two independent samples A and B of all inputs, and for every input the sample A with that input from B. Estimators as in
 * table 2 of Saltelli and others 2010 (Computer Physics Communications 181, 259): total by Jansen 1999 (f); first order by
 * theirs (b), on centred outputs, which is the surer for a small part, and by Jansen (c) for an input that makes most.
 * Intervals by the bootstrap over rows (Efron 1979), percentiles.
 *
 * Pure functions of numbers. An output that does not vary has indices that are no number.
 */
import { createRandom, type Random, uniform } from '../../plant/random.ts'

/** One row of the design: the output of A, of B, and of A with one input of B each. */
export interface Row {
  a: number
  b: number
  mixed: number[]
}

export interface Index {
  /** Part of the variance that the input makes alone, and with everything that it has a hand in. */
  first: number
  total: number
  firstInterval: [number, number]
  totalInterval: [number, number]
}

export interface Sensitivity {
  mean: number
  /** One sigma of the output. */
  deviation: number
  indices: Index[]
}

/** Resamples: 500 give the ends of an interval within a few percent of its width. */
const RESAMPLES = 500
/** Fewer where there are so many rows that the work would show; the interval is narrow then. */
const RESAMPLED_AT_MOST = 5_000_000
const RESAMPLES_AT_LEAST = 100
const STREAM = 301
/** An input whose total is more than this makes most. */
const MAKES_MOST = 0.5

export function sensitivityOf(rows: Row[], seed: number): Sensitivity {
  const order = rows.map((_, i) => i)
  const plain = estimate(rows, order)
  const random = createRandom(seed, STREAM)
  const inputs = rows[0]?.mixed.length ?? 0
  const affordable = Math.floor(RESAMPLED_AT_MOST / Math.max(1, rows.length * inputs))
  const resamples = Math.max(RESAMPLES_AT_LEAST, Math.min(RESAMPLES, affordable))
  const firsts: number[][] = plain.first.map(() => [])
  const totals: number[][] = plain.total.map(() => [])
  for (let i = 0; i < resamples; i++) {
    const drawn = estimate(rows, resample(order, random))
    drawn.first.forEach((value, input) => {
      firsts[input]?.push(value)
    })
    drawn.total.forEach((value, input) => {
      totals[input]?.push(value)
    })
  }
  return {
    mean: plain.mean,
    deviation: Math.sqrt(plain.variance),
    indices: plain.first.map((first, i) => ({
      first,
      total: plain.total[i] as number,
      firstInterval: middle95(firsts[i] as number[]),
      totalInterval: middle95(totals[i] as number[]),
    })),
  }
}

function resample(order: number[], random: Random): number[] {
  return order.map(() => Math.floor(uniform(random) * order.length))
}

function middle95(values: number[]): [number, number] {
  const sorted = [...values].sort((a, b) => a - b)
  const at = (part: number): number => sorted[Math.round(part * (sorted.length - 1))] as number
  return [at(0.025), at(0.975)]
}

interface Estimate {
  mean: number
  variance: number
  first: number[]
  total: number[]
}

/** The estimators over the rows in `order`, which may name a row more than once. */
function estimate(rows: Row[], order: number[]): Estimate {
  const count = order.length
  let sum = 0
  for (const place of order) sum += (rows[place] as Row).a + (rows[place] as Row).b
  const mean = sum / (2 * count)
  const inputs = rows[0]?.mixed.length ?? 0
  const first: number[] = new Array(inputs).fill(0)
  const total: number[] = new Array(inputs).fill(0)
  const unlike: number[] = new Array(inputs).fill(0)
  let squares = 0
  for (const place of order) {
    const { a, b, mixed } = rows[place] as Row
    squares += (a - mean) ** 2 + (b - mean) ** 2
    for (let i = 0; i < inputs; i++) {
      const change = (mixed[i] as number) - a
      first[i] = (first[i] as number) + (b - mean) * change
      total[i] = (total[i] as number) + 0.5 * change * change
      unlike[i] = (unlike[i] as number) + 0.5 * (b - (mixed[i] as number)) ** 2
    }
  }
  const variance = squares / (2 * count - 1)
  const scaled = (value: number): number => value / count / variance
  const totals = total.map(scaled)
  const firsts = first.map((value, i) =>
    (totals[i] as number) > MAKES_MOST ? 1 - scaled(unlike[i] as number) : scaled(value),
  )
  return { mean, variance, first: firsts, total: totals }
}
