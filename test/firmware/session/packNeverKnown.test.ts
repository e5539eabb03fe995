/** A base that starts in a session with a pack that it has never been able to read does not try the motor first. */
import { expect, test } from 'vitest'
import { createAgitation } from '../../../firmware/agitation/agitation.ts'
import { createView } from '../../../firmware/clock/clockState.ts'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { createEnergy } from '../../../firmware/energy/energy.ts'
import { makeColourNegative } from '../../../firmware/recipe/shipped/colourNegative.ts'
import { createEstimates } from '../../../firmware/sense/estimates.ts'
import { resumeSession } from '../../../firmware/session/resumeSession.ts'
import { createSession, stepSession } from '../../../firmware/session/session.ts'

test('full and closed on a pack that was never known: stopped in the same tick, with the alarm', () => {
  const session = createSession(makeColourNegative(), { millilitres: 300, films: 1, filmsPerLitre: 0 })
  const before = { bathIndex: 1, cueGiven: false, insistedOnCharge: false, bathSeconds: 10, contentsSeconds: 10 }
  resumeSession(session, { ...before, state: 'filling' }, 100)
  const estimates = createEstimates()
  const agitation = createAgitation(defaultBase).view
  const energy = createEnergy(defaultBase).view
  estimates.nowSeconds = 100.1
  estimates.advancePressSeconds = 100.1
  stepSession(session, estimates, createView(), agitation, energy)
  expect(session.state).toBe('stopped')
  expect(session.want).toBe('off')
  expect(session.events.slice(0, session.eventCount).map(event => event.number)).toContain(30)
})
