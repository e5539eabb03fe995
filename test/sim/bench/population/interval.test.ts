/** Intervals against published values, and against how often they hold the truth. */
import { expect, test } from 'vitest'
import { meanInterval, quantileInterval, shareInterval } from '../../../../sim/bench/population/interval.ts'
import { addValue, createSketch, type Sketch } from '../../../../sim/bench/population/sketch.ts'
import { createRandom, gaussian, type Random, uniform } from '../../../../sim/plant/random.ts'

test('the interval of a share is that of the published example: 81 of 263 and 15 of 148 (Newcombe 1998, method 3)', () => {
  const rounded = (hits: number, of: number): number[] => shareInterval(hits, of).map(end => Number(end.toFixed(4)))
  expect(rounded(81, 263)).toEqual([0.2553, 0.3662])
  expect(rounded(15, 148)).toEqual([0.0624, 0.1605])
  expect(rounded(0, 20)).toEqual([0, 0.1611])
  expect(rounded(1, 29)).toEqual([0.0061, 0.1718])
})

test('of all and of none it ends at 1 and at 0', () => {
  expect(shareInterval(50, 50)[1]).toBe(1)
  expect(shareInterval(0, 50)[0]).toBe(0)
  expect(shareInterval(0, 0)).toEqual([0, 1])
})

/** How many of 400 populations of 300 have the truth in their interval. */
function heldOf(
  draw: (random: Random) => number,
  interval: (sketch: Sketch) => [number, number],
  truth: number,
): number {
  let held = 0
  for (let population = 0; population < 400; population++) {
    const random = createRandom(population, 7)
    const sketch = createSketch()
    for (let i = 0; i < 300; i++) addValue(sketch, draw(random))
    const [low, high] = interval(sketch)
    if (low <= truth && truth <= high) held++
  }
  return held
}

test('an interval of a mean or of a quantile holds the truth in about 95 of 100 populations', () => {
  const draw = (random: Random): number => 3 + gaussian(random)
  const mean = heldOf(draw, meanInterval, 3)
  const middle = heldOf(draw, sketch => quantileInterval(sketch, 0.5), 3)
  const high = heldOf(uniform, sketch => quantileInterval(sketch, 0.95), 0.95)
  for (const held of [mean, middle, high]) {
    expect(held).toBeGreaterThan(365)
    expect(held).toBeLessThan(398)
  }
})

test('too few values give no end where none can be told', () => {
  const sketch = createSketch()
  for (let i = 0; i < 20; i++) addValue(sketch, i)
  expect(quantileInterval(sketch, 0.99)[1]).toBeNaN()
})
