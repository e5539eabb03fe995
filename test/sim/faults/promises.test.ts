/** Each promise catches: a firmware or a plant that is broken on purpose breaks it, and an untouched one does not. */
import { expect, test } from 'vitest'
import type { Base } from '../../../firmware/base.ts'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import type { Recipe } from '../../../firmware/recipe/recipe.ts'
import { evenAgitation } from '../../../firmware/recipe/shipped/agitations.ts'
import { fire } from '../../../firmware/session/act.ts'
import { HOLD_FORGOTTEN, JAMMED, POUR_OUT_OVERDUE, PROBE_FAILED } from '../../../firmware/session/alarmTable.ts'
import { emit } from '../../../firmware/session/events.ts'
import { runByPlan } from '../../../sim/bench/defaults.ts'
import { PROMISE_NAMES, type PromiseName } from '../../../sim/faults/promises/promise.ts'
import type { Rig } from '../../../sim/faults/rig.ts'
import type { FaultEvent, Scenario } from '../../../sim/faults/scenario.ts'
import { runFaultSession } from '../../../sim/faults/session.ts'
import type { FaultName } from '../../../sim/faults/table.ts'

const recipe: Recipe = {
  name: 'short',
  title: 'Short',
  pour: { fillSeconds: 5, drainSeconds: 6 },
  baths: [
    {
      name: 'developer',
      kind: 'developed',
      rows: [
        [18, 170],
        [26, 120],
      ],
      agitation: 'even',
    },
    { name: 'fixer', kind: 'atLeast', seconds: 60, agitation: 'even' },
  ],
  agitations: { even: evenAgitation() },
}

const run = runByPlan({ seed: 11, recipe, base: defaultBase, roomCelsius: 20 })

function fault(name: FaultName, atSeconds: number, lastsSeconds: number, strength = 0): FaultEvent {
  return { fault: name, place: 1, atSeconds, lastsSeconds, strength }
}

function scenario(events: FaultEvent[] = [], startCharge = 0.95, of = recipe): Scenario {
  return { seed: 11, run: { ...run, recipe: of, startCharge }, possible: [], events, wallClockSet: false }
}

interface Sabotage {
  events?: FaultEvent[]
  startCharge?: number
  recipe?: Recipe
  spoil(rig: Rig, base: Base): void
}

const isTurning = (base: Base): boolean => base.session.state === 'turning'
const isDue = (base: Base): boolean => base.session.state === 'due'
/** A developer that takes longer than a pack with little in it lasts. */
const long: Recipe = {
  ...recipe,
  baths: [
    {
      ...recipe.baths[0]!,
      rows: [
        [18, 3000],
        [26, 2400],
      ],
    },
    recipe.baths[1]!,
  ],
}

