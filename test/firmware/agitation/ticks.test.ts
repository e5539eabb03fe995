/** The agitation tick by tick on measurements that the tests make up: what is decided when, and what a usual tick costs. */
import { expect, test } from 'vitest'
import {
  type AgitationState,
  beginProgramme,
  createAgitation,
  RETRIES_AT_MOST,
  SHED_REST_SECONDS,
  tickAgitation,
  type Want,
} from '../../../firmware/agitation/agitation.ts'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import type { Agitation } from '../../../firmware/recipe/recipe.ts'
import { createEstimates, type Estimates } from '../../../firmware/sense/estimates.ts'

/** A ramp of 100 rpm/s: half a second to 50 rpm. */
const RAMP = 100
const legs: Agitation = { rpm: 50, legTurns: 5, restSeconds: 0.5, rampSeconds: 0.5, stagger: false }
const MOST_RPM = defaultBase.drive.mostRpm

interface Script {
  state: AgitationState
  estimates: Estimates
  want: Want
  shedding: 0 | 1 | 2 | 3
}

function script(agitation: Agitation = legs, base = defaultBase): Script {
  const state = createAgitation(base)
  const estimates = createEstimates()
  estimates.nowSeconds = 100
  estimates.tickSeconds = 0.1
  estimates.packVolts = 7.4
  estimates.rotationSource = 'tank'
  beginProgramme(state, agitation, 100)
  return { state, estimates, want: 'turn', shedding: 0 }
}

/** A tank that does as it is told: it has the target's speed of the tick before. */
function go(s: Script, seconds: number, each: () => void = () => {}): void {
  for (let i = Math.round(seconds * 10); i > 0; i--) {
    const { estimates, state } = s
    estimates.nowSeconds = Math.round(estimates.nowSeconds * 10 + 1) / 10
    estimates.slow = Math.round(estimates.nowSeconds * 10) % 10 === 0
    estimates.tankRpm = state.view.targetRpm
    estimates.tankTurns += estimates.tankRpm / 600
    estimates.tankTravelTurns += Math.abs(estimates.tankRpm) / 600
    tickAgitation(state, estimates, s.want, s.shedding)
    each()
  }
}

/** Ticks until this is so; two minutes are too long for it. */
function until(s: Script, isSo: () => boolean): void {
  for (let i = 0; i < 1200; i++) {
    go(s, 0.1)
    if (isSo()) return
  }
  expect(isSo()).toBe(true)
}

/** One tick in which this is measured. */
function measure(s: Script, measured: Partial<Estimates>): void {
  s.estimates.nowSeconds = Math.round(s.estimates.nowSeconds * 10 + 1) / 10
  s.estimates.slow = false
  Object.assign(s.estimates, measured)
  tickAgitation(s.state, s.estimates, s.want, s.shedding)
}

/** Evenly on in the first leg, at 50 rpm. */
function cruising(agitation: Agitation = legs, base = defaultBase): Script {
  const s = script(agitation, base)
  go(s, 10, () => {})
  for (let i = 0; i < 200 && !s.state.cruising; i++) go(s, 0.1)
  expect(s.state.cruising).toBe(true)
  return s
}

/** How many figures a tick looks at. */
function looks(s: Script): number {
  let count = 0
  const counted = new Proxy(s.estimates, {
    get: (target, key) => {
      count++
      return target[key as keyof Estimates]
    },
  })
  tickAgitation(s.state, counted, s.want, s.shedding)
  return count
}

test("the ramp is the recipe's, and on its top the leg goes evenly on", () => {
  const s = script()
  const targets: number[] = []
  go(s, 1.3, () => targets.push(s.state.view.targetRpm))
  // Half a second of rest, then ten rpm more in each tick.
  expect(targets.map(Math.round)).toEqual([0, 0, 0, 0, 0, 10, 20, 30, 40, 50, 50, 50, 50])
  expect(s.state.cruising).toBe(true)
})

test('a programme without opening has none, one with has it due', () => {
  expect(script().state.opening).toBe('over')
  expect(script({ ...legs, opening: { rpm: 60, seconds: 5 } }).state.opening).toBe('due')
})

test('a new bath stops a tank that turns, and does not make one wait that has stood', () => {
  const turning = cruising()
  beginProgramme(turning.state, legs, turning.estimates.nowSeconds)
  expect(turning.state).toMatchObject({ turning: false, cruising: false, direction: 0 })
  expect(turning.state.view).toMatchObject({ duty: 0, targetRpm: 0, atRest: false })
  const stood = cruising()
  stood.want = 'rest'
  go(stood, 5)
  beginProgramme(stood.state, legs, stood.estimates.nowSeconds)
  stood.want = 'turn'
  go(stood, 0.1)
  expect(stood.state.turning).toBe(true)
})

