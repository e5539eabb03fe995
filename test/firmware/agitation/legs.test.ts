import { expect, test } from 'vitest'
import { legTurnsOf, SHORTEST_LEG_TURNS, withinNet } from '../../../firmware/agitation/legs.ts'
import { equalLegs, staggered } from './rig.ts'

test('without stagger every leg is as long as the recipe says', () => {
  for (let k = 0; k < 50; k++) expect(legTurnsOf(equalLegs, k)).toBe(2)
})

test('staggered legs differ from the recipe by half a turn at most and keep its mean', () => {
  let sum = 0
  for (let k = 0; k < 400; k++) {
    const turns = legTurnsOf(staggered, k)
    expect(Math.abs(turns - 2)).toBeLessThanOrEqual(0.5)
    sum += turns
  }
  expect(sum / 400).toBeCloseTo(2, 2)
})

test('a programme begins at the place of the sequence that spreads best, for ever the same', () => {
  expect([0, 1, 2, 3].map(k => legTurnsOf(staggered, k))).toEqual(
    [28, 29, 30, 31].map(k => 1.5 + ((k * 0.6180339887) % 1)),
  )
})

test('each leg takes up the golden ratio sequence where the last one left it', () => {
  for (let k = 1; k < 100; k++) {
    const step = legTurnsOf(staggered, k) - legTurnsOf(staggered, k - 1)
    expect(Math.min(Math.abs(step - 0.6180339887), Math.abs(step + 0.3819660113))).toBeLessThan(1e-9)
  }
})

test('reversal points spread round the tank: no gap between neighbours is more than three times the mean', () => {
  for (const legs of [20, 40, 60, 100]) {
    const points: number[] = []
    let at = 0
    for (let k = 0; k < legs; k++) {
      at += (k % 2 === 0 ? 1 : -1) * legTurnsOf(staggered, k)
      points.push(at - Math.floor(at))
    }
    points.sort((a, b) => a - b)
    let widest = 1 - points[legs - 1] + points[0]
    for (let i = 1; i < legs; i++) widest = Math.max(widest, points[i] - points[i - 1])
    expect(widest * legs).toBeLessThan(3.5)
  }
})

test('net turns stay within five through half an hour of legs', () => {
  let at = 0
  for (let k = 0; k < 500; k++) {
    at += (k % 2 === 0 ? 1 : -1) * legTurnsOf(staggered, k)
    expect(Math.abs(at)).toBeLessThan(5)
  }
})

test('a leg that stagger would make too short becomes a whole turn longer and ends at the same angle', () => {
  const short = { ...staggered, legTurns: 0.6 }
  for (let k = 0; k < 200; k++) {
    const turns = legTurnsOf(short, k)
    expect(turns).toBeGreaterThanOrEqual(SHORTEST_LEG_TURNS)
    const away = legTurnsOf(staggered, k) - 1.4 - turns
    expect(Math.abs(away - Math.round(away))).toBeLessThan(1e-9)
  }
})

test('a bound on net turns clips reversal points; without one they are left alone', () => {
  expect(withinNet(3, 1.5)).toBe(1.5)
  expect(withinNet(-3, 1.5)).toBe(-1.5)
  expect(withinNet(1, 1.5)).toBe(1)
  expect(withinNet(300, Number.NaN)).toBe(300)
})
