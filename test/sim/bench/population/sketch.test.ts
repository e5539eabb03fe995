/** Sketches against the values themselves: quantiles within their promise, and adding up in any order and shape. */
import fc from 'fast-check'
import { expect, test } from 'vitest'
import {
  addSketch,
  addValue,
  countsBetween,
  createSketch,
  deviationOf,
  meanOf,
  quantile,
  type Sketch,
  sizesOf,
  sketchFrom,
  sketchRecord,
} from '../../../../sim/bench/population/sketch.ts'
import { createRandom, gaussian } from '../../../../sim/plant/random.ts'

/** Half a bin, and what rounding of the logarithm may add. */
const WITHIN = 0.0026

function sketchOf(values: number[]): Sketch {
  const sketch = createSketch()
  for (const value of values) addValue(sketch, value)
  return sketch
}

/** The nearest rank: the least value that so many do not pass. */
function exactQuantile(values: number[], part: number): number {
  const sorted = [...values].sort((a, b) => a - b)
  return sorted[Math.max(1, Math.ceil(part * sorted.length)) - 1] as number
}

function isNear(found: number, exact: number): boolean {
  return Math.abs(found - exact) <= WITHIN * Math.abs(exact) + 1e-5
}

const values = fc.array(fc.double({ min: -1e4, max: 1e4, noNaN: true }), { minLength: 1, maxLength: 200 })
const parts = fc.constantFrom(0, 0.01, 0.05, 0.5, 0.95, 0.99, 1)

test('every quantile is within a quarter of a percent of the exact one, for values of both signs', () => {
  fc.assert(fc.property(values, parts, (all, part) => isNear(quantile(sketchOf(all), part), exactQuantile(all, part))))
})

test('of the sizes, too, and the greatest size is exact', () => {
  fc.assert(
    fc.property(values, parts, (all, part) => {
      const sizes = all.map(Math.abs)
      const sketch = sizesOf(sketchOf(all))
      expect(sketch.most).toBe(Math.max(...sizes))
      expect(sketch.count).toBe(all.length)
      return isNear(quantile(sketch, part), exactQuantile(sizes, part))
    }),
  )
})

test('parts add up to the same bytes as the whole, in any order and however they are shared out', () => {
  fc.assert(
    fc.property(values, fc.array(fc.nat(200), { maxLength: 5 }), (all, cuts) => {
      const places = [0, ...cuts.map(cut => cut % all.length).sort((a, b) => a - b), all.length]
      const pieces = places.slice(1).map((end, i) => sketchOf(all.slice(places[i], end)))
      const forwards = createSketch()
      for (const piece of pieces) addSketch(forwards, piece)
      const backwards = createSketch()
      for (const piece of pieces.reverse()) addSketch(backwards, piece)
      const whole = JSON.stringify(sketchRecord(sketchOf(all)))
      expect(JSON.stringify(sketchRecord(forwards))).toBe(whole)
      expect(JSON.stringify(sketchRecord(backwards))).toBe(whole)
    }),
  )
})

test('a sketch comes back from its record as it was, an empty one too', () => {
  for (const sketch of [createSketch(), sketchOf([0, -0.3, 12.5, 12.5, 1e-9])]) {
    expect(sketchFrom(JSON.parse(JSON.stringify(sketchRecord(sketch))))).toEqual(sketch)
  }
})

test('mean and deviation are those of the values', () => {
  const random = createRandom(1, 1)
  const all = Array.from({ length: 5000 }, () => 0.2 + 0.6 * gaussian(random))
  const mean = all.reduce((sum, value) => sum + value, 0) / all.length
  const deviation = Math.sqrt(all.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (all.length - 1))
  const sketch = sketchOf(all)
  expect(Math.abs(meanOf(sketch) - mean)).toBeLessThan(1e-6)
  expect(Math.abs(deviationOf(sketch) / deviation - 1)).toBeLessThan(0.003)
})

test('a histogram loses no value: what lies beyond its edges goes into the ends', () => {
  fc.assert(
    fc.property(values, all => {
      const counts = countsBetween(sketchOf(all), [-10, -1, 0, 1, 10])
      expect(counts.reduce((sum, count) => sum + count, 0)).toBe(all.length)
    }),
  )
})

test('what is no number is not counted, and memory does not grow with what is', () => {
  const sketch = createSketch()
  addValue(sketch, NaN)
  expect(sketch).toEqual(createSketch())
  const random = createRandom(2, 1)
  for (let i = 0; i < 200_000; i++) addValue(sketch, Math.exp(30 * gaussian(random)))
  expect(sketch.count).toBe(200_000)
  expect(sketch.bins.size).toBeLessThan(5100)
})
