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

const plan = { recipe: 'bw-negative', millilitres: 350, films: 2 }

function screenOf(rig: Rig): string[] {
  wait(rig, 1)
  return rig.pins.screen.lines.map(line => line.text.trim())
}

test('the screen says that the press is for a test turn, in two whole lines', () => {
  const rig = createRig()
  call(rig, 'motor.turn', turn)
  const lines = screenOf(rig)
  expect(lines).toContain('Test turn, from afar:')
  expect(lines).toContain('press advance')
  expect(lines.join()).not.toContain('Asked from afar')
})

test('while a start is asked for no test turn is: the press meant for pouring begins the session', () => {
  const rig = createRig()
  call(rig, 'session.start', plan)
  expect(call(rig, 'motor.turn', turn).error).toMatchObject({ code: -31000, message: 'A start waits for that press' })
  expect(screenOf(rig)).toContain('Asked from afar:')
  press(rig, 'advance')
  expect(rig.base.session.state).toBe('filling')
  expect(turns(rig)).toBe(false)
})

test('hands that press hold meanwhile change nothing of that; when its half minute is over a test turn may be asked for', () => {
  const rig = createRig()
  call(rig, 'session.start', plan)
  press(rig, 'hold')
  wait(rig, 10)
  expect(call(rig, 'motor.turn', turn).error?.code).toBe(-31000)
  wait(rig, 21)
  expect(call(rig, 'motor.turn', turn).result).toBeDefined()
  expect(screenOf(rig)).toContain('Test turn, from afar:')
})

test('while a test turn is asked for or running no start is, and the plan stays as it was', () => {
  const rig = createRig()
  const { session } = rig.base
  call(rig, 'motor.turn', turn)
  expect(call(rig, 'session.start', plan).error).toMatchObject({
    code: -31000,
    message: 'A test turn waits for that press',
  })
  expect(rig.base.session).toBe(session)
  press(rig, 'advance')
  expect(rig.base.session.state).toBe('planned')
  expect(call(rig, 'session.start', plan).error?.code).toBe(-31000)
  press(rig, 'hold')
  expect(call(rig, 'session.start', plan).result).toEqual({ waitsFor: 'advance', seconds: 30 })
})
