/**
 * Points that fill a cube evenly however many are taken: the additive sequence of Roberts ("The unreasonable
 * effectiveness of quasirandom sequences", 2018), each coordinate a multiple of a power of the generalised golden ratio.
 * A seed shifts all points round the cube (Cranley and Patterson 1976), so that another seed searches between them.
 */
import { createRandom, uniform } from '../../plant/random.ts'

const STREAM = 41

/** The root above 1 of x^(dimensions + 1) = x + 1, by fixed-point iteration. */
export function goldenRatioOf(dimensions: number): number {
  let ratio = 2
  for (let i = 0; i < 40; i++) ratio = (1 + ratio) ** (1 / (dimensions + 1))
  return ratio
}

/** A function that gives the point of any index from 0, each coordinate in [0, 1). */
export function evenPoints(dimensions: number, seed: number): (index: number) => number[] {
  const ratio = goldenRatioOf(dimensions)
  const random = createRandom(seed, STREAM)
  const shifts: number[] = []
  const steps: number[] = []
  for (let d = 0; d < dimensions; d++) {
    shifts.push(uniform(random))
    steps.push(ratio ** -(d + 1))
  }
  return index => steps.map((step, d) => ((shifts[d] as number) + (index + 1) * step) % 1)
}
