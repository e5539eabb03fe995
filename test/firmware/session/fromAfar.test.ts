/** What may be asked of a session over the line, state by state; and the test turn, from its asking to its end. */
import { expect, test } from 'vitest'
import { createEstimates, type Estimates } from '../../../firmware/sense/estimates.ts'
import { abandonNeedsPress, askAdvance, mayHold, takeFromAfar } from '../../../firmware/session/afar.ts'
import { raiseAlarm } from '../../../firmware/session/alarms.ts'
import { SLIPPING } from '../../../firmware/session/alarmTable.ts'
import { createSession, type Session } from '../../../firmware/session/session.ts'
import type { SessionState } from '../../../firmware/session/table.ts'
import { WANTS } from '../../../firmware/session/table.ts'
import {
  askStart,
  askTurnTest,
  awaitsStart,
  createTurnTest,
  stepTurnTest,
  type TurnTest,
} from '../../../firmware/session/turnTest.ts'
import { RECIPE, wellEnergy } from './support.ts'

function sessionIn(state: SessionState, bathIndex = 1): Session {
  const session = createSession(RECIPE, { millilitres: 500, films: 1, filmsPerLitre: 0 })
  session.state = state
  session.bathIndex = bathIndex
  session.want = WANTS[state]
  session.underway.sinceSeconds = 0
  return session
}

const STATES = Object.keys(WANTS) as SessionState[]

test('an advance from afar begins or ends a drain, and nothing else', () => {
  const taken = STATES.filter(state => askAdvance(sessionIn(state), 100) === '')
  expect(taken).toEqual(['fillingDue', 'due', 'heldDue', 'stoppedDue', 'draining'])
  for (const state of taken) {
    const session = sessionIn(state)
    askAdvance(session, 100)
    takeFromAfar(session, 100.1)
    expect(session.state).toBe(state === 'draining' ? 'ready' : 'draining')
    expect(session).toMatchObject({ afar: 'none', afarSeconds: 100.1 })
  }
})

test('an advance into a drain that has only begun is a slip, by the length of the pour', () => {
  for (const [drainSeconds, after, refused] of [
    [10, 0.9, true],
    [10, 1.1, false],
    [2, 0.4, true],
    [2, 0.6, false],
  ] as const) {
    const session = sessionIn('draining')
    session.recipe = { ...RECIPE, pour: { fillSeconds: 8, drainSeconds } }
    expect(askAdvance(session, after) !== '', `${after} s of ${drainSeconds}`).toBe(refused)
  }
})

test('only what turns can be held from afar, and what was not done leaves no trace', () => {
  expect(STATES.filter(state => mayHold(sessionIn(state)))).toEqual(['turning', 'due'])
  for (const afar of ['hold', 'draining'] as const) {
    const session = sessionIn('ready')
    session.afar = afar
    takeFromAfar(session, 50)
    expect(session).toMatchObject({ state: 'ready', afar: 'none', afarSeconds: NaN })
  }
})

test('to abandon a developer in the tank takes a press; an empty tank and other baths do not', () => {
  const inTank = sessionIn('turning')
  inTank.underway.contents = 'full'
  expect(abandonNeedsPress(inTank)).toBe(true)
  expect(abandonNeedsPress(sessionIn('ready'))).toBe(false)
  const prewet = sessionIn('turning', 0)
  prewet.underway.contents = 'full'
  expect(abandonNeedsPress(prewet)).toBe(false)
  inTank.afar = 'abandon'
  takeFromAfar(inTank, 50)
  expect(inTank).toMatchObject({ state: 'turning', afarSeconds: NaN })
})

interface Turn {
  turn: TurnTest
  session: Session
  estimates: Estimates
}

function askedTurn(): Turn {
  const turn = createTurnTest()
  const session = sessionIn('planned', 0)
  const estimates = createEstimates()
  estimates.packKnown = true
  estimates.nowSeconds = 100
  askTurnTest(turn, session, 60, 8, 100)
  return { turn, session, estimates }
}

function stepTo(t: Turn, nowSeconds: number, measured: Partial<Estimates> = {}, energy = wellEnergy()): boolean {
  Object.assign(t.estimates, { nowSeconds, ...measured })
  return stepTurnTest(t.turn, t.session, t.estimates, energy)
}

