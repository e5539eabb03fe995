/** What is watched once a second: every cause of an alarm, when it is one, and when it is none. */
import { expect, test } from 'vitest'
import { fire } from '../../../firmware/session/act.ts'
import { ALARMS, alarmPlace } from '../../../firmware/session/alarmTable.ts'
import { EVENTS_FOR_ALARMS } from '../../../firmware/session/events.ts'
import { advance, createRig, giveCue, hold, RECIPE, type Rig, tick, toTurning, wait } from './support.ts'

/** Number, name, urgent or mild, and the seconds for which a cause must last: reports and journals keep the numbers. */
const AGREED = `
10 probeFailed urgent 2
11 outsideSheet mild 5
12 bathTooCold mild 5
13 bathTooWarm mild 5
14 modelContradicted mild 3
15 boundWide mild 10
20 rotationLost mild 3
21 slipping mild 5
22 walkedOff urgent 3
23 jammed urgent 2
24 stalledForGood urgent 0
25 driverStuck urgent 2
30 packUnknown urgent 2
31 chargeShort mild 10
32 turnByHandSoon urgent 2
33 packEmpty urgent 0
40 holdForgotten urgent 0
41 pourOutOverdue urgent 0
42 fillForgotten urgent 0
43 drainForgotten mild 0
44 filmWaits mild 0
45 filmWaitsDeveloped urgent 0
46 advanceStuck urgent 0
47 holdStuck mild 0
50 powerWasGone urgent 0
51 sessionLost urgent 0
52 journalFailing mild 0
`

test('the alarms are those that were agreed, each with its number, its urgency and its patience', () => {
  const today = ALARMS.map(
    ({ number, name, urgent, afterSeconds }) => `${number} ${name} ${urgent ? 'urgent' : 'mild'} ${afterSeconds}`,
  )
  const agreed = AGREED.trim().split('\n')
  expect(today.slice(0, agreed.length)).toEqual(agreed)
})

/** Seconds until this alarm is raised, or NaN when it is not within ten minutes. */
function secondsTo(rig: Rig, number: number, most = 600): number {
  for (let seconds = 0; seconds <= most; seconds += 0.1) {
    if (rig.alarms.includes(number)) return seconds
    tick(rig)
  }
  return NaN
}

/** The watch looks once a second: an alarm comes so many seconds after its cause, and up to one more. */
function expectAfter(rig: Rig, number: number, seconds: number): void {
  const after = secondsTo(rig, number)
  expect(after, `alarm ${number}`).toBeGreaterThan(seconds - 0.05)
  expect(after, `alarm ${number}`).toBeLessThan(seconds + 1.25)
}

function expectNever(rig: Rig, number: number, seconds = 60): void {
  expect(secondsTo(rig, number, seconds), `alarm ${number}`).toBeNaN()
}

function turning(): Rig {
  const rig = createRig()
  toTurning(rig)
  wait(rig, 40)
  return rig
}

test('a probe that fails, or is bridged, is told after two seconds', () => {
  for (const cause of [{ probe: 'open' }, { bridging: true }] as const) {
    const rig = createRig()
    Object.assign(rig.estimates, cause)
    expectAfter(rig, 10, 2)
  }
})

test('what is wrong between motor and tank is told by its name while the tank is to turn', () => {
  for (const [turningTrouble, number, seconds] of [
    ['slipping', 21, 5],
    ['walkedOff', 22, 3],
    ['jammed', 23, 2],
  ] as const) {
    const rig = turning()
    rig.estimates.turningTrouble = turningTrouble
    expectAfter(rig, number, seconds)
    expect(rig.alarms).toEqual([number])
    const held = turning()
    hold(held)
    held.estimates.turningTrouble = turningTrouble
    expectNever(held, number, 30)
  }
})

test('a stall that is still tried against is no alarm', () => {
  const rig = turning()
  rig.estimates.turningTrouble = 'stalled'
  wait(rig, 30)
  expect(rig.alarms).toEqual([])
})

test('of two rotation sensors the loss of the better one is told, too, and only while the tank is to turn', () => {
  const rig = turning()
  rig.estimates.rotationSource = 'tank'
  wait(rig, 5)
  rig.estimates.rotationSource = 'shaft'
  expectAfter(rig, 20, 3)
  const blind = turning()
  blind.estimates.rotationSource = 'shaft'
  wait(blind, 5)
  blind.estimates.rotationSource = 'time'
  expectAfter(blind, 20, 3)
  const held = turning()
  held.estimates.rotationSource = 'tank'
  wait(held, 5)
  hold(held)
  held.estimates.rotationSource = 'time'
  expectNever(held, 20, 30)
})

