import { expect, test } from 'vitest'
import {
  beginEvenness,
  createEvenness,
  type EvennessReport,
  endEvenness,
  immersedHalfAngle,
  tickEvenness,
} from '../../../sim/plant/evenness.ts'
import { between, createRandom, type Random } from '../../../sim/plant/random.ts'
import { naiveEvenness } from './evennessNaive.ts'

const DT = 0.1

function measure(path: number[], inner: number, middle: number, outer: number): EvennessReport {
  const e = createEvenness()
  beginEvenness(e, { innerRadians: inner, middleRadians: middle, outerRadians: outer })
  for (let i = 1; i < path.length; i++) tickEvenness(e, path[i - 1], path[i], 500 + i * DT, DT)
  return endEvenness(e)
}

/** Turning, resting and going back at random speeds, up to two turns a second. */
function randomPath(r: Random, ticks: number): number[] {
  const path = [between(r, -5, 5)]
  let speed = between(r, 0.1, 1)
  for (let i = 0; i < ticks; i++) {
    if (between(r, 0, 1) < 0.08) speed = between(r, 0, 1) < 0.2 ? 0 : between(r, -2, 2)
    path.push(path[i] + speed * DT)
  }
  return path
}

test('the quick account agrees with following 360 places in small steps, on random motions and arcs', () => {
  for (let seed = 1; seed <= 12; seed++) {
    const r = createRandom(seed, 1)
    const path = randomPath(r, 250)
    const half = between(r, 0.4, 2.9)
    const quick = measure(path, half, half, half)
    const slow = naiveEvenness(path, DT, half, 16)
    expect(Math.abs(quick.immersionCv - slow.immersionCv)).toBeLessThan(0.005 + 0.02 * slow.immersionCv)
    // The slow one sees a crossing up to a sub-step late, and places twice to four times as dense.
    expect(Math.abs(quick.longestDrySeconds - slow.longestDrySeconds)).toBeLessThan(
      0.15 + 0.02 * slow.longestDrySeconds,
    )
    expect(Math.abs(quick.exchangesPerMinute - slow.exchangesPerMinute)).toBeLessThan(
      0.3 + 0.02 * slow.exchangesPerMinute,
    )
  }
})

test('the worst of the three radii counts for the variation, the driest for the dry spell', () => {
  const path = randomPath(createRandom(5, 1), 400)
  const each = [0.6, 1.2, 2.4].map(half => measure(path, half, half, half))
  const all = measure(path, 0.6, 1.2, 2.4)
  expect(all.immersionCv).toBe(Math.max(...each.map(report => report.immersionCv)))
  expect(all.longestDrySeconds).toBe(each[0].longestDrySeconds)
})

test('a whole number of even turns wets every place alike and each once a turn', () => {
  const path: number[] = []
  for (let i = 0; i <= 200; i++) path.push(i * 0.05)
  const report = measure(path, 1, 1.2, 1.4)
  expect(report.immersionCv).toBeLessThan(1e-9)
  expect(report.exchangesPerMinute).toBeCloseTo(30, 6)
  expect(report.longestDrySeconds).toBeCloseTo(2 * (1 - 1 / Math.PI), 1)
  expect(report.reversals).toBe(0)
})

test('reversals are counted, a tremble is not', () => {
  const path = [0]
  const go = (to: number, ticks: number): void => {
    const from = path[path.length - 1]
    for (let i = 1; i <= ticks; i++) path.push(from + ((to - from) * i) / ticks)
  }
  go(2, 30)
  go(1.995, 1)
  go(2, 1)
  go(0.5, 20)
  go(0.5, 5)
  go(3, 20)
  expect(measure(path, 1, 1, 1).reversals).toBe(2)
})

test('nothing is counted before the first turn, nor without one', () => {
  const still = new Array<number>(50).fill(0.3)
  expect(measure(still, 1, 1, 1)).toEqual({
    immersionCv: 0,
    longestDrySeconds: 0,
    exchangesPerMinute: 0,
    reversals: 0,
  })
  const turning = Array.from({ length: 61 }, (_, i) => 0.3 + i * 0.05)
  const late = measure([...still, ...turning.slice(1)], 1, 1, 1)
  const alone = measure(turning, 1, 1, 1)
  expect(late.immersionCv).toBeCloseTo(alone.immersionCv, 12)
  expect(late.longestDrySeconds).toBeCloseTo(alone.longestDrySeconds, 9)
  expect(late.exchangesPerMinute).toBeCloseTo(alone.exchangesPerMinute, 9)
})

test('a radius that the liquid never reaches is dry throughout; one that it covers is never dry', () => {
  const path = Array.from({ length: 101 }, (_, i) => i * 0.05)
  expect(measure(path, 0, 1, 1)).toMatchObject({ immersionCv: 1, longestDrySeconds: expect.closeTo(10, 9) })
  expect(measure(path, Math.PI, Math.PI, Math.PI)).toMatchObject({
    immersionCv: 0,
    longestDrySeconds: 0,
    exchangesPerMinute: 0,
  })
})

test('the immersed arc follows from radius and level', () => {
  expect(immersedHalfAngle(20, 0)).toBeCloseTo(Math.PI / 2, 12)
  expect(immersedHalfAngle(20, -20)).toBe(0)
  expect(immersedHalfAngle(20, -25)).toBe(0)
  expect(immersedHalfAngle(20, 30)).toBe(Math.PI)
  expect(immersedHalfAngle(20, -10)).toBeCloseTo(Math.PI / 3, 12)
  expect(immersedHalfAngle(38, -10)).toBeGreaterThan(immersedHalfAngle(19, -10))
})
