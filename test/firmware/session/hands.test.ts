/** What a press means, to the tenth of a second: questions, slips, anticipation, and alarms that it silences. */
import { expect, test } from 'vitest'
import { fire } from '../../../firmware/session/act.ts'
import { standingAlarms } from '../../../firmware/session/alarms.ts'
import { EVENTS_AT_MOST, emit } from '../../../firmware/session/events.ts'
import { createSession } from '../../../firmware/session/session.ts'
import { advance, createRig, giveCue, hold, RECIPE, type Rig, tick, toTurning, wait } from './support.ts'

function turning(): Rig {
  const rig = createRig()
  toTurning(rig)
  wait(rig, 40)
  return rig
}

/** Presses advance so long after the press that put the question. */
function answer(rig: Rig, seconds: number): void {
  const asked = rig.session.askedSeconds
  while (rig.estimates.nowSeconds + 0.1 < asked + seconds - 1e-6) tick(rig)
  rig.estimates.advancePressSeconds = asked + seconds
  tick(rig)
}

function holdDown(rig: Rig): void {
  rig.estimates.holdLongPress = true
  tick(rig)
}

test('a question is answered from four tenths of a second to three seconds after it was put', () => {
  for (const [seconds, state] of [
    [0.35, 'turning'],
    [0.4, 'draining'],
    [1, 'draining'],
    [2.95, 'draining'],
    [3.1, 'turning'],
  ] as const) {
    const rig = turning()
    advance(rig)
    expect(rig.session.asked).toBe('advance')
    answer(rig, seconds)
    expect(rig.session.state, `${seconds} s`).toBe(state)
  }
})

test('the question whether to abandon stands for ten seconds', () => {
  for (const [seconds, state] of [
    [9.5, 'abandoned'],
    [10.5, 'turning'],
  ] as const) {
    const rig = turning()
    holdDown(rig)
    expect(rig.session.asked).toBe('abandon')
    wait(rig, seconds - 0.1)
    holdDown(rig)
    expect(rig.session.state).toBe(state)
  }
})

test('the press that begins the answer does not hold what turns; one that comes later does', () => {
  const rig = turning()
  holdDown(rig)
  wait(rig, 2)
  hold(rig)
  expect(rig.session.state).toBe('turning')
  const later = turning()
  holdDown(later)
  wait(later, 11)
  hold(later)
  expect(later.session).toMatchObject({ state: 'held', asked: 'none' })
})

test('advance takes back the question whether to abandon, and hold the one whether to pour out', () => {
  const rig = turning()
  holdDown(rig)
  wait(rig, 1)
  advance(rig)
  expect(rig.session.asked).toBe('advance')
  hold(rig)
  expect(rig.session.asked).toBe('none')
  advance(rig)
  expect(rig.session).toMatchObject({ state: 'held', asked: 'advance' })
})

test('within three seconds of the cue a press pours out, earlier it asks', () => {
  for (const [before, state] of [
    [2.9, 'draining'],
    [3.2, 'turning'],
  ] as const) {
    const rig = turning()
    rig.clock.cueAtSeconds = rig.estimates.nowSeconds + before
    advance(rig)
    expect(rig.session.state, `${before} s before`).toBe(state)
  }
})

test('shortly before its cue a tank that is still open is closed by the press, not emptied', () => {
  const rig = createRig()
  advance(rig)
  wait(rig, 5)
  rig.clock.cueAtSeconds = rig.estimates.nowSeconds + 1
  advance(rig)
  expect(rig.session.state).toBe('turning')
})

test('a press is a slip within a second of the one before, or within a quarter of a shorter pour', () => {
  for (const [pourSeconds, after, slips] of [
    [8, 0.9, true],
    [8, 1.1, false],
    [2, 0.4, true],
    [2, 0.6, false],
  ] as const) {
    const recipe = { ...RECIPE, pour: { fillSeconds: pourSeconds, drainSeconds: pourSeconds } }
    const rig = createRig(recipe)
    advance(rig)
    const { session, estimates } = rig
    const press = (): void => {
      const at = session.underway.sinceSeconds + after
      while (estimates.nowSeconds + 0.1 < at - 1e-6) tick(rig)
      estimates.advancePressSeconds = at
      tick(rig)
    }
    press()
    expect(session.state, `${after} s into a fill of ${pourSeconds} s`).toBe(slips ? 'filling' : 'turning')
    if (slips) {
      wait(rig, 2)
      advance(rig)
    }
    wait(rig, 5)
    giveCue(rig)
    advance(rig)
    rig.clock.due = false
    press()
    expect(session.state, `${after} s into a drain of ${pourSeconds} s`).toBe(slips ? 'draining' : 'ready')
  }
})