test('a bath that the model cannot explain is told while the tank is full, at once', () => {
  const rig = createRig()
  rig.estimates.modelFreed = true
  advance(rig)
  expectNever(rig, 14, 10)
  advance(rig)
  expectAfter(rig, 14, 3)
})

test('a bath outside its sheet or its range is told half a minute after the tank was closed', () => {
  for (const [cause, number] of [
    [{ farOutsideSheet: true }, 11],
    [{ usable: 'tooCold' }, 12],
    [{ usable: 'tooWarm' }, 13],
  ] as const) {
    const rig = createRig()
    toTurning(rig)
    Object.assign(rig.clock, cause)
    expectAfter(rig, number, 35)
    expect(rig.alarms).toEqual([number])
  }
})

test('a wide bound is told in the second half of a bath, beyond five percent', () => {
  const wide = turning()
  wide.clock.progress = 0.51
  wide.clock.boundPercent = 5.1
  expectAfter(wide, 15, 10)
  for (const [progress, boundPercent] of [
    [0.5, 50],
    [0.9, 5],
  ] as const) {
    const rig = turning()
    Object.assign(rig.clock, { progress, boundPercent })
    expectNever(rig, 15, 30)
  }
})

test('a charge that will not last is told once a bath is in the tank: by shedding, or unless the operator insisted', () => {
  const planned = createRig()
  planned.energy.enough = false
  planned.energy.shedding = 2
  expectNever(planned, 31, 30)
  const shedding = turning()
  shedding.energy.shedding = 1
  expectAfter(shedding, 31, 10)
  const short = turning()
  short.energy.enough = false
  expectAfter(short, 31, 10)
  const insisted = turning()
  insisted.energy.enough = false
  insisted.session.insistedOnCharge = true
  expectNever(insisted, 31, 30)
})

test('an empty pack is told at once, and a call to turn by hand before it; not both', () => {
  const soon = turning()
  soon.energy.callByHand = true
  expectAfter(soon, 32, 2)
  const empty = turning()
  empty.energy.callByHand = true
  empty.energy.empty = true
  expect(secondsTo(empty, 33)).toBeLessThan(0.25)
  expectNever(empty, 32, 30)
  // Where nothing turns it is found by the watch.
  const held = turning()
  hold(held)
  held.energy.empty = true
  expectAfter(held, 33, 0)
})

test('a pour-out that is not answered is told after twenty seconds, where longer does no harm after five minutes', () => {
  const developer = turning()
  giveCue(developer)
  expectAfter(developer, 41, 20)
  const patient = createRig({ ...RECIPE, baths: [RECIPE.baths[2]!] })
  toTurning(patient)
  giveCue(patient)
  expectAfter(patient, 41, 300)
})

test('a pour-out that was answered is not overdue, however long it takes', () => {
  const rig = turning()
  giveCue(rig)
  wait(rig, 5)
  advance(rig)
  expectNever(rig, 41, 60)
})

test('what a person has to do next is called out when it takes much longer than it should', () => {
  const filling = createRig()
  advance(filling)
  expectAfter(filling, 42, 30)
  const draining = turning()
  giveCue(draining)
  advance(draining)
  expectAfter(draining, 43, 30)
  const slow = createRig({ ...RECIPE, pour: { fillSeconds: 20, drainSeconds: 25 } })
  advance(slow)
  expectAfter(slow, 42, 60)
  advance(slow)
  giveCue(slow)
  advance(slow)
  expectAfter(slow, 43, 75)
})

test('film that waits between two baths is called out, wet with developer sooner', () => {
  const rig = turning()
  giveCue(rig)
  advance(rig)
  rig.clock.due = false
  wait(rig, 10)
  advance(rig)
  expect(rig.session.state).toBe('ready')
  expectAfter(rig, 44, 90)
  toTurning(rig)
  giveCue(rig)
  advance(rig)
  rig.clock.due = false
  wait(rig, 10)
  advance(rig)
  expect(rig.session.state).toBe('ready')
  expectAfter(rig, 45, 45)
})

test('a hold is forgotten after a minute, with the cue standing too', () => {
  const rig = turning()
  hold(rig)
  expectAfter(rig, 40, 60)
  const due = turning()
  giveCue(due)
  hold(due)
  expectAfter(due, 40, 60)
})

test('a motor that draws current though it is told to rest is told; noise, its own work and what is unknown are not', () => {
  const planned = createRig()
  planned.estimates.motorAmps = 0.07
  expectAfter(planned, 25, 2)
  const held = turning()
  hold(held)
  held.estimates.motorAmps = 0.5
  expectAfter(held, 25, 2)
  for (const cause of [{ motorAmps: 0.06 }, { motorAmps: NaN }]) {
    const rig = createRig()
    Object.assign(rig.estimates, cause)
    expectNever(rig, 25, 20)
  }
  const slowing = turning()
  hold(slowing)
  slowing.estimates.motorAmps = 0.5
  slowing.session.underway.motorDuty = 0.2
  expectNever(slowing, 25, 20)
  const working = turning()
  working.estimates.motorAmps = 0.5
  expectNever(working, 25, 20)
})

