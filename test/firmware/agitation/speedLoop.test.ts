/** From a speed to a duty, volt by volt: what is needed, what is learned, and where both end. */
import { expect, test } from 'vitest'
import {
  brakingDuty,
  createSpeedLoop,
  evenDuty,
  risingDuty,
  type SpeedLoop,
} from '../../../firmware/agitation/speedLoop.ts'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { createEstimates, type Estimates } from '../../../firmware/sense/estimates.ts'

/** A drive that needs 0.08 V for each rpm and 0.6 V against friction, on a pack of 8 V. */
function loopOf(): SpeedLoop {
  return { voltsPerRpm: 0.08, frictionVolts: 0.6, nominalVolts: 7, leastDuty: 0.1, integralVolts: 0 }
}

function seen(packVolts = 8): Estimates {
  const estimates = createEstimates()
  estimates.packVolts = packVolts
  estimates.rotationSource = 'tank'
  estimates.tickSeconds = 0.1
  return estimates
}

const believed = (): Estimates => ({ ...seen(), rotationSource: 'time' })

/** Volts for an even 40 rpm: 3.2 for the speed, 0.6 for friction. */
const EVEN_VOLTS = 3.8

test('a loop starts from the base file and has learned nothing', () => {
  const loop = createSpeedLoop(defaultBase)
  expect(loop.voltsPerRpm * defaultBase.drive.rpmPerVolt).toBeCloseTo(1, 12)
  expect(loop.leastDuty).toBe(defaultBase.drive.leastDuty)
  expect(loop.integralVolts).toBe(0)
  expect(loop.nominalVolts).toBeGreaterThan(loop.frictionVolts)
})

test('at its speed the drive gets what the base file says, as a share of what the pack has now', () => {
  expect(evenDuty(loopOf(), 40, 40, 0.1, seen())).toBeCloseTo(EVEN_VOLTS / 8, 12)
  expect(evenDuty(loopOf(), 40, 40, 0.1, seen(5))).toBeCloseTo(EVEN_VOLTS / 5, 12)
  expect(brakingDuty(loopOf(), 40, 40, seen())).toBeCloseTo(EVEN_VOLTS / 8, 12)
  expect(risingDuty(loopOf(), 40, 40, 45, seen())).toBeCloseTo((EVEN_VOLTS + 5 * 0.08) / 8, 12)
})

test('a quarter of what is missing is answered at once, in either direction', () => {
  const slow = 5 * 0.08 * 0.25
  expect(brakingDuty(loopOf(), 40, 35, seen())).toBeCloseTo((EVEN_VOLTS + slow) / 8, 12)
  expect(brakingDuty(loopOf(), 40, 45, seen())).toBeCloseTo((EVEN_VOLTS - slow) / 8, 12)
  expect(evenDuty(loopOf(), 40, 35, 0.1, seen())).toBeCloseTo((EVEN_VOLTS + slow) / 8, 12)
  expect(risingDuty(loopOf(), 40, 35, 40, seen())).toBeCloseTo((EVEN_VOLTS + slow) / 8, 12)
})

test('what is missing for a second teaches one and a half times as many volts, and they are used from then on', () => {
  const loop = loopOf()
  evenDuty(loop, 40, 35, 0.2, seen())
  expect(loop.integralVolts).toBeCloseTo(0.4 * 1.5 * 0.2, 12)
  const learned = loop.integralVolts
  expect(evenDuty(loop, 40, 40, 0.1, seen())).toBeCloseTo((EVEN_VOLTS + learned) / 8, 12)
  expect(risingDuty(loop, 40, 40, 40, seen())).toBeCloseTo((EVEN_VOLTS + learned) / 8, 12)
  expect(brakingDuty(loop, 40, 40, seen())).toBeCloseTo((EVEN_VOLTS + learned) / 8, 12)
})

test('an error that nobody looked at for long counts as three tenths of a second', () => {
  const loop = loopOf()
  evenDuty(loop, 40, 35, 60, seen())
  expect(loop.integralVolts).toBeCloseTo(0.4 * 1.5 * 0.3, 12)
})