test('a start on a pack that cannot be read is asked for twice, as on a short charge', () => {
  const rig = createRig()
  wait(rig, 5)
  rig.estimates.packKnown = false
  advance(rig)
  expect(rig.session).toMatchObject({ state: 'planned', asked: 'advance' })
  answer(rig, 1)
  expect(rig.session).toMatchObject({ state: 'filling', insistedOnCharge: true })
})

test('to insist on pouring out is not to insist on the charge', () => {
  const rig = turning()
  advance(rig)
  answer(rig, 1)
  expect(rig.session).toMatchObject({ state: 'draining', insistedOnCharge: false })
})

test('of two presses in one tick the earlier comes first', () => {
  const holdFirst = turning()
  const { estimates } = holdFirst
  estimates.holdPressSeconds = estimates.nowSeconds + 0.02
  estimates.advancePressSeconds = estimates.nowSeconds + 0.06
  tick(holdFirst)
  expect(holdFirst.session.state).toBe('held')
  expect(holdFirst.session.asked).toBe('advance')
  const advanceFirst = turning()
  advanceFirst.estimates.advancePressSeconds = advanceFirst.estimates.nowSeconds + 0.02
  advanceFirst.estimates.holdPressSeconds = advanceFirst.estimates.nowSeconds + 0.06
  tick(advanceFirst)
  expect(advanceFirst.session).toMatchObject({ state: 'held', asked: 'none' })
})

test('while advance is stuck a long press of hold abandons nothing', () => {
  const rig = turning()
  rig.estimates.advanceStuck = true
  holdDown(rig)
  expect(rig.session).toMatchObject({ state: 'turning', asked: 'none' })
})

test('a press of hold that silences an alarm stops nothing it would not have stopped, and holds what turns', () => {
  const turns = turning()
  turns.agitation.stalledForGood = true
  wait(turns, 3)
  hold(turns)
  expect(turns.session.state).toBe('held')
  const open = createRig()
  open.estimates.probe = 'open'
  wait(open, 6)
  hold(open)
  expect(open.log.at(-1)).toBe('acknowledged')
  expect(open.session.refusal).toBe('')
})

test('a press in the second in which the motor stopped is none that has seen it', () => {
  const rig = turning()
  rig.energy.empty = true
  wait(rig, 0.1)
  expect(rig.session.state).toBe('stopped')
  wait(rig, 0.5)
  hold(rig)
  expect(rig.session.stopAcknowledged).toBe(false)
  wait(rig, 1)
  hold(rig)
  expect(rig.session.stopAcknowledged).toBe(true)
  const due = turning()
  giveCue(due)
  due.energy.empty = true
  wait(due, 1.5)
  expect(due.session.state).toBe('stoppedDue')
  hold(due)
  expect(due.session.stopAcknowledged).toBe(true)
})

/** After the dark, with three answers to choose from. */
function asked(): Rig {
  const rig = turning()
  hold(rig)
  rig.session.darkAnswers = [30, 60, 600]
  rig.session.darkAt = 0
  wait(rig, 1)
  return rig
}

test('asked how long it was dark, advance goes round the answers and hold takes the one that is shown', () => {
  const rig = asked()
  for (const at of [1, 2, 0, 1, 2]) {
    advance(rig)
    expect(rig.session).toMatchObject({ state: 'held', darkAt: at })
    expect(rig.log.at(-1)).toBe('acknowledged')
  }
  hold(rig)
  const answered = rig.session.events.slice(0, rig.session.eventCount)
  expect(answered.map(({ kind }) => kind)).toEqual(['darkAnswered', 'holdEnded'])
  expect(answered[0]!.seconds).toBe(600)
  expect(rig.session).toMatchObject({ state: 'turning', darkAt: -1 })
})

test("the base's own answer, left as it is, is none", () => {
  const rig = asked()
  hold(rig)
  expect(rig.log).not.toContain('darkAnswered')
  expect(rig.session.state).toBe('turning')
})

test('with a button stuck nothing is asked, and the other does its work', () => {
  for (const stuck of [{ holdStuck: true }, { advanceStuck: true }]) {
    const rig = asked()
    Object.assign(rig.estimates, stuck)
    if (stuck.holdStuck) advance(rig)
    else hold(rig)
    expect(rig.session.asked, JSON.stringify(stuck)).toBe('advance')
  }
})