test('nothing is tested before it is asked for, and then as most recipes turn, at the speed asked for', () => {
  expect(createTurnTest()).toMatchObject({ stage: 'none', startUntilSeconds: NaN })
  expect(askedTurn().turn.agitation).toEqual({
    rpm: 60,
    legTurns: 2,
    restSeconds: 0.5,
    rampSeconds: 0.6,
    stagger: false,
  })
})

test('a test turn begins with a press of advance within half a minute, and ends with its time', () => {
  const t = askedTurn()
  expect(t.session.refusal).toBe('Test turn, from afar: press advance')
  expect(stepTo(t, 129.9)).toBe(false)
  expect(stepTo(t, 129.95, { advancePressSeconds: 129.9 })).toBe(true)
  expect(t.turn.stage).toBe('running')
  expect(t.session.refusal).toBe('Test turn: any press stops it')
  // The press was the test's own.
  expect(t.estimates.advancePressSeconds).toBeNaN()
  expect(stepTo(t, 137.9)).toBe(false)
  expect(t.turn.stage).toBe('running')
  stepTo(t, 138)
  expect(t.turn.stage).toBe('none')
  expect(t.session.refusal).toBe('')
})

test('asked for and not answered in time it lapses: a late press turns nothing', () => {
  const t = askedTurn()
  expect(stepTo(t, 130, { advancePressSeconds: 129.95 })).toBe(false)
  expect(t.turn.stage).toBe('none')
})

test('any press but advance takes it back, and any press stops it', () => {
  for (const press of [{ holdPressSeconds: 101 }, { holdLongPress: true }]) {
    const asked = askedTurn()
    stepTo(asked, 101, press)
    expect(asked.turn.stage).toBe('none')
  }
  for (const press of [{ advancePressSeconds: 103 }, { holdPressSeconds: 103 }, { holdLongPress: true }]) {
    const running = askedTurn()
    stepTo(running, 101, { advancePressSeconds: 101 })
    stepTo(running, 103, press)
    expect(running.turn.stage).toBe('none')
  }
})

test('any trouble stops it: of the pack, of the motor, or an alarm that did not stand before', () => {
  const running = (): Turn => {
    const t = askedTurn()
    raiseAlarm(t.session.alarms, SLIPPING, 0, 99)
    stepTo(t, 101, { advancePressSeconds: 101 })
    expect(t.turn.stage).toBe('running')
    return t
  }
  const unknown = running()
  stepTo(unknown, 102, { packKnown: false })
  expect(unknown.turn.stage).toBe('none')
  const empty = running()
  stepTo(empty, 102, {}, { ...wellEnergy(), empty: true })
  expect(empty.turn.stage).toBe('none')
  const jammed = running()
  stepTo(jammed, 102, { turningTrouble: 'jammed' })
  expect(jammed.turn.stage).toBe('none')
  const alarmed = running()
  raiseAlarm(alarmed.session.alarms, 0, 0, 102)
  stepTo(alarmed, 102)
  expect(alarmed.turn.stage).toBe('none')
})

test('a pack that cannot be read lets no test begin', () => {
  const t = askedTurn()
  stepTo(t, 101, { advancePressSeconds: 101, packKnown: false })
  expect(t.turn.stage).toBe('none')
})

test('a start is awaited for half a minute, and only before the first pour', () => {
  const turn = createTurnTest()
  const session = sessionIn('planned', 0)
  expect(awaitsStart(turn, session, 0)).toBe(false)
  askStart(turn, session, 100)
  expect(awaitsStart(turn, session, 129.9)).toBe(true)
  expect(awaitsStart(turn, session, 130)).toBe(false)
  session.state = 'filling'
  expect(awaitsStart(turn, session, 110)).toBe(false)
})

test('a session begins with nothing asked, nothing given and nobody acknowledged', () => {
  expect(createSession(RECIPE, { millilitres: 500, films: 1, filmsPerLitre: 0 })).toMatchObject({
    state: 'planned',
    want: 'off',
    cueGiven: true,
    asked: 'none',
    darkAnswers: [],
    darkAt: -1,
    afar: 'none',
    stopAcknowledged: false,
    eventCount: 0,
  })
})
