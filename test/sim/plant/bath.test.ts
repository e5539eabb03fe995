import { expect, test } from 'vitest'
import { makeRate, secondsAt } from '../../../firmware/recipe/rate.ts'
import type { Bath } from '../../../firmware/recipe/recipe.ts'
import { defaultTank } from '../../../firmware/tank/defaultTank.ts'
import { type BathState, beginDrain, beginFill, closeTank, createBath, stepBath } from '../../../sim/plant/bath.ts'
import { type BathTruth, drawBathTruth } from '../../../sim/plant/bathTruth.ts'
import { createRandom } from '../../../sim/plant/random.ts'

const DT = 0.1
const DEVELOPER: Bath = {
  name: 'developer',
  kind: 'developed',
  rows: [
    [30, 480],
    [37.8, 195],
  ],
  agitation: 'even',
}

function truthOf(seed: number): BathTruth {
  return drawBathTruth(createRandom(seed, 1), defaultTank, 1)
}

function wait(bath: BathState, truth: BathTruth, seconds: number, turning: boolean, forced = NaN): void {
  for (let i = Math.round(seconds / DT); i > 0; i--) stepBath(bath, truth, DT, turning, undefined, forced)
}

/** Heat above 0 °C of all that there is, in joule. */
function heat(bath: BathState, truth: BathTruth): number {
  const liquid = bath.phase === 'empty' ? 0 : bath.millilitres * bath.joulesPerMillilitreKelvin
  return (
    liquid * bath.bathCelsius +
    truth.bodyJoulesPerKelvin * bath.bodyCelsius +
    truth.shellJoulesPerKelvin * bath.shellCelsius
  )
}

test('a pour and the tank keep between them all the heat that the room does not take', () => {
  for (let seed = 1; seed <= 20; seed++) {
    const truth = { ...truthOf(seed), roomStandingWattsPerKelvin: 0, roomTurningWattsPerKelvin: 0 }
    const bath = createBath(20, 20)
    const before = heat(bath, truth)
    beginFill(bath, 400, 8, 38, 'contact')
    wait(bath, truth, 8.5, false)
    closeTank(bath)
    const poured = 400 * bath.joulesPerMillilitreKelvin * 38
    wait(bath, truth, 300, true)
    expect(heat(bath, truth) / (before + poured)).toBeCloseTo(1, 9)
  }
})

test('the bath falls by degrees within the first minutes, then slowly towards the room', () => {
  for (let seed = 1; seed <= 20; seed++) {
    const truth = truthOf(seed)
    const bath = createBath(20, 20)
    beginFill(bath, 300, 8, 38, 'contact')
    wait(bath, truth, 8, false)
    closeTank(bath)
    wait(bath, truth, 120, true)
    const evened = bath.bathCelsius
    expect(38 - evened).toBeGreaterThan(1.5)
    expect(38 - evened).toBeLessThan(6)
    wait(bath, truth, 120, true)
    expect(evened - bath.bathCelsius).toBeLessThan(1.2)
    wait(bath, truth, 100_000, true)
    expect(bath.bathCelsius).toBeCloseTo(20, 1)
  }
})

test('a second pour falls less than the first, because the tank is warm', () => {
  const truth = truthOf(3)
  const bath = createBath(20, 20)
  const fall = (): number => {
    beginFill(bath, 300, 8, 38, 'contact')
    wait(bath, truth, 8, false)
    closeTank(bath)
    wait(bath, truth, 60, true)
    const by = 38 - bath.bathCelsius
    beginDrain(bath, 10)
    wait(bath, truth, 15, false)
    return by
  }
  expect(fall()).toBeGreaterThan(2 * fall())
})

test('a drain leaves the residue, and the next pour mixes with it', () => {
  const truth = truthOf(4)
  const bath = createBath(20, 20)
  beginFill(bath, 300, 0, 38, 'contact')
  closeTank(bath)
  wait(bath, truth, 5, true)
  beginDrain(bath, 10)
  wait(bath, truth, 9.9, false)
  expect(bath.phase).toBe('draining')
  wait(bath, truth, 0.2, false)
  expect(bath.phase).toBe('empty')
  expect(bath.millilitres).toBe(truth.residueMillilitres)
  beginFill(bath, 300, 8, 20, 'contact')
  expect(bath.fullMillilitres).toBeCloseTo(300 + truth.residueMillilitres, 9)
})

test('with the time counted from first contact, fill and drain count; what clings is apart and less than the drain', () => {
  const rate = makeRate(DEVELOPER, 0)
  const truth = truthOf(5)
  const bath = createBath(35, 35)
  const step = (seconds: number, forced: number): void => {
    for (let i = Math.round(seconds / DT); i > 0; i--) stepBath(bath, truth, DT, true, rate, forced)
  }
  beginFill(bath, 300, 8, 35, 'contact')
  step(8, 35)
  closeTank(bath)
  step(100, 35)
  beginDrain(bath, 10)
  step(10, 35)
  expect(bath.trueProgress).toBeCloseTo(118 / secondsAt(rate, 35), 9)
  expect(bath.clingProgress).toBe(0)
  step(300, NaN)
  expect(bath.trueProgress).toBeCloseTo(118 / secondsAt(rate, 35), 9)
  expect(bath.clingProgress).toBeGreaterThan(10 / secondsAt(rate, 36))
  expect(bath.clingProgress).toBeLessThan(60 / secondsAt(rate, 35))
})

test('with the time counted from full, the fill does not count', () => {
  const rate = makeRate(DEVELOPER, 0)
  const truth = truthOf(6)
  const bath = createBath(35, 35)
  beginFill(bath, 300, 8, 35, 'full')
  for (let i = 0; i < 80; i++) stepBath(bath, truth, DT, false, rate, 35)
  expect(bath.trueProgress).toBe(0)
  closeTank(bath)
  for (let i = 0; i < 100; i++) stepBath(bath, truth, DT, false, rate, 35)
  expect(bath.trueProgress).toBeCloseTo(10 / secondsAt(rate, 35), 9)
})

test('a forced bath is where it is put, and warms tank and shell all the same', () => {
  const truth = truthOf(7)
  const bath = createBath(20, 20)
  beginFill(bath, 300, 8, 38, 'contact')
  wait(bath, truth, 8, false, 30)
  closeTank(bath)
  wait(bath, truth, 600, true, 30)
  expect(bath.bathCelsius).toBe(30)
  expect(bath.bodyCelsius).toBeGreaterThan(28.5)
  expect(bath.shellCelsius).toBeGreaterThan(24)
})

test('the same seed draws the same tank; no spread draws the middle of every range', () => {
  expect(truthOf(8)).toEqual(truthOf(8))
  expect(truthOf(8)).not.toEqual(truthOf(9))
  const middle = drawBathTruth(createRandom(1, 1), defaultTank, 0)
  expect(middle).toEqual(drawBathTruth(createRandom(2, 1), defaultTank, 0))
  expect(middle.bodyJoulesPerKelvin).toBe(defaultTank.heatJoulesPerKelvin)
})