test('stuck buttons are told at once', () => {
  const rig = createRig()
  rig.estimates.advanceStuck = true
  expectAfter(rig, 46, 0)
  rig.estimates.holdStuck = true
  expectAfter(rig, 47, 0)
})

test('after the session only the base itself is watched, and what stood can still be acknowledged', () => {
  const rig = turning()
  rig.estimates.probe = 'open'
  wait(rig, 5)
  expect(rig.alarms).toEqual([10])
  fire(rig.session, 'abandon', rig.estimates.nowSeconds)
  rig.clock.usable = 'tooCold'
  rig.energy.shedding = 2
  rig.agitation.stalledForGood = true
  wait(rig, 60)
  expect(rig.alarms).toEqual([10])
  hold(rig)
  wait(rig, 15)
  expect(rig.session.alarms.active).toBe(0)
})

test('a session that was finished is watched as little as one that was abandoned', () => {
  const rig = createRig({ ...RECIPE, baths: [RECIPE.baths[0]!] })
  toTurning(rig)
  giveCue(rig)
  advance(rig)
  wait(rig, 10)
  advance(rig)
  expect(rig.session.state).toBe('finished')
  rig.estimates.probe = 'open'
  rig.energy.shedding = 2
  wait(rig, 60)
  expect(rig.alarms).toEqual([])
})

test('a refusal is shown for four seconds', () => {
  const rig = turning()
  advance(rig)
  expect(rig.session.refusal).not.toBe('')
  wait(rig, 3)
  expect(rig.session.refusal).not.toBe('')
  wait(rig, 2)
  expect(rig.session.refusal).toBe('')
})

test('a motor that was stopped turns again once its pack is known, not empty, and a person has pressed', () => {
  const stopped = (): Rig => {
    const rig = turning()
    rig.energy.empty = true
    wait(rig, 3)
    expect(rig.session.state).toBe('stopped')
    return rig
  }
  const unacknowledged = stopped()
  unacknowledged.energy.empty = false
  wait(unacknowledged, 30)
  expect(unacknowledged.session.state).toBe('stopped')
  const empty = stopped()
  hold(empty)
  wait(empty, 30)
  expect(empty.session.state).toBe('stopped')
  const unknown = stopped()
  hold(unknown)
  unknown.estimates.packKnown = false
  unknown.energy.empty = false
  wait(unknown, 30)
  expect(unknown.session.state).toBe('stopped')
  unknown.estimates.packKnown = true
  wait(unknown, 1)
  expect(unknown.session.state).toBe('turning')
  // An old press does not start a motor that was stopped since.
  unknown.energy.empty = true
  wait(unknown, 1)
  unknown.energy.empty = false
  wait(unknown, 30)
  expect(unknown.session.state).toBe('stopped')
})

test('a burst of alarms leaves room for what hands do, and none of it is lost', () => {
  const rig = turning()
  const { session, estimates, clock, agitation, energy } = rig
  estimates.probe = 'open'
  estimates.modelFreed = true
  clock.farOutsideSheet = true
  clock.usable = 'tooWarm'
  clock.progress = 0.9
  clock.boundPercent = 50
  energy.shedding = 1
  energy.callByHand = true
  estimates.advanceStuck = true
  estimates.holdStuck = true
  estimates.turningTrouble = 'jammed'
  agitation.stalledForGood = true
  let most = 0
  for (let i = 0; i < 200; i++) {
    tick(rig)
    most = Math.max(most, session.eventCount)
  }
  expect(most).toBeLessThanOrEqual(EVENTS_FOR_ALARMS)
  expect(rig.alarms.sort()).toEqual([10, 11, 13, 14, 15, 23, 24, 31, 32, 46, 47])
})

test('an alarm that is called out again says its own number', () => {
  const rig = turning()
  rig.estimates.turningTrouble = 'jammed'
  wait(rig, 5)
  hold(rig)
  hold(rig)
  let repeated = NaN
  for (let i = 0; i < 600; i++) {
    tick(rig)
    const { events, eventCount } = rig.session
    for (const event of events.slice(0, eventCount)) if (event.kind === 'alarmRepeated') repeated = event.number
  }
  expect(repeated).toBe(23)
  expect(rig.session.alarms.level[alarmPlace(23)]).toBeGreaterThan(0)
})
