/** Where the tank turns next, leg by leg, without a motor: only what is planned. */
import { expect, test } from 'vitest'
import { type AgitationState, beginProgramme, createAgitation } from '../../../firmware/agitation/agitation.ts'
import { SHORTEST_LEG_TURNS } from '../../../firmware/agitation/legs.ts'
import { beginLeg } from '../../../firmware/agitation/plan.ts'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import type { Agitation } from '../../../firmware/recipe/recipe.ts'
import { createEstimates, type Estimates } from '../../../firmware/sense/estimates.ts'
import { equalLegs, staggered } from './rig.ts'

const legs: Agitation = { rpm: 40, legTurns: 2, restSeconds: 0.5, rampSeconds: 0.6, stagger: false }

interface Plan {
  state: AgitationState
  estimates: Estimates
  agitation: Agitation
}

function planned(agitation: Agitation, tankTurns = 0): Plan {
  const state = createAgitation(defaultBase)
  const estimates = createEstimates()
  estimates.nowSeconds = 100
  estimates.tankTurns = tankTurns
  beginProgramme(state, agitation, 100)
  return { state, estimates, agitation }
}

function next(plan: Plan): AgitationState {
  beginLeg(plan.state, plan.agitation, plan.estimates)
  return plan.state
}

/** The tank comes to rest exactly, or nearly, where its leg ends. */
function arrive(plan: Plan, missedTurns = 0): void {
  plan.estimates.tankTurns = plan.state.endTurns - missedTurns
  plan.state.turning = false
}

test('the first leg goes towards where a cable is unwound, and from no turns forth', () => {
  expect(next(planned(legs))).toMatchObject({ direction: 1, endTurns: 2, legRpm: 40 })
  expect(next(planned(legs, -3))).toMatchObject({ direction: 1, endTurns: -1 })
  expect(next(planned(legs, 3))).toMatchObject({ direction: -1, endTurns: 1 })
  // From where the tank is, not from where it should be: nothing was missed yet.
  expect(next(planned(legs, 0.1))).toMatchObject({ direction: -1, endTurns: -1.9 })
})

test('legs turn about, each is counted, and every one but the first is a reversal', () => {
  const plan = planned(legs)
  for (const [endTurns, direction, reversals] of [
    [2, 1, 0],
    [0, -1, 1],
    [2, 1, 2],
    [0, -1, 3],
  ]) {
    const state = next(plan)
    expect(state).toMatchObject({ endTurns, direction, turning: true, interrupted: false })
    expect(state.view).toMatchObject({ legs: reversals! + 1, reversals, direction, atRest: false, retrying: false })
    arrive(plan)
  }
})

test('small misses do not add up; from a tank that was moved the sequence goes on where it is', () => {
  for (const missed of [0.19, -0.19]) {
    const plan = planned(legs)
    next(plan)
    arrive(plan, missed)
    expect(next(plan).endTurns, `${missed}`).toBeCloseTo(0, 12)
  }
  for (const missed of [0.21, -0.21]) {
    const plan = planned(legs)
    next(plan)
    arrive(plan, missed)
    expect(next(plan).endTurns, `${missed}`).toBeCloseTo(-missed, 12)
  }
})

test('a leg that was interrupted goes on to its reversal point when enough of it is left', () => {
  const plan = planned(legs)
  next(plan)
  plan.state.interrupted = true
  plan.estimates.tankTurns = 2 - SHORTEST_LEG_TURNS
  expect(next(plan)).toMatchObject({ endTurns: 2, direction: 1, interrupted: false })
  expect(plan.state.view).toMatchObject({ legs: 1, reversals: 0 })
})

test('a leg that was interrupted shortly before its end counts as done', () => {
  const plan = planned(legs)
  next(plan)
  plan.state.interrupted = true
  plan.estimates.tankTurns = 2 - 0.9 * SHORTEST_LEG_TURNS
  expect(next(plan)).toMatchObject({ direction: -1, interrupted: false })
  expect(plan.state.view).toMatchObject({ legs: 2, reversals: 1 })
})

