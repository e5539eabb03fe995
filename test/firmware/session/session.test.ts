/** Whole sessions and single hands, as an operator meets them. */
import { expect, test } from 'vitest'
import { fire } from '../../../firmware/session/act.ts'
import { LEAST_POUR_SIGMA_CELSIUS, statedCelsius } from '../../../firmware/session/pour.ts'
import { advance, createRig, giveCue, hold, holdLong, RECIPE, type Rig, tick, toTurning, wait } from './support.ts'

function bath(rig: Rig): void {
  toTurning(rig)
  wait(rig, 60)
  giveCue(rig)
  wait(rig, 2)
  advance(rig)
  rig.clock.due = false
  wait(rig, 10)
  advance(rig)
}

test('a session of three baths goes from planned to finished, and nothing is refused or alarmed', () => {
  const rig = createRig()
  expect(rig.session.state).toBe('planned')
  for (let i = 0; i < 3; i++) {
    bath(rig)
    wait(rig, 15)
  }
  expect(rig.session.state).toBe('finished')
  expect(rig.session.want).toBe('off')
  expect(rig.session.underway.contents).toBe('empty')
  const once = ['bathBegun', 'turningBegun', 'cueGiven', 'drainBegun', 'bathEnded']
  expect(rig.log).toEqual([...once, ...once, ...once, 'sessionFinished'])
})

test('what the tank holds is dated by the moments of the presses', () => {
  const rig = createRig()
  wait(rig, 5)
  advance(rig)
  const { session, estimates } = rig
  expect(session.underway.contents).toBe('filling')
  expect(session.underway.sinceSeconds).toBeCloseTo(estimates.nowSeconds - 0.03, 9)
  wait(rig, 8)
  advance(rig)
  expect(session.underway.contents).toBe('full')
  expect(session.fillSeconds).toBeCloseTo(8.1, 9)
  wait(rig, 50)
  giveCue(rig)
  const cueSeconds = session.cueSeconds
  expect(cueSeconds).toBe(estimates.nowSeconds)
  wait(rig, 3)
  advance(rig)
  expect(session.underway.contents).toBe('draining')
  expect(session.reactionSeconds).toBeCloseTo(estimates.nowSeconds - 0.03 - cueSeconds, 9)
  wait(rig, 9)
  advance(rig)
  expect(session.drainSeconds).toBeCloseTo(9.1, 9)
  expect(session.bathIndex).toBe(1)
})

test('each bath is expected where its recipe says, with its rate, volume and start', () => {
  const rig = createRig()
  bath(rig)
  advance(rig)
  expect(rig.session.underway).toMatchObject({
    bathIndex: 1,
    millilitres: 500,
    pourCelsius: 34.5,
    startsWhen: 'contact',
  })
  // The usable range of this bath is narrower than what people pour to reach it.
  expect(rig.session.underway.pourSigmaCelsius).toBe(LEAST_POUR_SIGMA_CELSIUS)
  expect(rig.session.underway.rate).toBeDefined()
  wait(rig, 8)
  advance(rig)
  giveCue(rig)
  advance(rig)
  wait(rig, 10)
  advance(rig)
  expect(rig.session.underway.rate).toBeUndefined()
  rig.clock.due = false
  advance(rig)
  expect(rig.session.underway.startsWhen).toBe('full')
  expect(statedCelsius({ name: 'b', kind: 'developed', seconds: 300, atCelsius: 20, agitation: 'e' })).toEqual([20, 20])
})

test('the cue never stops a developer: the tank turns until a person presses', () => {
  const rig = createRig()
  toTurning(rig)
  giveCue(rig)
  wait(rig, 600)
  expect(rig.session).toMatchObject({ state: 'due', want: 'turn' })
  expect(rig.alarms).toContain(41)
  advance(rig)
  expect(rig.session).toMatchObject({ state: 'draining', want: 'off' })
  expect(rig.session.alarms.standing).toBe(0)
})

