import { expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { beginSession, budgetSession, endSession, sessionsLeft, turnsIn } from '../../../firmware/energy/budget.ts'
import { expectedSeconds } from '../../../firmware/energy/duration.ts'
import { createEnergy, tickEnergy } from '../../../firmware/energy/energy.ts'
import { exportLearned, importLearned } from '../../../firmware/energy/learned.ts'
import { joulesPerTurn } from '../../../firmware/energy/load.ts'
import { CALL_LEAD_SECONDS } from '../../../firmware/energy/shed.ts'
import { colourNegative } from '../../../sim/bench/shippedRecipes.ts'
import { createPackPlant, drawPackTruth } from '../../../sim/plant/pack.ts'
import { createRandom } from '../../../sim/plant/random.ts'
import { type Bench, bathTimes, createBench, drawLoad, rest, runSession, turnLeg } from './sessionLoad.ts'

const seconds = colourNegative.baths.map(bath => expectedSeconds(bath, NaN, 0, colourNegative.pour.fillSeconds))

function bench(seed: number, charge: number, currentSense = true): Bench {
  const base = { ...defaultBase, pack: { ...defaultBase.pack, currentSense } }
  const random = createRandom(seed, 5)
  return createBench(base, createPackPlant(drawPackTruth(random, base, 20), charge), drawLoad(random, base), random)
}

test('at rest the charge is read from the voltage within three seconds', () => {
  for (const charge of [1, 0.85, 0.7, 0.5, 0.3, 0.1]) {
    const one = bench(3, charge)
    rest(one, 5)
    expect(one.energy.charge.known).toBe(true)
    expect(Math.abs(one.energy.view.charge - charge)).toBeLessThan(0.04)
    expect(one.energy.view.chargeSigma).toBeLessThan(0.05)
  }
})

test('reversals teach the pack resistance that the ramp and a short rest show', () => {
  for (let seed = 1; seed <= 8; seed++) {
    const one = bench(seed, 0.7)
    rest(one, 5)
    for (let i = 0; i < 150; i++) turnLeg(one, 45, 2, 0.6, 0.4)
    const least = one.pack.resistanceOhms
    const most = one.pack.resistanceOhms + one.pack.quickOhms
    expect(one.energy.view.resistanceOhms).toBeGreaterThan(0.9 * least)
    expect(one.energy.view.resistanceOhms).toBeLessThan(1.15 * most)
  }
})

test('what a turn costs is learned within a few legs, each speed for itself', () => {
  const one = bench(2, 0.9)
  rest(one, 5)
  for (let i = 0; i < 40; i++) turnLeg(one, 45, 2, 0.6, 0.4)
  for (let i = 0; i < 40; i++) turnLeg(one, 30, 2, 0.6, 0.4)
  turnLeg(one, 45, 2, 0.6, 0.4)
  const cruise = (one.load.turningWatts * 60) / 45
  for (const rpm of [45, 30]) {
    expect(joulesPerTurn(one.energy.load, rpm)).toBeGreaterThan(0.98 * cruise)
    expect(joulesPerTurn(one.energy.load, rpm)).toBeLessThan(1.2 * cruise)
  }
})

test('a session that cannot be finished is refused before the first pour, one that can is not', () => {
  for (let seed = 1; seed <= 6; seed++) {
    for (const [charge, enough] of [
      [0.06, false],
      [0.5, true],
      [1, true],
    ] as const) {
      const one = bench(seed, charge)
      budgetSession(one.energy, colourNegative, undefined, 0, NaN)
      rest(one, 6)
      expect(one.energy.view.enough).toBe(enough)
    }
  }
})

test('before the pack has been read there is nothing to refuse on', () => {
  const energy = createEnergy(defaultBase)
  budgetSession(energy, colourNegative, undefined, 0, NaN)
  expect(energy.view.enough).toBe(true)
})

test('a session cheaper by its seconds needs less, and the budget falls as it goes on', () => {
  const one = bench(1, 1)
  rest(one, 6)
  budgetSession(one.energy, colourNegative, undefined, 0, NaN)
  const whole = one.energy.view.neededJoules
  budgetSession(one.energy, colourNegative, undefined, 2, NaN)
  const later = one.energy.view.neededJoules
  budgetSession(one.energy, colourNegative, undefined, 2, 30)
  expect(later).toBeLessThan(whole)
  expect(one.energy.view.neededJoules).toBeLessThan(later)
  const before = one.energy.view.neededJoules
  for (let i = 0; i < 20; i++) turnLeg(one, 45, 2, 0.6, 0.4)
  expect(one.energy.view.neededJoules).toBeLessThan(before)
})

test.each([true, false])(
  'insisted on with a low pack, load is shed in steps and the call comes in time (current sense: %s)',
  sense => {
    let calls = 0
    let finishedBySheddingOnly = 0
    for (let seed = 1; seed <= 10; seed++) {
      for (const charge of [0.06, 0.09, 0.12, 0.15]) {
        const one = bench(seed, charge, sense)
        const levels: number[] = [0]
        let call = NaN
        let empty = NaN
        one.onTick = now => {
          const view = now.energy.view
          if (view.shedding !== levels[levels.length - 1]) levels.push(view.shedding)
          if (view.callByHand && isNaN(call)) call = now.ticks / 10
          if (view.empty && isNaN(empty)) empty = now.ticks / 10
        }
        const finished = runSession(one, colourNegative, bathTimes(colourNegative, seconds, one.random))
        for (let i = 1; i < levels.length; i++) {
          // One step at a time; only the session's end gives all back at once.
          if (levels[i] !== 0) expect(Math.abs(levels[i] - levels[i - 1])).toBe(1)
        }
        if (!isNaN(empty)) {
          calls++
          expect(empty - call).toBeGreaterThanOrEqual(CALL_LEAD_SECONDS)
          expect(one.pack.cutOff).toBe(false)
        } else if (finished && levels.length > 1) finishedBySheddingOnly++
      }
    }
    expect(calls).toBeGreaterThan(10)
    expect(finishedBySheddingOnly).toBeGreaterThan(0)
  },
)

test('with charge enough nothing is shed and nobody is called', () => {
  for (let seed = 1; seed <= 6; seed++) {
    const one = bench(seed, 0.5)
    let shed = 0
    one.onTick = now => {
      if (now.energy.view.shedding > 0 || now.energy.view.callByHand) shed++
    }
    expect(runSession(one, colourNegative, bathTimes(colourNegative, seconds, one.random))).toBe(true)
    expect(shed).toBe(0)
  }
})

test('a short dip of the voltage does not end a session; the end of discharge does, and charging takes it back', () => {
  const one = bench(4, 0.5)
  rest(one, 5)
  const energy = one.energy
  const tick = (volts: number, ticks: number): void => {
    for (let i = 0; i < ticks; i++) {
      one.estimates.packVolts = volts
      one.estimates.motorAmps = 0.3
      one.estimates.slow = i % 10 === 9
      tickEnergy(energy, one.estimates, one.agitation, true)
    }
  }
  tick(5.5, 20)
  tick(7, 20)
  expect(energy.view.empty).toBe(false)
  tick(5.8, 40)
  expect(energy.view.empty).toBe(true)
  tick(6.3, 300)
  expect(energy.view.empty).toBe(true)
  tick(8.2, 120)
  expect(energy.view.empty).toBe(false)
})

test('bad numbers in leave the view in plain numbers', () => {
  const one = bench(5, 0.8)
  rest(one, 6)
  budgetSession(one.energy, colourNegative, undefined, NaN, NaN)
  beginSession(one.energy)
  for (const volts of [NaN, 0, Infinity, -3]) {
    for (const amps of [NaN, Infinity]) {
      for (const tickSeconds of [NaN, 0, -1, 1e9, 0.1]) {
        one.estimates.packVolts = volts
        one.estimates.motorAmps = amps
        one.estimates.tickSeconds = tickSeconds
        one.estimates.packKnown = false
        one.estimates.slow = true
        one.agitation.legs++
        tickEnergy(one.energy, one.estimates, one.agitation, true)
      }
    }
  }
  one.readings.packVolts = NaN
  rest(one, 10)
  for (const [name, value] of Object.entries(one.energy.view)) {
    if (typeof value === 'number') expect(isFinite(value), name).toBe(true)
  }
  endSession(one.energy, true)
  expect(isFinite(sessionsLeft(one.energy, colourNegative))).toBe(true)
})

test('what was learned goes out as plain numbers and comes back the same', () => {
  const one = bench(6, 1)
  runSession(one, colourNegative, bathTimes(colourNegative, seconds, one.random))
  const learned = JSON.parse(JSON.stringify(exportLearned(one.energy)))
  const other = createEnergy(one.base)
  expect(importLearned(other, learned)).toBe(true)
  const back = exportLearned(other)
  expect(back.resistanceOhms).toBeCloseTo(learned.resistanceOhms, 9)
  expect(back.capacityCoulombs).toBeCloseTo(learned.capacityCoulombs, 6)
  expect(back.capacitySpread).toBeCloseTo(learned.capacitySpread, 9)
  expect(back.sessions).toBe(1)
  expect(back.speeds).toEqual(learned.speeds)
})

test('a learned record of rubbish changes nothing and says so', () => {
  const clean = createEnergy(defaultBase)
  const state = createEnergy(defaultBase)
  const rubbish = {
    resistanceOhms: -1,
    capacityCoulombs: NaN,
    capacitySpread: 'much',
    charge: 7,
    chargeSigma: null,
    correlation: 3,
    sessionFactor: 1e9,
    sessions: -4,
    speeds: [[0, 0, 0], 'fast', [45]],
  } as unknown as Parameters<typeof importLearned>[1]
  expect(importLearned(state, rubbish)).toBe(false)
  expect(state).toEqual(clean)
})

test('the turns of a programme are those of its legs, ramps and rests', () => {
  const agitation = { rpm: 60, legTurns: 3, restSeconds: 0.5, rampSeconds: 0.5, stagger: false }
  // 3 s of turning, half a second lost to the ramps, half a second of rest: 3 turns in 4 s.
  expect(turnsIn(agitation, 40, 0.2)).toBeCloseTo(30, 9)
  expect(turnsIn({ ...agitation, opening: { rpm: 30, seconds: 20 } }, 40, 0.2)).toBeCloseTo(25, 9)
})