test('a press that silences an alarm goes on to no other answer', () => {
  const rig = asked()
  rig.estimates.probe = 'open'
  wait(rig, 6)
  advance(rig)
  expect(rig.session.darkAt).toBe(0)
})

test('what a bath is poured with and how it begins is its own: the last volume stands for those beyond the list', () => {
  const session = createSession(RECIPE, { millilitres: [300, 400], films: 2, filmsPerLitre: 0 })
  const volumes: number[] = []
  for (let i = 0; i < 3; i++) {
    session.bathIndex = i
    session.state = 'ready'
    fire(session, 'advance', 10)
    volumes.push(session.underway.millilitres)
  }
  expect(volumes).toEqual([300, 400, 400])
  expect(session.films).toBe(2)
})

test('every event says when, in which bath, and how long it took', () => {
  const rig = createRig()
  const seen: string[] = []
  const watched = (does: () => void): void => {
    does()
    for (const { kind, bathIndex, seconds, reason } of rig.session.events.slice(0, rig.session.eventCount)) {
      expect(reason, kind).toBe('')
      seen.push(`${kind} ${bathIndex} ${isNaN(seconds) ? '-' : seconds.toFixed(1)}`)
    }
  }
  watched(() => advance(rig))
  wait(rig, 7.9)
  watched(() => advance(rig))
  wait(rig, 10)
  watched(() => hold(rig))
  wait(rig, 4.9)
  watched(() => hold(rig))
  rig.energy.empty = true
  watched(() => wait(rig, 0.1))
  wait(rig, 2)
  hold(rig)
  rig.energy.empty = false
  watched(() => {
    for (let i = 0; i < 50 && rig.session.state !== 'turning'; i++) tick(rig)
  })
  watched(() => giveCue(rig))
  wait(rig, 1.9)
  watched(() => advance(rig))
  rig.clock.due = false
  wait(rig, 9.9)
  watched(() => advance(rig))
  const restarted = seen.findIndex(line => line.startsWith('restarted'))
  expect(Number(seen[restarted]!.split(' ')[2])).toBeGreaterThan(2)
  expect(Number(seen[restarted]!.split(' ')[2])).toBeLessThan(4)
  expect(seen.map(line => line.replace(/restarted 0 .*/, 'restarted 0'))).toEqual([
    'bathBegun 0 -',
    'turningBegun 0 8.0',
    'held 0 -',
    'holdEnded 0 5.0',
    'stopped 0 -',
    'alarmRaised 0 -',
    'restarted 0',
    'cueGiven 0 -',
    'drainBegun 0 2.0',
    'bathEnded 0 10.0',
  ])
  expect(rig.session).toMatchObject({ bathIndex: 1, restingSinceSeconds: NaN, cueSeconds: NaN, contactSeconds: NaN })
})

test('what ends a session, and what a person acknowledges or answers, has no reason', () => {
  const reasons: string[] = []
  const note = (rig: Rig): void => {
    for (const { kind, reason } of rig.session.events.slice(0, rig.session.eventCount)) {
      if (kind !== 'refused') reasons.push(reason)
    }
  }
  const quit = turning()
  fire(quit.session, 'abandon', quit.estimates.nowSeconds)
  note(quit)
  const last = createRig({ ...RECIPE, baths: [RECIPE.baths[0]!] })
  toTurning(last)
  giveCue(last)
  advance(last)
  wait(last, 10)
  advance(last)
  note(last)
  const alarmed = turning()
  alarmed.estimates.bridging = true
  wait(alarmed, 5)
  advance(alarmed)
  note(alarmed)
  const dark = asked()
  advance(dark)
  note(dark)
  hold(dark)
  note(dark)
  expect(reasons.length).toBeGreaterThan(5)
  expect(new Set(reasons)).toEqual(new Set(['']))
})

test('a cue that stands is not given again, and none is given while the tank drains', () => {
  const rig = turning()
  giveCue(rig)
  expect(rig.session.cueGiven).toBe(true)
  wait(rig, 3)
  expect(rig.log.filter(kind => kind === 'cueGiven')).toHaveLength(1)
  const early = turning()
  advance(early)
  answer(early, 1)
  expect(early.session).toMatchObject({ state: 'draining', cueGiven: true, reactionSeconds: NaN })
  giveCue(early)
  expect(early.log).not.toContain('cueGiven')
})