test('no more than two volts are ever learned, either way', () => {
  for (const rpm of [20, 60]) {
    const loop = loopOf()
    for (let i = 0; i < 200; i++) evenDuty(loop, 40, rpm, 0.1, seen(30))
    expect(Math.abs(loop.integralVolts)).toBeGreaterThan(1.7)
    expect(Math.abs(loop.integralVolts)).toBeLessThan(2)
    // And it comes back from there.
    const far = Math.abs(loop.integralVolts)
    evenDuty(loop, 40, 80 - rpm, 0.1, seen(30))
    expect(Math.abs(loop.integralVolts)).toBeLessThan(far)
  }
})

test('where the pack has no more to give, being too slow teaches nothing, being too fast does', () => {
  const loop = loopOf()
  expect(evenDuty(loop, 40, 10, 0.1, seen(3))).toBe(1)
  expect(loop.integralVolts).toBe(0)
  evenDuty(loop, 40, 50, 0.1, seen(3))
  expect(loop.integralVolts).toBeLessThan(0)
})

test('while the turning is only believed there is nothing to compare with: no answer and nothing learned', () => {
  const loop = loopOf()
  loop.integralVolts = 0.3
  for (const duty of [
    evenDuty(loop, 40, 5, 0.1, believed()),
    risingDuty(loop, 40, 5, 40, believed()),
    brakingDuty(loop, 40, 5, believed()),
  ]) {
    expect(duty).toBeCloseTo((EVEN_VOLTS + 0.3) / 8, 12)
  }
  expect(loop.integralVolts).toBe(0.3)
})

test('a pack that reads what no pack gives counts as the nominal one', () => {
  for (const volts of [NaN, -8, 0, 1, 60, 1e9]) {
    expect(evenDuty(loopOf(), 40, 40, 0.1, seen(volts)), `${volts} V`).toBeCloseTo(EVEN_VOLTS / 7, 12)
    expect(risingDuty(loopOf(), 40, 40, 40, seen(volts))).toBeCloseTo(EVEN_VOLTS / 7, 12)
    expect(brakingDuty(loopOf(), 40, 40, seen(volts))).toBeCloseTo(EVEN_VOLTS / 7, 12)
  }
  expect(brakingDuty(loopOf(), 40, 40, seen(59))).toBeCloseTo(EVEN_VOLTS / 59, 12)
  expect(brakingDuty(loopOf(), 10, 10, seen(1.5))).toBeCloseTo(1.4 / 1.5, 12)
})

test('a motor that turns gets at least the least duty, one that stands twice as much', () => {
  expect(evenDuty(loopOf(), 1, 4, 0.1, seen(30))).toBe(0.1)
  expect(evenDuty(loopOf(), 1, 2, 0.1, seen(30))).toBe(0.2)
  expect(risingDuty(loopOf(), 1, 4, 1, seen(30))).toBe(0.1)
  expect(risingDuty(loopOf(), 1, 2, 1, seen(30))).toBe(0.2)
  // A speed that is no number counts as standing.
  expect(evenDuty(loopOf(), 1, NaN, 0.1, seen(30))).toBe(0.2)
  expect(risingDuty(loopOf(), 1, NaN, 1, seen(30))).toBe(0.2)
})

test('more than all of the pack is all of it', () => {
  expect(evenDuty(loopOf(), 100, 100, 0.1, seen())).toBe(1)
  expect(risingDuty(loopOf(), 100, 100, 100, seen())).toBe(1)
  expect(brakingDuty(loopOf(), 100, 100, seen())).toBe(1)
})

test('braking lets the drive go below its least duty, to nothing, and never drives it backwards', () => {
  expect(brakingDuty(loopOf(), 5, 30, seen())).toBeCloseTo((0.4 + 0.6 - 25 * 0.08 * 0.25) / 8, 12)
  expect(brakingDuty(loopOf(), 5, 80, seen())).toBe(0)
})

test('on the way up only a motor that has not broken loose by twelve rpm teaches anything', () => {
  const learned = (targetRpm: number, rpm: number, volts = 8): number => {
    const loop = loopOf()
    risingDuty(loop, targetRpm, rpm, targetRpm, seen(volts))
    return loop.integralVolts
  }
  expect(learned(30, 20)).toBe(0)
  expect(learned(12, 0)).toBe(0)
  expect(learned(13, 0)).toBeCloseTo(13 * 0.08 * 1.5 * 0.1, 12)
  expect(learned(30, 0, 3)).toBe(0)
})