test('a leg that another bath left half done is not gone on with', () => {
  const s = cruising()
  s.want = 'off'
  go(s, 2)
  const { endTurns } = s.state
  beginProgramme(s.state, legs, s.estimates.nowSeconds)
  s.want = 'turn'
  go(s, 1)
  expect(s.state.view.legs).toBe(1)
  expect(s.state.endTurns).not.toBe(endTurns)
})

test('evenly on, nothing is put right before something new was measured, and then for the whole time since', () => {
  const s = cruising()
  const { loop } = s.state
  measure(s, { tankRpm: 50 * s.state.direction })
  const learned = loop.integralVolts
  const { duty } = s.state.view
  measure(s, {})
  measure(s, {})
  expect([loop.integralVolts, s.state.view.duty]).toEqual([learned, duty])
  measure(s, { tankRpm: 45 * s.state.direction })
  expect(loop.integralVolts - learned).toBeCloseTo(5 * loop.voltsPerRpm * 1.5 * 0.3, 9)
  measure(s, { tankRpm: 46 * s.state.direction })
  expect(loop.integralVolts - learned).toBeCloseTo((5 * 0.3 + 4 * 0.1) * loop.voltsPerRpm * 1.5, 9)
  expect(Math.abs(s.state.view.duty)).toBeGreaterThan(Math.abs(duty))
})

test('once a second the drive is looked at though it measures the same', () => {
  const s = cruising()
  measure(s, { tankRpm: 45 * s.state.direction })
  const learned = s.state.loop.integralVolts
  measure(s, {})
  expect(s.state.loop.integralVolts).toBe(learned)
  s.estimates.slow = true
  tickAgitation(s.state, s.estimates, 'turn', 0)
  expect(s.state.loop.integralVolts).toBeGreaterThan(learned)
})

test('evenly on, a tick in which nothing new was measured looks at four figures; at rest at one or none', () => {
  const s = cruising()
  expect(looks({ ...s, estimates: { ...s.estimates, slow: false } })).toBeLessThanOrEqual(4)
  const resting = script()
  resting.want = 'rest'
  go(resting, 1)
  expect(looks(resting)).toBe(0)
  resting.want = 'off'
  expect(looks(resting)).toBe(0)
  // Between two legs the time alone is looked at, until the rest is over.
  const waits = script()
  go(waits, 0.3)
  expect(looks(waits)).toBe(1)
})

test('the even stretch ends a little before the ramp down has to begin', () => {
  for (const direction of [1, -1]) {
    const s = cruising()
    until(s, () => s.state.direction === direction && s.state.cruising)
    // From 50 rpm at 100 rpm/s it takes a quarter of a second at 25 rpm on average, and the drive lags by 0.12 s.
    const exact = 0.5 * (25 / 60) + (50 * 0.12) / 60
    const left = s.state.endTurns * direction - s.state.brakeAtTurns
    expect(left).toBeGreaterThan(exact)
    expect(left).toBeLessThan(exact + 0.1)
  }
})

test('a stall ends the even stretch in the tick that measures it', () => {
  const s = cruising()
  measure(s, { turningTrouble: 'stalled', tankRpm: 0 })
  expect(s.state).toMatchObject({ turning: false, retries: 1 })
  expect(s.state.view).toMatchObject({ duty: 0, retrying: true, stalledForGood: false, direction: 0 })
})

test('load that is shed while the tank turns evenly is followed with the next measurement', () => {
  const s = cruising({ ...legs, leastRpm: 30 })
  s.shedding = 3
  measure(s, { tankRpm: 49 * s.state.direction })
  expect(s.state).toMatchObject({ topRpm: 30, shedding: 3 })
  s.shedding = 0
  measure(s, { tankRpm: 31 * s.state.direction })
  expect(s.state.topRpm).toBe(50)
})

test('on the ramp, too', () => {
  const s = script({ ...legs, leastRpm: 30 })
  go(s, 0.7)
  s.shedding = 3
  go(s, 0.6)
  expect(Math.abs(s.state.view.targetRpm)).toBe(30)
})

test('only the last step of shedding slows, and never to more than the leg has', () => {
  const s = cruising({ ...legs, leastRpm: 30 })
  s.shedding = 2
  measure(s, { tankRpm: 49 * s.state.direction })
  expect(s.state.topRpm).toBe(50)
  const gentle = script({ ...legs, opening: { rpm: 20, seconds: 60 }, leastRpm: 30 })
  gentle.shedding = 3
  go(gentle, 4)
  expect(gentle.state.topRpm).toBe(20)
  const unstated = cruising()
  unstated.shedding = 3
  measure(unstated, { tankRpm: 49 * unstated.state.direction })
  expect(unstated.state.topRpm).toBe(50)
})