test('a press that was made before the cue, though taken after it, teaches no reaction', () => {
  const rig = turning()
  rig.clock.due = true
  tick(rig)
  rig.estimates.advancePressSeconds = rig.session.cueSeconds - 0.04
  tick(rig)
  expect(rig.session).toMatchObject({ state: 'draining', reactionSeconds: NaN })
})

test('what the base does by itself answers no question and takes no words off the screen', () => {
  const rig = turning()
  advance(rig)
  const { refusal } = rig.session
  giveCue(rig)
  expect(rig.session).toMatchObject({ state: 'due', refusal, asked: 'advance' })
})

test('a plain refusal asks nothing', () => {
  const rig = createRig()
  hold(rig)
  expect(rig.session.refusal).not.toBe('')
  expect(rig.session.asked).toBe('none')
})

test('an alarm that a press has answered is over, one that it has not stands', () => {
  const rig = turning()
  hold(rig)
  rig.estimates.bridging = true
  wait(rig, 65)
  expect(rig.alarms).toEqual([10, 40])
  hold(rig)
  expect(standingAlarms(rig.session.alarms)).toEqual([10])
})

test('a bath that begins knows nothing of the hands of the one before', () => {
  const rig = turning()
  giveCue(rig)
  wait(rig, 2)
  advance(rig)
  rig.clock.due = false
  wait(rig, 10)
  advance(rig)
  expect(rig.session.fillSeconds).toBeGreaterThan(0)
  expect(rig.session.drainSeconds).toBeGreaterThan(0)
  advance(rig)
  expect(rig.session).toMatchObject({
    fillSeconds: NaN,
    reactionSeconds: NaN,
    drainSeconds: NaN,
    cueSeconds: NaN,
    cueGiven: false,
  })
})

test('the last bath stays the last; an abandoned one is not gone on from', () => {
  const rig = createRig({ ...RECIPE, baths: [RECIPE.baths[0]!] })
  toTurning(rig)
  giveCue(rig)
  advance(rig)
  wait(rig, 10)
  advance(rig)
  expect(rig.session).toMatchObject({ state: 'finished', bathIndex: 0 })
  const quit = turning()
  fire(quit.session, 'abandon', quit.estimates.nowSeconds)
  expect(quit.session).toMatchObject({ state: 'abandoned', bathIndex: 0, cueGiven: true, drainSeconds: NaN })
  expect(quit.session.underway).toMatchObject({ contents: 'empty', rate: undefined })
})

test('abandoned with an empty tank, no bath has ended', () => {
  const rig = createRig()
  fire(rig.session, 'abandon', rig.estimates.nowSeconds)
  const kinds = rig.session.events.slice(0, rig.session.eventCount).map(({ kind }) => kind)
  expect(kinds).not.toContain('bathEnded')
  expect(kinds).toContain('sessionAbandoned')
})

test('more events than a tick has room for are dropped, and nothing is written beyond the list', () => {
  const { session } = createRig()
  for (let i = 0; i < EVENTS_AT_MOST + 5; i++) emit(session, 'held', i, NaN, 0, '')
  expect(session.eventCount).toBe(EVENTS_AT_MOST)
  expect(session.events.length).toBe(EVENTS_AT_MOST)
  expect(session.events[EVENTS_AT_MOST - 1]!.atSeconds).toBe(EVENTS_AT_MOST - 1)
})

test('a pack is unknown for two seconds before the motor stops, counted anew after each good reading', () => {
  const rig = turning()
  rig.estimates.packKnown = false
  wait(rig, 1.9)
  expect(rig.session.state).toBe('turning')
  rig.estimates.packKnown = true
  tick(rig)
  rig.estimates.packKnown = false
  wait(rig, 2)
  expect(rig.session.state).toBe('turning')
  wait(rig, 0.2)
  expect(rig.session.state).toBe('stopped')
  // A good reading in an empty pack counts, too.
  const empty = turning()
  hold(empty)
  empty.estimates.packKnown = false
  wait(empty, 5)
  empty.estimates.packKnown = true
  empty.energy.empty = true
  tick(empty)
  expect(empty.session.packUnknownSinceSeconds).toBeNaN()
})

test('a cue is of this bath when its clock has run no longer than two seconds more than the bath has', () => {
  for (const [more, state] of [
    [1.9, 'due'],
    [2.2, 'turning'],
  ] as const) {
    const rig = turning()
    rig.clock.elapsedSeconds = rig.estimates.nowSeconds + 0.1 - rig.session.contactSeconds + more
    giveCue(rig)
    expect(rig.session.state).toBe(state)
  }
})
