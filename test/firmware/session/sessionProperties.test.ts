/** Whatever hands, cues and faults do, in any order: the promises a session keeps. */
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { ALARMS } from '../../../firmware/session/alarmTable.ts'
import { EVENTS_AT_MOST } from '../../../firmware/session/events.ts'
import { TRANSITIONS, WANTS } from '../../../firmware/session/table.ts'
import { createRig, type Rig, tick } from './support.ts'

type Deed = 'advance' | 'hold' | 'both' | 'long' | 'cue' | 'packLost' | 'packFound' | 'trouble' | 'well' | 'rubbish'

const deeds: fc.Arbitrary<{ deed: Deed; waitTicks: number }[]> = fc.array(
  fc.record({
    deed: fc.constantFrom<Deed>(
      ...(['advance', 'advance', 'advance', 'hold', 'both', 'long', 'cue', 'cue'] as const),
      ...(['packLost', 'packFound', 'trouble', 'well', 'rubbish'] as const),
    ),
    waitTicks: fc.constantFrom(1, 2, 6, 12, 35, 120, 900),
  }),
  { minLength: 1, maxLength: 40 },
)

function perform(rig: Rig, deed: Deed): void {
  const { estimates, clock, agitation, energy } = rig
  const nextSeconds = 1000 + rig.ticks / 10
  if (deed === 'advance' || deed === 'both') estimates.advancePressSeconds = nextSeconds - 0.04
  if (deed === 'hold' || deed === 'both') estimates.holdPressSeconds = nextSeconds - 0.02
  if (deed === 'long') estimates.holdLongPress = true
  if (deed === 'cue') clock.due = true
  if (deed === 'packLost') estimates.packKnown = false
  if (deed === 'packFound') estimates.packKnown = true
  const troubled = deed === 'trouble'
  if (troubled || deed === 'well') {
    estimates.bridging = troubled
    estimates.modelFreed = troubled
    estimates.turningTrouble = troubled ? 'slipping' : 'none'
    agitation.stalledForGood = troubled
    energy.enough = !troubled
    energy.callByHand = troubled
    energy.empty = troubled
    clock.usable = troubled ? 'tooWarm' : 'within'
    clock.farOutsideSheet = troubled
    clock.progress = 0.7
    clock.boundPercent = troubled ? 9 : 1
    estimates.advanceStuck = troubled && rig.ticks % 2 === 0
  }
  if (deed === 'rubbish') {
    estimates.bathCelsius = NaN
    clock.cueAtSeconds = rig.ticks % 2 === 0 ? -Infinity : NaN
    clock.progress = Infinity
    energy.charge = NaN
  }
}

/** Runs a list of deeds and hands every tick to `look`, with the state before it. */
function run(
  list: { deed: Deed; waitTicks: number }[],
  look: (rig: Rig, before: string, deed: Deed | '') => void,
): void {
  const rig = createRig()
  for (const { deed, waitTicks } of list) {
    perform(rig, deed)
    for (let i = 0; i < waitTicks; i++) {
      const before = rig.session.state
      tick(rig)
      look(rig, before, i === 0 ? deed : '')
      if (rig.session.underway.contents === 'empty') rig.clock.due = false
    }
  }
}

const settings = { seed: 1, numRuns: 150 }

test('the state is always one of the table, and the motor is asked for what it says', () => {
  fc.assert(
    fc.property(deeds, list => {
      run(list, ({ session }) => {
        if (TRANSITIONS[session.state] === undefined) throw new Error(session.state)
        if (session.want !== WANTS[session.state]) throw new Error(`${session.state} wants ${session.want}`)
        if (session.want === 'turn' && session.underway.contents !== 'full') throw new Error('turns an open tank')
        if (session.bathIndex < 0 || session.bathIndex >= session.recipe.baths.length) throw new Error('no such bath')
        if (session.eventCount >= EVENTS_AT_MOST) throw new Error('the list of events is full')
      })
    }),
    settings,
  )
  expect(Object.keys(WANTS)).toHaveLength(13)
})

test('a cue is given within a tick and stands until the drain begins or the session is abandoned', () => {
  let cues = 0
  fc.assert(
    fc.property(deeds, list => {
      let stands = false
      run(list, ({ session, clock }, before) => {
        const inBath = session.underway.contents === 'filling' || session.underway.contents === 'full'
        if (!inBath) stands = false
        else if (stands || clock.due) {
          if (!/due$/i.test(session.state)) throw new Error(`the cue is lost in ${session.state} after ${before}`)
          if (!stands) cues++
          stands = true
        }
      })
    }),
    settings,
  )
  expect(cues).toBeGreaterThan(20)
})

test('a bath ends only in a tick in which a button was pressed', () => {
  let ended = 0
  fc.assert(
    fc.property(deeds, list => {
      run(list, ({ session }, before, deed) => {
        if (session.state === before || (session.state !== 'draining' && session.state !== 'abandoned')) return
        ended++
        if (!['advance', 'hold', 'both', 'long'].includes(deed)) throw new Error(`${before} ended on ${deed}`)
      })
    }),
    settings,
  )
  expect(ended).toBeGreaterThan(20)
})

test('the counts of alarms are those of their levels, and none is raised without its cause', () => {
  let raised = 0
  fc.assert(
    fc.property(deeds, list => {
      run(list, ({ session, alarms }) => {
        const levels = [...session.alarms.level]
        const calling = levels.filter(level => level === 2).length
        const urgent = levels.filter((level, i) => level === 2 && ALARMS[i]!.urgent).length
        if (session.alarms.active !== levels.filter(level => level > 0).length) throw new Error('active')
        if (session.alarms.standing !== levels.filter(level => level > 1).length) throw new Error('standing')
        if (session.alarms.calling !== calling || session.alarms.callingUrgent !== urgent) throw new Error('calling')
        raised = Math.max(raised, alarms.length)
      })
    }),
    settings,
  )
  expect(raised).toBeGreaterThan(3)
})