const SABOTAGES: { [promise in PromiseName]: Sabotage } = {
  restBetweenDirections: {
    spoil(rig, base) {
      // Once in a leg, for a tenth of a second.
      if (isTurning(base) && rig.plant.steps % 70 === 0) rig.plant.pins.motorDuty *= -1
    },
  },
  withinLimits: {
    spoil(rig, base) {
      if (isTurning(base)) rig.plant.pins.motorDuty = 1
    },
  },
  offInSafeState: {
    spoil(rig, base) {
      if (base.session.state === 'filling') rig.plant.pins.motorDuty = 0.2
    },
  },
  offWhenUnsafe: {
    events: [fault('supplyUnread', 60, 30)],
    spoil(rig, base) {
      if (base.session.state === 'stopped') {
        rig.plant.pins.motorDuty = 0.3
        rig.plant.pins.motorGoodUntilSeconds = rig.plant.pins.seconds + 0.5
      }
    },
  },
  turnsOn: {
    events: [fault('probeOpen', 50, 60)],
    spoil(rig, base) {
      if (base.estimates.probe !== 'ok') rig.plant.pins.motorDuty = 0
    },
  },
  progressKnown: {
    spoil(_, base) {
      if (base.estimates.slow) base.clock.view.progress *= 0.85
    },
  },
  cueComes: {
    spoil(_, base) {
      if (isTurning(base)) base.session.cueGiven = true
    },
  },
  cueInTime: {
    spoil(rig, base) {
      if (isTurning(base) && rig.plant.bath.trueProgress > 0.6) base.clock.view.due = true
    },
  },
  cueShown: {
    spoil(rig, base) {
      if (isDue(base)) rig.panels.texts[0] = '0:00'
    },
    events: [fault('operatorLate', 20, 300, 20)],
  },
  cueSounded: {
    spoil(rig, base) {
      if (isDue(base)) {
        rig.panels.tones = []
        rig.panels.tonesSeconds = -Infinity
      }
    },
    events: [fault('operatorLate', 20, 300, 20)],
  },
  noAlarmLost: {
    events: [fault('probeOpen', 60, 60)],
    spoil(_, base) {
      const { level } = base.session.alarms
      if (level[PROBE_FAILED] === 2 && base.estimates.slow) level[PROBE_FAILED] = 0
    },
  },
  noAlarmWithoutCause: {
    spoil(rig, base) {
      if (rig.plant.steps === 700) emit(base.session, 'alarmRaised', 1, NaN, 23, '')
      expect(base.session.alarms.level[JAMMED]).toBe(0)
    },
  },
  faultTold: {
    events: [fault('probeOpen', 60, 60)],
    spoil(_, base) {
      base.session.alarms.level[PROBE_FAILED] = 0
    },
  },
  journalReadable: {
    spoil(rig) {
      if (rig.plant.steps % 50 === 0) rig.store.rot(0, rig.store.bytes, 20_000)
    },
  },
  callBeforeEmpty: {
    startCharge: 0.06,
    recipe: long,
    spoil(_, base) {
      base.energy.view.callByHand = false
    },
  },
  shortWarned: {
    startCharge: 0.06,
    recipe: long,
    spoil(_, base) {
      const { view } = base.energy
      view.callByHand = false
      view.shedding = 0
      view.enough = true
    },
  },
  operatorCalled: {
    events: [fault('walksAway', 60, 200)],
    spoil(_, base) {
      base.session.alarms.level[POUR_OUT_OVERDUE] = 0
    },
  },
  consoleMovesNothing: {
    events: [fault('afarRefused', 70, 0)],
    spoil(rig, base) {
      // What must be refused stops the motor.
      if (rig.plant.pins.seconds - rig.asked.any < 0.5) fire(base.session, 'hold', base.estimates.nowSeconds)
    },
  },
  holdNotForgotten: {
    events: [fault('holdPressed', 60, 0, 150)],
    spoil(_, base) {
      base.session.alarms.level[HOLD_FORGOTTEN] = 0
    },
  },
  onlyHandsDecide: {
    spoil(rig, base) {
      const held = isTurning(base) && rig.plant.bath.trueProgress > 0.4 && rig.plant.bath.trueProgress < 0.41
      if (held) fire(base.session, 'hold', base.estimates.nowSeconds)
    },
  },
  figuresStayNumbers: {
    spoil(rig, base) {
      if (rig.plant.steps > 700) base.estimates.bathCelsius = NaN
    },
  },
  nothingThrown: {
    spoil(rig, base) {
      if (rig.plant.steps === 700) base.mishaps++
    },
  },
  restAfterReset: {
    events: [fault('resetAtRandom', 60, 0, 5)],
    spoil(rig, base) {
      if (rig.starts > 1 && base.session.state === 'held') rig.plant.pins.motorDuty = 0.3
    },
  },
  resumes: {
    events: [fault('resetAtRandom', 60, 0, 5)],
    spoil(rig, base) {
      if (rig.starts > 1) base.session.bathIndex = 1
    },
  },
  comesBack: {
    events: [fault('supplyUnread', 60, 30)],
    spoil(_, base) {
      base.estimates.packKnown = false
    },
  },
}

for (const promise of PROMISE_NAMES) {
  const sabotage = SABOTAGES[promise]
  test(`broken on purpose, and noticed: ${promise}`, () => {
    const of = scenario(sabotage.events, sabotage.startCharge, sabotage.recipe)
    const names = (broken: { promise: PromiseName }[]): PromiseName[] => broken.map(one => one.promise)
    expect(names(runFaultSession(of).broken)).toEqual([])
    expect(names(runFaultSession(of, undefined, sabotage.spoil).broken)).toContain(promise)
  })
}

test('a session in which nothing goes wrong keeps every promise and raises nothing', () => {
  const result = runFaultSession(scenario())
  expect(result.broken.map(one => one.why)).toEqual([])
  expect(result).toMatchObject({ broken: [], marks: {}, ended: 'finished' })
})

test('a promise is judged in a session in which what it speaks of came up, and only there', () => {
  const clean = runFaultSession(scenario()).judged
  expect(clean).toContain('progressKnown')
  expect(clean).not.toContain('resumes')
  expect(clean).not.toContain('consoleMovesNothing')
  expect(runFaultSession(scenario([fault('resetAtRandom', 60, 0, 5)])).judged).toContain('resumes')
  // A fault that excuses it leaves nothing to be judged.
  expect(runFaultSession(scenario([fault('probeStuck', 1, 300)])).judged).not.toContain('progressKnown')
})

test('what may be done from afar is done and breaks nothing', () => {
  const lines: string[] = []
  const events = [fault('afarHold', 50, 0), fault('afarAdvance', 170, 0, 3), fault('afarAbandon', 60, 0)]
  const result = runFaultSession(scenario(events), line => lines.push(line))
  expect(result.broken).toEqual([])
  expect(result.judged).toContain('consoleMovesNothing')
  expect(lines.some(line => line.endsWith('held developer'))).toBe(true)
  expect(result.ended).toBe('finished')
})

test('a press for the end of a drain that was ended from afar meanwhile: a firmware that pours with it is noticed', () => {
  const after = { moment: 'drainBegun' as const, bathIndex: 0 }
  const events = [
    { ...fault('afarAdvance', 4, 0, 1), after },
    { ...fault('advancePressed', 4.6, 0), after },
  ]
  const lines: string[] = []
  expect(runFaultSession(scenario(events), line => lines.push(line)).broken).toEqual([])
  expect(lines.some(line => line.includes('Pressed twice?'))).toBe(true)
  const broken = runFaultSession(scenario(events), undefined, (_, base) => {
    base.session.afarSeconds = NaN
  }).broken
  expect(broken.map(one => one.promise)).toContain('consoleMovesNothing')
})