test('rests are lengthened when load is shed, unless they are longer already', () => {
  const rest = (restSeconds: number, shedding: 0 | 1 | 2 | 3): number => {
    const s = script({ ...legs, restSeconds })
    s.shedding = shedding
    const from = s.estimates.nowSeconds
    until(s, () => s.state.turning)
    return s.estimates.nowSeconds - from
  }
  expect(rest(0.5, 1)).toBeCloseTo(0.6, 6)
  expect(rest(0.5, 2)).toBeCloseTo(SHED_REST_SECONDS + 0.1, 6)
  expect(rest(4, 2)).toBeCloseTo(4.1, 6)
})

test('a tank that slips is turned so slowly that its rollers stay within what the base allows', () => {
  const s = cruising()
  measure(s, { turningTrouble: 'slipping', slipFraction: 0.2, tankRpm: 49 * s.state.direction })
  expect(s.state.topRpm).toBe(50)
  measure(s, { slipFraction: 0.75, tankRpm: 48 * s.state.direction })
  expect(s.state.topRpm).toBeCloseTo(MOST_RPM / 4, 9)
  // What cannot be told slows nothing down, nor what was slipping and is no more.
  const gripping = script()
  gripping.estimates.slipFraction = 0.75
  go(gripping, 1)
  expect(gripping.state.topRpm).toBe(50)
  const untold = cruising()
  measure(untold, { turningTrouble: 'slipping', slipFraction: NaN, tankRpm: 49 * untold.state.direction })
  expect(untold.state.topRpm).toBe(50)
})

test('motor off leaves the leg to be gone on with', () => {
  const s = cruising()
  const { endTurns, direction } = s.state
  s.want = 'off'
  go(s, 0.1)
  expect(s.state).toMatchObject({ interrupted: true, turning: false })
  expect(s.state.view).toMatchObject({ duty: 0, atRest: false })
  go(s, 3)
  s.want = 'turn'
  go(s, 0.1)
  expect(s.state).toMatchObject({ endTurns, direction, turning: true })
})

test('a tank that rolls out is not at rest before it stands, either way', () => {
  for (const sign of [1, -1]) {
    const s = cruising()
    s.want = 'off'
    for (const [rpm, atRest] of [
      [30, false],
      [1.1, false],
      [0.9, true],
      [0, true],
    ] as const) {
      measure(s, { tankRpm: sign * rpm })
      expect(s.state.view.atRest, `${rpm}`).toBe(atRest)
    }
  }
})

test('a tank that is moved by hand when its rest is over has to stand for all of it again', () => {
  const s = script()
  go(s, 0.5)
  measure(s, { tankRpm: 5 })
  expect(s.state.view.atRest).toBe(false)
  go(s, 0.5)
  expect(s.state.turning).toBe(false)
  go(s, 0.2)
  expect(s.state.turning).toBe(true)
})

const withRest = (restSecondsAtLeast: number): typeof defaultBase => ({
  ...defaultBase,
  drive: { ...defaultBase.drive, restSecondsAtLeast },
})

test('asked to rest it never starts, also where no rest is asked between legs', () => {
  for (const want of ['rest', 'off'] as const) {
    const s = cruising({ ...legs, restSeconds: 0 }, withRest(0))
    s.want = want
    measure(s, { tankRpm: 0 })
    go(s, 1, () => expect(s.state.turning).toBe(false))
  }
})

test('the rest is the longer of what recipe and base ask', () => {
  for (const [recipeSeconds, baseSeconds] of [
    [0.5, 1.2],
    [1.2, 0.5],
  ] as const) {
    const s = script({ ...legs, restSeconds: recipeSeconds }, withRest(baseSeconds))
    go(s, 1.2, () => expect(s.state.turning).toBe(false))
    go(s, 0.1)
    expect(s.state.turning).toBe(true)
  }
})

test('before the first programme the tank stands, and nothing is begun', () => {
  const state = createAgitation(defaultBase)
  expect(state).toMatchObject({ turning: false, cruising: false, interrupted: false, opening: 'over', direction: 0 })
  expect(state.view).toEqual({
    duty: 0,
    targetRpm: 0,
    direction: 0,
    legs: 0,
    reversals: 0,
    atRest: true,
    stalledForGood: false,
    retrying: false,
  })
  const s: Script = { ...script(), state }
  go(s, 2)
  expect(state).toMatchObject({ turning: false })
})