test('pouring out before the cue is refused with a hint, and done when pressed again within three seconds', () => {
  const rig = createRig()
  toTurning(rig)
  wait(rig, 20)
  advance(rig)
  expect(rig.session.state).toBe('turning')
  expect(rig.session.refusal).toMatch(/again/)
  wait(rig, 5)
  expect(rig.session.refusal).toBe('')
  advance(rig)
  expect(rig.session.state).toBe('turning')
  wait(rig, 1)
  advance(rig)
  expect(rig.session.state).toBe('draining')
  expect(rig.session.reactionSeconds).toBeNaN()
})

test('a finger that taps twice does not insist', () => {
  const rig = createRig()
  toTurning(rig)
  wait(rig, 20)
  advance(rig)
  wait(rig, 0.1)
  advance(rig)
  expect(rig.session.state).toBe('turning')
})

test('a press a moment before the cue needs no second one, and teaches no reaction', () => {
  const rig = createRig()
  toTurning(rig)
  wait(rig, 20)
  rig.clock.cueAtSeconds = rig.estimates.nowSeconds + 2
  advance(rig)
  expect(rig.session.state).toBe('draining')
  expect(rig.session.reactionSeconds).toBeNaN()
})

test('a second tap while filling or draining has begun only now does not count', () => {
  const rig = createRig()
  advance(rig)
  wait(rig, 0.3)
  advance(rig)
  expect(rig.session.state).toBe('filling')
  expect(rig.log.at(-1)).toBe('refused')
})

test('where a recipe pours in no time, presses may follow each other as fast as fingers can', () => {
  const rig = createRig({ ...RECIPE, pour: { fillSeconds: 0, drainSeconds: 0 } })
  advance(rig)
  wait(rig, 0.1)
  advance(rig)
  expect(rig.session.state).toBe('turning')
})

test('hold stops the motor, not the bath, and comes back to turning', () => {
  const rig = createRig()
  toTurning(rig)
  wait(rig, 20)
  hold(rig)
  expect(rig.session).toMatchObject({ state: 'held', want: 'rest' })
  expect(rig.session.underway.contents).toBe('full')
  wait(rig, 30)
  hold(rig)
  expect(rig.session).toMatchObject({ state: 'turning', want: 'turn' })
  expect(rig.log.slice(-2)).toEqual(['held', 'holdEnded'])
})

test('a cue that comes during a hold is given, and stands when the hold ends', () => {
  const rig = createRig()
  toTurning(rig)
  hold(rig)
  wait(rig, 10)
  giveCue(rig)
  expect(rig.session.state).toBe('heldDue')
  expect(rig.log).toContain('cueGiven')
  hold(rig)
  expect(rig.session).toMatchObject({ state: 'due', want: 'turn' })
  hold(rig)
  advance(rig)
  expect(rig.session.state).toBe('draining')
})

test('a cue that comes before the tank was closed is given, and one press pours out', () => {
  const rig = createRig()
  advance(rig)
  wait(rig, 5)
  giveCue(rig)
  expect(rig.session.state).toBe('fillingDue')
  advance(rig)
  expect(rig.session.state).toBe('draining')
})

test('a cue left over from the bath before is not taken for this one', () => {
  const rig = createRig()
  bath(rig)
  rig.clock.due = true
  rig.clock.elapsedSeconds = 75
  advance(rig)
  wait(rig, 1)
  expect(rig.session.state).toBe('filling')
})

test('abandoning asks first, and ends with the motor off', () => {
  const rig = createRig()
  toTurning(rig)
  wait(rig, 20)
  holdLong(rig)
  expect(rig.session.state).toBe('held')
  expect(rig.session.refusal).toMatch(/abandon/i)
  wait(rig, 1)
  holdLong(rig)
  expect(rig.session).toMatchObject({ state: 'abandoned', want: 'off' })
  expect(rig.session.underway.contents).toBe('empty')
  expect(rig.log.slice(-2)).toEqual(['bathEnded', 'sessionAbandoned'])
})