test('the same on the way back', () => {
  const plan = planned(legs)
  next(plan)
  arrive(plan)
  next(plan)
  plan.state.interrupted = true
  plan.estimates.tankTurns = 1
  expect(next(plan)).toMatchObject({ endTurns: 0, direction: -1 })
  plan.state.interrupted = true
  plan.estimates.tankTurns = 0.1
  expect(next(plan)).toMatchObject({ direction: 1 })
})

test('the opening goes one way without an end of its own, at its speed, for its seconds', () => {
  const plan = planned({ ...legs, opening: { rpm: 60, seconds: 15 } })
  expect(plan.state.opening).toBe('due')
  expect(next(plan)).toMatchObject({ opening: 'running', openingEndsSeconds: 115, direction: 1, legRpm: 60 })
  expect(plan.state.endTurns).toBeGreaterThan(1e5)
  expect(plan.state.view).toMatchObject({ legs: 1, reversals: 0 })
  const wound = planned({ ...legs, opening: { rpm: 60, seconds: 15 } }, 2)
  expect(next(wound).direction).toBe(-1)
  expect(wound.state.endTurns).toBeLessThan(-1e5)
})

test('an opening that was interrupted goes on while its time lasts, and no longer', () => {
  for (const [nowSeconds, opening] of [
    [114.9, 'running'],
    [115, 'over'],
  ] as const) {
    const plan = planned({ ...legs, opening: { rpm: 60, seconds: 15 } })
    next(plan)
    plan.estimates.nowSeconds = nowSeconds
    plan.estimates.tankTurns = 9
    plan.state.interrupted = true
    expect(next(plan).opening).toBe(opening)
    expect(plan.state.direction).toBe(opening === 'running' ? 1 : -1)
  }
})

test('a bound on net turns ends the opening, and cuts legs; a leg with no room turns the other way', () => {
  const bounded = { ...legs, opening: { rpm: 60, seconds: 15 }, netTurnsAtMost: 1.5 }
  const plan = planned(bounded)
  expect(next(plan).endTurns).toBe(1.5)
  arrive(plan)
  expect(next(plan)).toMatchObject({ endTurns: -0.5, direction: -1 })
  arrive(plan)
  expect(next(plan)).toMatchObject({ endTurns: 1.5, direction: 1 })
  // Interrupted at the bound, where the next leg would go on the same way: it goes back instead.
  const against = planned({ ...legs, netTurnsAtMost: 1.5 })
  next(against)
  against.state.direction = -1
  against.state.endTurns = 1.4
  against.estimates.tankTurns = 1.4
  expect(next(against)).toMatchObject({ direction: -1 })
  expect(against.state.endTurns).toBeCloseTo(-0.6, 12)
  expect(against.state.view).toMatchObject({ legs: 2, reversals: 0 })
  const below = planned({ ...legs, netTurnsAtMost: 1.5 })
  next(below)
  below.state.direction = 1
  below.state.endTurns = -1.4
  below.estimates.tankTurns = -1.4
  expect(next(below)).toMatchObject({ direction: 1 })
  expect(below.state.endTurns).toBeCloseTo(0.6, 12)
})

test('each leg takes the next length of the sequence, and an interrupted one takes none', () => {
  const plan = planned(staggered)
  plan.state.opening = 'over'
  next(plan)
  const first = plan.state.endTurns
  plan.state.interrupted = true
  next(plan)
  expect(plan.state.legIndex).toBe(1)
  arrive(plan)
  next(plan)
  expect(plan.state.legIndex).toBe(2)
  expect(first - plan.state.endTurns).not.toBeCloseTo(first, 3)
})

test('a try after a stall is shown as one, and starts counting from where it begins', () => {
  const plan = planned(equalLegs)
  plan.state.retries = 1
  plan.estimates.tankTravelTurns = 7
  next(plan)
  expect(plan.state.view.retrying).toBe(true)
  expect(plan.state.triedFromTurns).toBe(7)
  expect(plan.state.topRpm).toBe(-1)
})