test('the duty has the sign of its leg and is at most one, on every ramp and on the way', () => {
  const s = script()
  const signs = new Set<number>()
  go(s, 20, () => {
    const { duty, direction } = s.state.view
    expect(Math.abs(duty)).toBeLessThanOrEqual(1)
    if (direction !== 0) expect(duty * direction).toBeGreaterThan(0)
    else expect(duty).toBe(0)
    signs.add(direction)
  })
  expect([...signs].sort()).toEqual([-1, 0, 1])
})

test('on the ramp the drive gets what it needs for the speed that it will have when it has followed', () => {
  const s = script()
  const { loop } = s.state
  go(s, 0.6)
  for (const [rpm, aheadRpm] of [
    [20, 32],
    [30, 42],
    [40, 50],
  ] as const) {
    measure(s, { tankRpm: rpm, tankTurns: 0 })
    expect(s.state.view.duty).toBeCloseTo((aheadRpm * loop.voltsPerRpm + loop.frictionVolts) / 7.4, 9)
  }
})

test('towards its reversal point the speed is what the ramp allows on the way that is left', () => {
  for (const [left, rpm] of [
    [0.3, Math.sqrt(120 * RAMP * 0.2)],
    [0.2, Math.sqrt(120 * RAMP * 0.1)],
  ] as const) {
    const s = cruising()
    // At 50 rpm the drive goes on for 0.12 s, which is a tenth of a turn.
    measure(s, { tankRpm: 50 * s.state.direction, tankTurns: s.state.endTurns - left * s.state.direction })
    expect(s.state.targetRpm).toBeCloseTo(rpm, 9)
    expect(s.state.interrupted).toBe(false)
  }
})

test('asked to rest there, it slows along the ramp or as the way allows, whichever is slower', () => {
  for (const [left, rpm] of [
    [0.3, 40],
    [0.2, Math.sqrt(120 * RAMP * 0.1)],
  ] as const) {
    const s = cruising()
    s.want = 'rest'
    measure(s, { tankRpm: 50 * s.state.direction, tankTurns: s.state.endTurns - left * s.state.direction })
    expect(s.state.targetRpm).toBeCloseTo(rpm, 9)
    expect(s.state.interrupted).toBe(true)
  }
})

test('no leg is faster than the base allows', () => {
  const s = script({ ...legs, rpm: MOST_RPM + 20 })
  go(s, 1)
  expect(s.state.topRpm).toBe(MOST_RPM)
})

test('asked to rest shortly before its reversal point, the tank stops there and not behind it', () => {
  const s = cruising()
  const left = (): number => (s.state.endTurns - s.estimates.tankTurns) * s.state.direction
  until(s, () => left() <= 0.15 && s.state.turning)
  const end = s.state.endTurns
  s.want = 'rest'
  go(s, 2)
  expect(s.state.view).toMatchObject({ atRest: true, duty: 0 })
  expect(Math.abs(s.estimates.tankTurns - end)).toBeLessThan(0.12)
})

test('asked to rest on its way, it slows along the ramp from the next tick on', () => {
  const s = cruising()
  s.want = 'rest'
  const targets: number[] = []
  go(s, 0.6, () => targets.push(Math.round(Math.abs(s.state.view.targetRpm))))
  expect(targets).toEqual([40, 30, 20, 10, 0, 0])
  const { endTurns } = s.state
  s.want = 'turn'
  go(s, 1)
  expect(s.state).toMatchObject({ endTurns, turning: true })
})

test('a tank that friction stops short of its reversal point has ended its leg', () => {
  const s = cruising()
  s.want = 'rest'
  measure(s, { tankRpm: 1.1 * s.state.direction })
  expect(s.state.turning).toBe(true)
  measure(s, { tankRpm: 0.9 * s.state.direction })
  expect(s.state).toMatchObject({ turning: false, targetRpm: 0 })
  expect(s.state.view).toMatchObject({ duty: 0, direction: 0, atRest: false })
})

test('past its reversal point the motor is off', () => {
  const s = cruising()
  measure(s, { tankTurns: s.state.endTurns + 0.3 * s.state.direction })
  expect(s.state.view.duty).toBe(0)
})

