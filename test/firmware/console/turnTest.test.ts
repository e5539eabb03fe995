import { expect, test } from 'vitest'
import { call, createRig, press, type Rig, step, toTurning, wait } from './rig.ts'

const turn = { rpm: 30, seconds: 20 }

function turns(rig: Rig): boolean {
  let driven = false
  for (let i = 0; i < 20; i++) {
    step(rig)
    if (rig.pins.motorDuty !== 0) driven = true
  }
  return driven
}

test('a test turn waits for a press on the base, turns as long as asked, and no longer', () => {
  const rig = createRig()
  expect(call(rig, 'motor.turn', turn).result).toEqual({ waitsFor: 'advance', seconds: 30 })
  expect(turns(rig)).toBe(false)
  press(rig, 'advance')
  expect(rig.base.session.state).toBe('planned')
  expect(turns(rig)).toBe(true)
  expect(rig.pins.lineTaken).toBe(true)
  expect(call(rig, 'status').result?.['testTurn']).toBe('running')
  wait(rig, 20)
  expect(turns(rig)).toBe(false)
  expect(rig.pins.lineTaken).toBe(false)
  expect(rig.base.session.state).toBe('planned')
})

test('nobody who does not press within half a minute is surprised later', () => {
  const rig = createRig()
  call(rig, 'motor.turn', turn)
  wait(rig, 31)
  expect(rig.base.turnTest.stage).toBe('none')
  press(rig, 'hold')
  expect(turns(rig)).toBe(false)
})

test('hold calls it off, and any press stops it', () => {
  const rig = createRig()
  call(rig, 'motor.turn', turn)
  press(rig, 'hold')
  expect(rig.base.turnTest.stage).toBe('none')
  for (const which of ['advance', 'hold'] as const) {
    call(rig, 'motor.turn', turn)
    press(rig, 'advance')
    expect(turns(rig)).toBe(true)
    press(rig, which)
    expect(rig.pins.motorDuty).toBe(0)
    expect(turns(rig)).toBe(false)
    expect(rig.base.session.state).toBe('planned')
  }
})

test('a pack that cannot be read stops it, and so does an alarm', () => {
  const rig = createRig()
  call(rig, 'motor.turn', turn)
  press(rig, 'advance')
  expect(turns(rig)).toBe(true)
  rig.pins.packVolts = Number.NaN
  wait(rig, 2)
  expect(rig.pins.motorDuty).toBe(0)
  rig.pins.packVolts = 8.2
  wait(rig, 10)
  expect(rig.base.turnTest.stage).toBe('none')
  call(rig, 'motor.turn', turn)
  press(rig, 'advance')
  expect(turns(rig)).toBe(true)
  rig.pins.probeCounts = 0
  wait(rig, 12)
  expect(rig.base.turnTest.stage).toBe('none')
  expect(rig.pins.motorDuty).toBe(0)
})

test('while an alarm stands it is refused with the number of the alarm', () => {
  const rig = createRig()
  rig.pins.probeCounts = 0
  wait(rig, 12)
  expect(call(rig, 'motor.turn', turn).error?.code).toBe(-31010)
})

test('it is refused in a session, beyond the base, and beyond a minute', () => {
  const rig = createRig()
  expect(call(rig, 'motor.turn', { rpm: 100, seconds: 5 }).error?.code).toBe(-31000)
  expect(call(rig, 'motor.turn', { rpm: 30, seconds: 61 }).error?.code).toBe(-32602)
  toTurning(rig)
  expect(call(rig, 'motor.turn', turn).error?.code).toBe(-31000)
})

test('a session runs as ever after a test turn', () => {
  const rig = createRig()
  call(rig, 'motor.turn', { rpm: 30, seconds: 2 })
  press(rig, 'advance')
  wait(rig, 5)
  toTurning(rig)
  expect(rig.base.session.state).toBe('turning')
  expect(turns(rig)).toBe(true)
})
