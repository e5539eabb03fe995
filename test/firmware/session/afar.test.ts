/** What is asked of a session from afar means what it meant when it was asked, and counts once along with a press. */
import { expect, test } from 'vitest'
import { askAbandon, askAdvance } from '../../../firmware/session/afar.ts'
import { raiseAlarm } from '../../../firmware/session/alarms.ts'
import { POUR_OUT_OVERDUE, PROBE_FAILED } from '../../../firmware/session/alarmTable.ts'
import { AFAR_SLIP_SECONDS, SLIP_SECONDS } from '../../../firmware/session/hands.ts'
import { advance, createRig, giveCue, hold, type Rig, tick, toTurning, wait } from './support.ts'

function dueRig(): Rig {
  const rig = createRig()
  toTurning(rig)
  wait(rig, 60)
  giveCue(rig)
  expect(rig.session.state).toBe('due')
  return rig
}

function ask(rig: Rig): string {
  return askAdvance(rig.session, rig.estimates.nowSeconds)
}

test('asked twice while the cue stands it begins the drain, and only that', () => {
  const rig = dueRig()
  expect(ask(rig)).toBe('')
  expect(ask(rig)).toContain('The first one counts')
  tick(rig)
  expect(ask(rig)).toContain('The first one counts')
  wait(rig, 5)
  expect(rig.session.state).toBe('draining')
})

test('it is a slip for as long after the drain began as a press of the button is, whoever began it', () => {
  const rig = dueRig()
  advance(rig)
  wait(rig, SLIP_SECONDS - 0.2)
  expect(ask(rig)).toContain('The first one counts')
  wait(rig, 0.3)
  expect(ask(rig)).toBe('')
  tick(rig)
  expect(rig.session.state).toBe('ready')
})

test('a press on the base in the tick that would take it counts once with it', () => {
  const rig = dueRig()
  ask(rig)
  advance(rig)
  wait(rig, 2)
  expect(rig.session.state).toBe('draining')
  wait(rig, 8)
  ask(rig)
  advance(rig)
  wait(rig, 2)
  expect(rig.session.state).toBe('ready')
})

test('a pour-out that was asked for while the tank turned is not taken once a person holds it', () => {
  const rig = dueRig()
  ask(rig)
  hold(rig)
  wait(rig, 2)
  expect(rig.session.state).toBe('heldDue')
})

test('a hand that was on its way when the drain was ended from afar does not begin the next bath', () => {
  const rig = dueRig()
  advance(rig)
  wait(rig, 8)
  ask(rig)
  tick(rig)
  expect(rig.session.state).toBe('ready')
  wait(rig, AFAR_SLIP_SECONDS - 0.3)
  advance(rig)
  expect(rig.session.state).toBe('ready')
  expect(rig.session.refusal).toContain('The first one counts')
  wait(rig, 0.5)
  rig.clock.due = false
  advance(rig)
  expect(rig.session.state).toBe('filling')
})

test('a hand that was on its way when the drain was begun from afar does not end it', () => {
  const rig = dueRig()
  ask(rig)
  wait(rig, AFAR_SLIP_SECONDS - 0.2)
  advance(rig)
  expect(rig.session.state).toBe('draining')
})

test('a hand that was on its way to hold when it was held from afar does not let the motor go on', () => {
  for (const afterSeconds of [0.1, 0.7, AFAR_SLIP_SECONDS - 0.2]) {
    const rig = dueRig()
    rig.session.afar = 'hold'
    wait(rig, afterSeconds)
    hold(rig)
    expect(rig.session.want).toBe('rest')
    wait(rig, 2)
    hold(rig)
    expect(rig.session.want).toBe('turn')
  }
})

test('a press of hold that silences an alarm abandons nothing, though that was asked for from afar', () => {
  const rig = dueRig()
  rig.session.bathIndex = 1
  askAbandon(rig.session, rig.estimates.nowSeconds)
  raiseAlarm(rig.session.alarms, PROBE_FAILED, 1, rig.estimates.nowSeconds)
  wait(rig, 2)
  hold(rig)
  expect(rig.session.state).toBe('due')
  wait(rig, 1)
  hold(rig)
  expect(rig.session.state).toBe('abandoned')
})

test('a hold while the pour-out is overdue, by hand or from afar, does not make that alarm come anew', () => {
  for (const fromAfar of [true, false]) {
    const rig = dueRig()
    wait(rig, 30)
    expect(rig.alarms).toEqual([41])
    if (fromAfar) rig.session.afar = 'hold'
    else hold(rig)
    wait(rig, 3)
    expect(rig.session.state).toBe('heldDue')
    hold(rig)
    wait(rig, 3)
    expect(rig.session.state).toBe('due')
    expect(rig.alarms).toEqual([41])
    expect(rig.session.alarms.level[POUR_OUT_OVERDUE]).toBeGreaterThanOrEqual(2)
    advance(rig)
    expect(rig.session.alarms.level[POUR_OUT_OVERDUE]).toBe(0)
  }
})
