/** Walks the whole table: every state with everything that can happen, the refused pairs too. */
import { expect, test } from 'vitest'
import { fire } from '../../../firmware/session/act.ts'
import { SLIP_REASON } from '../../../firmware/session/hands.ts'
import { createSession } from '../../../firmware/session/session.ts'
import {
  type SessionHappening,
  type SessionState,
  type Step,
  TRANSITIONS,
  WANTS,
} from '../../../firmware/session/table.ts'
import { RECIPE } from './support.ts'

/** Written out again on purpose, and held against the unions by the compiler in both directions. */
const STATES = {
  planned: 0,
  ready: 0,
  filling: 0,
  fillingDue: 0,
  turning: 0,
  due: 0,
  held: 0,
  heldDue: 0,
  stopped: 0,
  stoppedDue: 0,
  draining: 0,
  finished: 0,
  abandoned: 0,
} satisfies Record<SessionState, 0>
const HAPPENINGS = {
  advance: 0,
  advanceShort: 0,
  insist: 0,
  hold: 0,
  holdLong: 0,
  abandon: 0,
  cue: 0,
  driveUnsafe: 0,
  driveSafe: 0,
} satisfies Record<SessionHappening, 0>

const states = Object.keys(STATES) as SessionState[]
const happenings = Object.keys(HAPPENINGS) as SessionHappening[]
const pairs = states.flatMap(state => happenings.map(happening => ({ state, happening })))
const step = (state: SessionState, happening: SessionHappening): Step => TRANSITIONS[state][happening]

test('the table has every state and every happening of the unions, and no other', () => {
  expect(Object.keys(TRANSITIONS).sort()).toEqual([...states].sort())
  for (const state of states) expect(Object.keys(TRANSITIONS[state]).sort()).toEqual([...happenings].sort())
})

test('every pair is either a transition with an action or a refusal with a reason', () => {
  for (const { state, happening } of pairs) {
    const { next, nextAfterLast, action, refusal, asks } = step(state, happening)
    if (next === 'same') {
      expect(refusal.length, `${state} ${happening}`).toBeGreaterThan(10)
      expect([nextAfterLast, action]).toEqual(['same', 'none'])
    } else {
      expect(refusal, `${state} ${happening}`).toBe('')
      expect(asks).toBe(false)
      expect(action).not.toBe('none')
      expect(states).toContain(next)
      expect(states).toContain(nextAfterLast)
    }
  }
})

test('carrying out any pair leaves a known state, the motor asked for what it says, and an event', () => {
  for (const { state, happening } of pairs) {
    const session = createSession(RECIPE, { millilitres: 500, films: 1, filmsPerLitre: 0 })
    session.state = state
    session.bathIndex = 1
    const went = fire(session, happening, 50)
    const { next } = step(state, happening)
    expect(session.state, `${state} ${happening}`).toBe(next === 'same' ? state : next)
    expect(went).toBe(next !== 'same')
    if (went) expect(session.want).toBe(WANTS[session.state])
    const isPress = !['cue', 'driveUnsafe', 'driveSafe'].includes(happening)
    if (went || isPress) expect(session.eventCount, `${state} ${happening}`).toBeGreaterThan(0)
    else expect(session.eventCount).toBe(0)
  }
})

test('the motor is asked to turn only while turning or due', () => {
  expect(states.filter(state => WANTS[state] === 'turn')).toEqual(['turning', 'due'])
})

test('where it is not asked to turn or to rest gently, the motor is off', () => {
  expect(states.filter(state => WANTS[state] === 'rest')).toEqual(['held', 'heldDue'])
  expect(states.filter(state => WANTS[state] === 'off')).toHaveLength(states.length - 4)
})

test('only a question asks: the answer to a plain refusal is not the same press again', () => {
  const questions = pairs.filter(({ state, happening }) => step(state, happening).asks)
  for (const { state, happening } of questions) {
    expect(step(state, happening).refusal, `${state} ${happening}`).toMatch(/again/i)
    const answer = happening === 'holdLong' ? 'abandon' : 'insist'
    expect(step(state, answer).next, `${state} ${answer}`).not.toBe('same')
  }
  expect(new Set(questions.map(({ happening }) => happening))).toEqual(new Set(['advance', 'advanceShort', 'holdLong']))
  expect(questions).toHaveLength(18)
})

test('every way out ends with the motor off', () => {
  for (const state of ['planned', 'ready', 'draining', 'finished', 'abandoned', 'stopped', 'stoppedDue'] as const) {
    expect(WANTS[state]).toBe('off')
  }
})

test('from every state of a session under way both the end and the way on can be reached', () => {
  const reached = (from: SessionState): Set<SessionState> => {
    const found = new Set<SessionState>([from])
    for (const state of found) {
      for (const happening of happenings) {
        for (const next of [step(state, happening).next, step(state, happening).nextAfterLast]) {
          if (next !== 'same') found.add(next)
        }
      }
    }
    return found
  }
  for (const state of states.filter(s => s !== 'finished' && s !== 'abandoned')) {
    expect(reached(state).has('finished'), state).toBe(true)
    expect(reached(state).has('abandoned'), state).toBe(true)
  }
})

test('where the cue stands, one press of advance pours out', () => {
  for (const state of ['fillingDue', 'due', 'heldDue', 'stoppedDue'] as const) {
    expect(step(state, 'advance')).toMatchObject({ next: 'draining', action: 'beginDrain' })
  }
})

test('a cue that stands is lost neither to a hold nor to a stop', () => {
  for (const state of ['fillingDue', 'due', 'heldDue', 'stoppedDue'] as const) {
    for (const happening of ['hold', 'cue', 'driveUnsafe', 'driveSafe', 'holdLong'] as const) {
      const { next } = step(state, happening)
      expect(next === 'same' ? state : next, `${state} ${happening}`).toMatch(/due$/i)
    }
  }
})

test('only a press leads to draining: the base never ends a bath on its own account', () => {
  for (const { state, happening } of pairs) {
    if (step(state, happening).next === 'draining') {
      expect(['advance', 'advanceShort', 'insist'], `${state} ${happening}`).toContain(happening)
    }
  }
})

test('every reason is printable and fits two lines of 21 characters', () => {
  const reasons = new Set([SLIP_REASON, ...pairs.map(pair => step(pair.state, pair.happening).refusal)])
  reasons.delete('')
  expect(reasons.size).toBeGreaterThan(8)
  for (const reason of reasons) {
    expect(reason).toMatch(/^[ -~]+$/)
    expect(reason, reason).toMatch(/^.{1,21}( .{1,21})?$/)
  }
})