test('the opening ends in time: its ramp down begins as long before as it takes', () => {
  const s = script({ ...legs, opening: { rpm: 60, seconds: 12 } })
  go(s, 0.6)
  const began = s.estimates.nowSeconds
  let fell = NaN
  let before = 0
  until(s, () => {
    if (isNaN(fell) && s.state.view.targetRpm < before) fell = s.estimates.nowSeconds
    before = s.state.view.targetRpm
    return !s.state.turning
  })
  expect(s.state.opening).toBe('over')
  expect(fell - began).toBeGreaterThan(12 - 0.6 - 0.15)
  expect(s.estimates.nowSeconds - began).toBeLessThan(12.3)
  expect(s.estimates.nowSeconds - began).toBeGreaterThan(11.7)
})

test('a reversal point that is nearer than the end of the opening stays where it is', () => {
  const s = script({ ...legs, opening: { rpm: 60, seconds: 12 }, netTurnsAtMost: 100 })
  go(s, 2)
  s.state.endTurns = s.estimates.tankTurns + 0.2
  s.state.cruiseUntilSeconds = s.estimates.nowSeconds
  const { endTurns } = s.state
  measure(s, { tankRpm: 59 })
  expect(s.state).toMatchObject({ opening: 'over', endTurns })
})

test('a tank that rolls back when its opening ends has nothing left to ramp down', () => {
  const s = script({ ...legs, opening: { rpm: 60, seconds: 12 } })
  go(s, 2)
  s.state.cruiseUntilSeconds = s.estimates.nowSeconds
  const at = s.estimates.tankTurns
  measure(s, { tankRpm: -20 })
  expect(s.state).toMatchObject({ opening: 'over', endTurns: at, turning: false })
})

/** Stalls as soon as it is driven, `times` times. */
function stall(s: Script, times: number): void {
  for (let i = 0; i < times; i++) {
    for (let k = 0; k < 600 && !s.state.turning; k++) measure(s, { turningTrouble: 'none', tankRpm: 0 })
    expect(s.state.turning).toBe(true)
    measure(s, { turningTrouble: 'stalled', tankRpm: 0 })
  }
}

test('the fifth stall in a row is one for good, and from then on it is tried every twenty seconds', () => {
  const s = cruising()
  stall(s, RETRIES_AT_MOST)
  expect(s.state.view).toMatchObject({ retrying: true, stalledForGood: false })
  expect(s.state.waitUntilSeconds - s.estimates.nowSeconds).toBeCloseTo(1, 6)
  stall(s, 1)
  expect(s.state.view).toMatchObject({ retrying: true, stalledForGood: true })
  expect(s.state.waitUntilSeconds - s.estimates.nowSeconds).toBeCloseTo(20, 6)
  stall(s, 3)
  expect(s.state.retries).toBe(RETRIES_AT_MOST + 1)
})

test('after a stall it is a second before the motor is driven again, however short the rests', () => {
  const s = cruising({ ...legs, restSeconds: 0.2 }, withRest(0.2))
  stall(s, 1)
  const stalled = s.estimates.nowSeconds
  for (let i = 0; i < 50 && !s.state.turning; i++) measure(s, { turningTrouble: 'none', tankRpm: 0 })
  expect(s.estimates.nowSeconds - stalled).toBeCloseTo(1, 6)
})

test('a motor given up comes back with half a turn, and a new bath begins with nothing of its stalls', () => {
  const s = cruising()
  stall(s, RETRIES_AT_MOST + 1)
  s.estimates.turningTrouble = 'none'
  go(s, 25)
  expect(s.state.view).toMatchObject({ retrying: false, stalledForGood: false })
  stall(s, RETRIES_AT_MOST + 1)
  beginProgramme(s.state, legs, s.estimates.nowSeconds)
  expect(s.state).toMatchObject({ retries: 0, waitUntilSeconds: s.estimates.nowSeconds })
  expect(s.state.view).toMatchObject({ retrying: false, stalledForGood: false, legs: 0, reversals: 0 })
})

test('after a stall the other direction is tried, with half the ramp, until half a turn has proved it', () => {
  const s = cruising()
  const { direction } = s.state
  stall(s, 1)
  s.estimates.turningTrouble = 'none'
  until(s, () => s.state.turning)
  expect(s.state.direction).toBe(-direction)
  expect(s.state.legRamp).toBe(RAMP / 2)
  const from = s.estimates.tankTravelTurns
  until(s, () => {
    expect(s.state.cruising && s.state.view.retrying).toBe(false)
    return !s.state.view.retrying
  })
  expect(s.estimates.tankTravelTurns - from).toBeGreaterThan(0.5)
  expect(s.estimates.tankTravelTurns - from).toBeLessThan(0.62)
  expect(s.state).toMatchObject({ retries: 0, legRamp: RAMP, topRpm: 50 })
  go(s, 0.5)
  expect(Math.abs(s.state.view.targetRpm)).toBe(50)
  expect(s.state.cruising).toBe(true)
})
