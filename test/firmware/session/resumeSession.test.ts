/** A session after the dark: what each state becomes, what the tank holds, and that nothing turns. */
import { expect, test } from 'vitest'
import { standingAlarms } from '../../../firmware/session/alarms.ts'
import {
  isUnderWay,
  resumeSession,
  type SessionBefore,
  stateAfterDark,
} from '../../../firmware/session/resumeSession.ts'
import { createSession, type Session } from '../../../firmware/session/session.ts'
import type { SessionState } from '../../../firmware/session/table.ts'
import { RECIPE } from './support.ts'

const AFTER: Record<SessionState, [after: SessionState, contents: string, underWay: boolean]> = {
  planned: ['planned', 'empty', false],
  ready: ['ready', 'empty', true],
  filling: ['filling', 'filling', true],
  fillingDue: ['fillingDue', 'filling', true],
  turning: ['held', 'full', true],
  due: ['heldDue', 'full', true],
  held: ['held', 'full', true],
  heldDue: ['heldDue', 'full', true],
  stopped: ['held', 'full', true],
  stoppedDue: ['heldDue', 'full', true],
  draining: ['draining', 'draining', true],
  finished: ['finished', 'empty', false],
  abandoned: ['abandoned', 'empty', false],
}

function resumed(state: SessionState, before: Partial<SessionBefore> = {}): Session {
  const session = createSession(RECIPE, { millilitres: [500, 480], films: 1, filmsPerLitre: 0 })
  session.underway.motorDuty = 0.4
  session.stopAcknowledged = true
  resumeSession(
    session,
    { state, bathIndex: 1, cueGiven: false, insistedOnCharge: false, bathSeconds: 95, contentsSeconds: 87, ...before },
    10,
  )
  return session
}

test('what turned is held, what was called stands called, and the tank holds what it held', () => {
  for (const [state, [after, contents, underWay]] of Object.entries(AFTER)) {
    const session = resumed(state as SessionState)
    expect(stateAfterDark(state as SessionState), state).toBe(after)
    expect(isUnderWay(state as SessionState), state).toBe(underWay)
    expect([session.state, session.underway.contents], state).toEqual([after, contents])
    expect(session.want, state).not.toBe('turn')
    expect(session.want === 'rest', state).toBe(contents === 'full')
    expect(session.underway.motorDuty).toBe(0)
    expect(session.stopAcknowledged).toBe(false)
    expect(standingAlarms(session.alarms)).toEqual([50])
    // A hold runs from now on, whatever there was before.
    expect(session.restingSinceSeconds, state).toBe(contents === 'full' ? 10 : NaN)
  }
})

test('a bath in the tank is what it was: since when, how much, how warm, and how fast it acts', () => {
  const session = resumed('turning')
  expect(session).toMatchObject({
    bathIndex: 1,
    stateSeconds: 10,
    contactSeconds: -85,
    cueSeconds: NaN,
    cueGiven: false,
  })
  expect(session.underway).toMatchObject({
    bathIndex: 1,
    sinceSeconds: -77,
    millilitres: 480,
    pourCelsius: 34.5,
    pourSigmaCelsius: 4,
    startsWhen: 'contact',
    rate: session.rates[1],
  })
  const last = resumed('filling', { bathIndex: 2 })
  expect(last.underway).toMatchObject({ bathIndex: 2, millilitres: 480, startsWhen: 'full', rate: undefined })
  expect(resumed('held', { bathIndex: 0 }).underway.millilitres).toBe(500)
})

test('a cue that was given stands from now on; an empty tank has none to give', () => {
  expect(resumed('heldDue', { cueGiven: true })).toMatchObject({ cueGiven: true, cueSeconds: 10 })
  expect(resumed('ready')).toMatchObject({ cueGiven: true, cueSeconds: NaN, contactSeconds: NaN })
})

test('whoever insisted on the charge has insisted', () => {
  for (const insistedOnCharge of [true, false])
    expect(resumed('held', { insistedOnCharge })).toMatchObject({ insistedOnCharge })
})
