/**
 * Sensitivity indices against functions whose indices are known: the one of Ishigami and Homma 1990 ("An importance
 * quantification technique in uncertainty analysis for computer models", ISUMA '90) with a = 7, b = 0.1, and a sum.
 */
import { expect, test } from 'vitest'
import { type Row, sensitivityOf } from '../../../../sim/bench/population/sobol.ts'
import { between, createRandom, gaussian, type Random } from '../../../../sim/plant/random.ts'

function rowsOf(count: number, draw: (random: Random) => number[], output: (x: number[]) => number): Row[] {
  const random = createRandom(9, 1)
  return Array.from({ length: count }, () => {
    const a = draw(random)
    const b = draw(random)
    const mixed = a.map((_, i) => output(a.map((value, place) => (place === i ? (b[i] as number) : value))))
    return { a: output(a), b: output(b), mixed }
  })
}

const A = 7
const B = 0.1

function ishigami([x1, x2, x3]: number[]): number {
  return Math.sin(x1 as number) + A * Math.sin(x2 as number) ** 2 + B * (x3 as number) ** 4 * Math.sin(x1 as number)
}

test("Ishigami's function has its closed-form indices, first and total, within what the intervals say", () => {
  const pi4 = Math.PI ** 4
  const first1 = 0.5 * (1 + (B * pi4) / 5) ** 2
  const first2 = (A * A) / 8
  const joint13 = B * B * pi4 * pi4 * (1 / 18 - 1 / 50)
  const variance = first1 + first2 + joint13
  const first = [first1 / variance, first2 / variance, 0]
  const total = [(first1 + joint13) / variance, first2 / variance, joint13 / variance]
  expect(first[0]).toBeCloseTo(0.3139, 4)
  expect(total[2]).toBeCloseTo(0.2437, 4)
  const draw = (random: Random): number[] => [1, 2, 3].map(() => between(random, -Math.PI, Math.PI))
  const found = sensitivityOf(rowsOf(16_000, draw, ishigami), 1)
  expect(found.deviation ** 2 / variance).toBeCloseTo(1, 1)
  found.indices.forEach((index, i) => {
    expect(Math.abs(index.first - (first[i] as number))).toBeLessThan(0.04)
    expect(Math.abs(index.total - (total[i] as number))).toBeLessThan(0.03)
    expect(isWithin(first[i] as number, index.firstInterval)).toBe(true)
    expect(isWithin(total[i] as number, index.totalInterval)).toBe(true)
  })
})

/** Six intervals are looked at, each of which misses the truth in 5 of 100: by half its width it hardly ever does. */
function isWithin(truth: number, [low, high]: [number, number]): boolean {
  const slack = (high - low) / 2
  return truth >= low - slack && truth <= high + slack && high - low < 0.1
}

test('of a sum every input makes its own variance and no more; one that is not in it makes nothing', () => {
  const weights = [3, 2, 1, 0]
  const whole = 14
  const draw = (random: Random): number[] => weights.map(() => gaussian(random))
  const sum = (x: number[]): number => 100 + x.reduce((all, value, i) => all + (weights[i] as number) * value, 0)
  const { indices, mean } = sensitivityOf(rowsOf(6000, draw, sum), 1)
  expect(mean).toBeCloseTo(100, 0)
  indices.forEach((index, i) => {
    const part = (weights[i] as number) ** 2 / whole
    expect(Math.abs(index.first - part)).toBeLessThan(0.04)
    expect(Math.abs(index.total - part)).toBeLessThan(0.03)
  })
  expect(indices[3]).toEqual({ first: 0, total: 0, firstInterval: [0, 0], totalInterval: [0, 0] })
})

test('the same rows and seed give the same indices and intervals', () => {
  const draw = (random: Random): number[] => [gaussian(random), gaussian(random)]
  const rows = rowsOf(50, draw, ([x, y]) => (x as number) * (y as number))
  expect(sensitivityOf(rows, 4)).toEqual(sensitivityOf(rows, 4))
})