test('a question that is not answered lapses', () => {
  const rig = createRig()
  toTurning(rig)
  holdLong(rig)
  wait(rig, 15)
  holdLong(rig)
  expect(rig.session.state).not.toBe('abandoned')
})

test('advance goes on doing its job while the question stands', () => {
  const rig = createRig()
  toTurning(rig)
  giveCue(rig)
  holdLong(rig)
  advance(rig)
  expect(rig.session.state).toBe('draining')
  holdLong(rig)
  expect(rig.session.state).toBe('draining')
})

test('a session that the charge will not last for is refused, and starts when the operator insists', () => {
  const rig = createRig()
  rig.energy.enough = false
  advance(rig)
  expect(rig.session.state).toBe('planned')
  expect(rig.session.refusal).toMatch(/pack/i)
  wait(rig, 1)
  advance(rig)
  expect(rig.session.state).toBe('filling')
  wait(rig, 30)
  expect(rig.alarms).not.toContain(31)
})

test('between baths a short charge does not keep the film waiting', () => {
  const rig = createRig()
  bath(rig)
  rig.energy.enough = false
  advance(rig)
  expect(rig.session.state).toBe('filling')
})

test('an unreadable pack stops the motor but not the cue, and turning goes on when it is known and acknowledged', () => {
  const rig = createRig()
  toTurning(rig)
  wait(rig, 20)
  rig.estimates.packKnown = false
  wait(rig, 1.5)
  expect(rig.session.want).toBe('turn')
  wait(rig, 1)
  expect(rig.session).toMatchObject({ state: 'stopped', want: 'off' })
  expect(rig.alarms).toEqual([30])
  giveCue(rig)
  expect(rig.session.state).toBe('stoppedDue')
  rig.estimates.packKnown = true
  wait(rig, 60)
  expect(rig.session.state).toBe('stoppedDue')
  rig.clock.due = false
  hold(rig)
  wait(rig, 1)
  expect(rig.session).toMatchObject({ state: 'due', want: 'turn' })
})

test('a stop without a cue is acknowledged by advance, which then does not pour out', () => {
  const rig = createRig()
  toTurning(rig)
  wait(rig, 20)
  rig.energy.empty = true
  wait(rig, 3)
  expect(rig.session.state).toBe('stopped')
  advance(rig)
  expect(rig.session.state).toBe('stopped')
  expect(rig.log.at(-1)).toBe('acknowledged')
  rig.energy.empty = false
  wait(rig, 2)
  expect(rig.session.state).toBe('turning')
  expect(rig.log.at(-1)).toBe('restarted')
})

test('one bad reading of the pack stops nothing', () => {
  const rig = createRig()
  toTurning(rig)
  for (let i = 0; i < 20; i++) {
    rig.estimates.packKnown = false
    wait(rig, 1)
    rig.estimates.packKnown = true
    wait(rig, 1)
  }
  expect(rig.session.state).toBe('turning')
  expect(rig.alarms).toEqual([])
})

test('a stall alarms and leaves the turning to the gentle retries', () => {
  const rig = createRig()
  toTurning(rig)
  rig.agitation.stalledForGood = true
  wait(rig, 3)
  expect(rig.session).toMatchObject({ state: 'turning', want: 'turn' })
  expect(rig.alarms).toEqual([24])
})

test('a press that silences an alarm does no more than that while turning, and its job where it has one', () => {
  const rig = createRig()
  toTurning(rig)
  wait(rig, 20)
  rig.estimates.bridging = true
  wait(rig, 6)
  expect(rig.alarms).toEqual([10])
  advance(rig)
  expect(rig.log.at(-1)).toBe('acknowledged')
  expect(rig.session.refusal).toBe('')
  wait(rig, 60)
  giveCue(rig)
  expect(rig.session.alarms.calling).toBe(1)
  advance(rig)
  expect(rig.session).toMatchObject({ state: 'draining' })
  expect(rig.session.alarms.calling).toBe(0)
})

