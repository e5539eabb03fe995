/** The evenness budget: the real agitation on drawn motors and rollers, in a half-filled tank. */
import { expect, test } from 'vitest'
import type { BaseFile } from '../../../firmware/baseFile.ts'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import type { Agitation } from '../../../firmware/recipe/recipe.ts'
import {
  beginEvenness,
  createEvenness,
  type EvennessReport,
  endEvenness,
  tickEvenness,
} from '../../../sim/plant/evenness.ts'
import { baseWith, createRig, equalLegs, run, staggered, startProgramme, TICK_SECONDS } from './rig.ts'

const HALF = Math.PI / 2
const DEVELOPER_SECONDS = 195

function developer(base: BaseFile, agitation: Agitation, seed: number): EvennessReport {
  const rig = createRig(base, seed)
  const e = createEvenness()
  beginEvenness(e, { innerRadians: HALF, middleRadians: HALF, outerRadians: HALF })
  startProgramme(rig, agitation)
  run(rig, DEVELOPER_SECONDS, r => {
    tickEvenness(e, r.lastTankTurns, r.rollers.tankTurns, r.readings.nowSeconds, TICK_SECONDS)
  })
  return endEvenness(e)
}

/** Sorted, of 100 seeds. */
function variations(base: BaseFile, agitation: Agitation): number[] {
  const all: number[] = []
  for (let seed = 1; seed <= 100; seed++) all.push(100 * developer(base, agitation, seed).immersionCv)
  return all.sort((a, b) => a - b)
}

test('staggered two-turn legs at 45 rpm with the shortest rests leave at most 1 percent in 95 of 100 bases', () => {
  const short = { ...staggered, restSeconds: 0.2, rampSeconds: 0.5 }
  for (const base of [defaultBase, baseWith(0, 1)]) {
    const all = variations(base, short)
    console.log(`rest 0.2 s, ramp 0.5 s: median ${all[50].toFixed(2)} %, p95 ${all[95].toFixed(2)} %`)
    expect(all[95]).toBeLessThanOrEqual(1)
  }
})

/**
 * With rests of 0.5 s the median keeps the 1 percent and the 95th percentile does not: one reversal more on one side
 * than on the other takes 1.1 s of 195, which alone is 0.6 %, and the sequence leaves one or two. Exact kinematics
 * without motor or slip come to 1.1 % as well.
 */
test('with rests of half a second the median is below 1 percent and 95 of 100 below 1.3', () => {
  const all = variations(defaultBase, staggered)
  console.log(`rest 0.5 s, ramp 0.6 s: median ${all[50].toFixed(2)} %, p95 ${all[95].toFixed(2)} %`)
  expect(all[50]).toBeLessThan(1)
  expect(all[95]).toBeLessThan(1.3)
})

/** Less than the 31 % of a programme without opening: here 15 s turn one way, and reversals take 1.1 s, not 1.4. */
test('equal legs leave twenty times as much', () => {
  const opened = variations(defaultBase, equalLegs)
  const plain = { ...equalLegs, restSeconds: 0.8 }
  delete plain.opening
  const slow = variations(defaultBase, plain)
  console.log(`equal legs: median ${opened[50].toFixed(1)} %; without opening, rest 0.8 s: ${slow[50].toFixed(1)} %`)
  expect(opened[50]).toBeGreaterThan(20)
  expect(slow[50]).toBeGreaterThan(28)
  expect(slow[50]).toBeLessThan(36)
})

/** Forth and back slip differently, so that by the shaft alone equal legs creep round the tank and even out a little. */
test('without a magnet stagger still helps, and equal legs creep', () => {
  const base = baseWith(8, 0)
  const uneven = variations(base, staggered)
  const equal = variations(base, equalLegs)
  console.log(`by the shaft: staggered p95 ${uneven[95].toFixed(2)} %, equal median ${equal[50].toFixed(1)} %`)
  expect(uneven[95]).toBeLessThan(1.6)
  expect(equal[50]).toBeLessThan(variations(defaultBase, equalLegs)[50])
})

test('no place stays dry for longer than a turn and a rest, and each is wetted some thirty times a minute', () => {
  for (let seed = 1; seed <= 20; seed++) {
    const report = developer(defaultBase, staggered, seed)
    expect(report.longestDrySeconds).toBeLessThan(3.5)
    expect(report.exchangesPerMinute).toBeGreaterThan(28)
    expect(report.exchangesPerMinute).toBeLessThan(40)
    expect(report.reversals).toBeGreaterThan(40)
  }
})
