/**
 * The simulated drive against cases that can be computed with pencil and paper, in a half-filled tank: there every place
 * of the film is in the bath for half of each turn.
 */
import { expect, test } from 'vitest'
import type { Agitation } from '../../../../firmware/recipe/recipe.ts'
import { type EveningFigures, turnEvening } from '../../../../sim/bench/tune/evening.ts'
import { arcsOf } from '../../../../sim/bench/tune/setup.ts'
import { HALF_FULL, halfFullFor, oneWay } from './setups.ts'

/** Five bases, motors and packs. */
function evenings(seconds: number, agitation: Agitation): EveningFigures[] {
  return [0, 1, 2, 3, 4].map(index => turnEvening(halfFullFor(seconds), agitation, index, 5, 0))
}

test('in a half-filled tank the inner, middle and outer turn are all in the bath for half of each turn', () => {
  const { innerRadians, middleRadians, outerRadians } = arcsOf(halfFullFor(1).tank, HALF_FULL)
  for (const half of [innerRadians, middleRadians, outerRadians]) expect(half).toBeCloseTo(Math.PI / 2, 5)
})

/**
 * What constant turning leaves is the last, unfinished turn: one place may have been in the bath for one pass more than
 * another, of T / (2 turns) seconds where the mean is T / 2. The deviation is at most half of that range: 1 / (2 turns).
 */
test('constant rotation evens out: what is left is half a pass through the bath, the less the more turns', () => {
  for (const seconds of [10, 20, 40]) {
    for (const figures of evenings(seconds, oneWay(60))) {
      expect(figures.reversals).toBe(0)
      expect(figures.immersionCv).toBeLessThan(1.1 / (2 * seconds))
    }
  }
})

test('constant rotation in a half-filled tank: dry for half a turn, under once in each turn', () => {
  for (const figures of evenings(40, oneWay(45))) {
    expect(figures.longestDrySeconds).toBeGreaterThan(30 / 45)
    // The very first half turn begins from rest.
    expect(figures.longestDrySeconds).toBeLessThan(30 / 45 + 0.3)
    expect(figures.exchangesPerMinute).toBeGreaterThan(43)
    expect(figures.exchangesPerMinute).toBeLessThan(46)
  }
})

/** pi x 76 mm x 45 / 60 s for the outermost turn; the ramp at the beginning takes next to nothing off. */
test('the surface speed is that of the outermost turn of film', () => {
  for (const figures of evenings(40, oneWay(45))) {
    expect(figures.foamMillimetresPerSecond / ((Math.PI * 76 * 45) / 60)).toBeCloseTo(1, 1)
  }
})

/**
 * Equal legs of whole turns end at one and the same angle. A leg of L turns at n turns a second with ramps of a seconds
 * lasts L / n + a; braking and starting at the angle costs a seconds more than passing it, and r more are rested. Were all
 * of it spent at the angle itself, of each L / n + a + r seconds one half of the film would have L / 2n and the other
 * L / 2n + a + r: deviation over mean is (a + r) / (L / n + a + r). Ramps are spread over a part of a turn, which makes
 * of their share of that square wave at the least a triangle, whose deviation is 1 / sqrt(3) of the square's.
 */
test('equal whole-turn legs leave the share of rests and ramps as unevenness', () => {
  const ramp = 0.6
  for (const restSeconds of [0.8, 2, 5]) {
    const agitation: Agitation = { rpm: 45, legTurns: 2, restSeconds, rampSeconds: ramp, stagger: false }
    const cycle = 2 / 0.75 + ramp + restSeconds
    for (const figures of evenings(200, agitation)) {
      expect(figures.immersionCv).toBeGreaterThan((0.93 * (ramp / Math.sqrt(3) + restSeconds)) / cycle)
      expect(figures.immersionCv).toBeLessThan((1.03 * (ramp + restSeconds)) / cycle)
    }
  }
})

/**
 * An odd number of rests of r seconds, wherever they are: with half of the film under, no place can have been under in
 * exactly half of them, so each is off the mean by at least r / 2, and the mean is T / 2. Stagger cannot hide that.
 * (A programme begins with its rest; what is counted begins with the first turn.)
 */
test('an odd number of long rests leaves at least their length over the length of the bath, stagger or not', () => {
  const restSeconds = 20
  const leg = 2 / 0.75 + 0.6
  for (const rests of [3, 5, 7]) {
    const turned = rests * (leg + restSeconds) + leg
    for (const stagger of [true, false]) {
      const agitation: Agitation = { rpm: 45, legTurns: 2, restSeconds, rampSeconds: 0.6, stagger }
      for (const figures of evenings(restSeconds + turned, agitation)) {
        expect(figures.reversals).toBe(rests)
        expect(figures.immersionCv).toBeGreaterThan((0.9 * restSeconds) / turned)
      }
    }
  }
})

/** Legs of 3 turns at 60 rpm with ramps of 0.5 s take 3 / 1 + 0.5 s, and a tick or so to come to rest. */
test('the longest time in one direction is the length of a leg', () => {
  const agitation: Agitation = { rpm: 60, legTurns: 3, restSeconds: 1, rampSeconds: 0.5, stagger: false }
  for (const figures of evenings(60, agitation)) {
    expect(figures.oneWaySeconds).toBeGreaterThan(3.2)
    expect(figures.oneWaySeconds).toBeLessThan(4)
  }
})

test('the energy is what the motor draws and the electronics for the time', () => {
  const { base } = halfFullFor(60)
  const electronics = (base.power.electronicsWatts + base.power.screenWatts) * 60
  for (const figures of evenings(60, oneWay(45))) {
    expect(figures.joules - figures.motorJoules).toBeGreaterThan(0.97 * electronics)
    expect(figures.joules - figures.motorJoules).toBeLessThan(1.03 * electronics)
  }
})