test('before the first pour a press that silences an alarm does not start the session', () => {
  const rig = createRig()
  rig.estimates.probe = 'open'
  wait(rig, 10)
  advance(rig)
  expect(rig.session.state).toBe('planned')
  wait(rig, 5)
  advance(rig)
  expect(rig.session.state).toBe('filling')
})

test('what hands forget is called out', () => {
  const rig = createRig()
  advance(rig)
  wait(rig, 40)
  expect(rig.alarms).toEqual([42])
  advance(rig)
  expect(rig.session.alarms.standing).toBe(0)
  hold(rig)
  wait(rig, 62)
  expect(rig.alarms).toEqual([42, 40])
  hold(rig)
  giveCue(rig)
  wait(rig, 22)
  expect(rig.alarms).toEqual([42, 40, 41])
  rig.clock.due = false
  advance(rig)
  wait(rig, 40)
  expect(rig.alarms).toEqual([42, 40, 41, 43])
  advance(rig)
  wait(rig, 95)
  expect(rig.alarms).toEqual([42, 40, 41, 43, 44])
  bath(rig)
  wait(rig, 50)
  expect(rig.alarms).toEqual([42, 40, 41, 43, 44, 45])
})

test('a bath that may be longer is not called overdue in a hurry', () => {
  const rig = createRig()
  bath(rig)
  bath(rig)
  toTurning(rig)
  giveCue(rig)
  wait(rig, 200)
  expect(rig.alarms).toEqual([])
})

test('a bath out of range is only complained of when it is full, has settled, and stays so', () => {
  const rig = createRig()
  rig.clock.usable = 'tooCold'
  rig.clock.farOutsideSheet = true
  advance(rig)
  wait(rig, 20)
  advance(rig)
  wait(rig, 34)
  expect(rig.alarms).toEqual([])
  wait(rig, 4)
  expect(rig.alarms).toEqual([11, 12])
})

test('a rotation sensor that is lost is missed; one that never was is not', () => {
  const rig = createRig()
  toTurning(rig)
  wait(rig, 10)
  expect(rig.alarms).toEqual([])
  rig.estimates.rotationSource = 'tank'
  wait(rig, 10)
  rig.estimates.rotationSource = 'time'
  wait(rig, 10)
  expect(rig.alarms).toEqual([20])
})

test('while advance is stuck, hold does its work', () => {
  const rig = createRig()
  toTurning(rig)
  rig.estimates.advanceStuck = true
  giveCue(rig)
  wait(rig, 2)
  expect(rig.alarms).toContain(46)
  hold(rig)
  expect(rig.session.state).toBe('draining')
  wait(rig, 10)
  hold(rig)
  expect(rig.session.state).toBe('ready')
})

test('figures that are no numbers change nothing', () => {
  const rig = createRig()
  toTurning(rig)
  for (const view of [rig.clock, rig.agitation, rig.energy] as unknown as Record<string, unknown>[]) {
    for (const key of Object.keys(view)) if (typeof view[key] === 'number') view[key] = NaN
  }
  rig.estimates.bathCelsius = NaN
  wait(rig, 30)
  expect(rig.session.state).toBe('turning')
  expect(rig.alarms).toEqual([])
  advance(rig)
  giveCue(rig)
  advance(rig)
  expect(rig.session.state).toBe('draining')
})

test('a clock that reads nothing leaves everything as it was', () => {
  const rig = createRig()
  toTurning(rig)
  const { session, estimates } = rig
  estimates.nowSeconds = NaN
  tick({ ...rig, ticks: NaN })
  expect(session).toMatchObject({ state: 'turning', want: 'turn', eventCount: 0 })
})

test('when all is over, a pack that cannot be read and stuck buttons are still called out', () => {
  const rig = createRig()
  fire(rig.session, 'abandon', rig.estimates.nowSeconds)
  rig.estimates.packKnown = false
  rig.estimates.advanceStuck = true
  rig.estimates.holdStuck = true
  rig.estimates.probe = 'open'
  wait(rig, 5)
  expect(rig.session.state).toBe('abandoned')
  expect(rig.alarms.sort()).toEqual([30, 46, 47])
})
