import { expect, test } from 'vitest'
import { PROMPT_SECONDS } from '../../../firmware/console/prompt.ts'
import { sendToLine } from '../../../sim/plant/pins.ts'
import { call, createRig, press, received, step, toTurning, wait } from './rig.ts'

const ESCAPE = '\x03\x03\x03\x03\x03'

test('the firmware takes the port with the first press of a session and gives it back when that is abandoned', () => {
  const rig = createRig()
  expect(rig.pins.lineTaken).toBe(false)
  press(rig, 'advance')
  expect(rig.pins.lineTaken).toBe(true)
  expect(call(rig, 'session.abandon', { confirm: true }).result).toEqual({ taken: true })
  step(rig)
  expect(rig.base.session.state).toBe('abandoned')
  expect(rig.pins.lineTaken).toBe(false)
})

test('the escape gives the prompt only when the motor is off, and takes the port back before it turns', () => {
  const rig = createRig()
  toTurning(rig)
  sendToLine(rig.pins, ESCAPE)
  for (let i = 0; i < 100; i++) {
    step(rig)
    expect(rig.pins.lineTaken).toBe(true)
  }
  expect(rig.base.session.state).toBe('turning')
  press(rig, 'hold')
  wait(rig, 2)
  expect(rig.pins.motorDuty).toBe(0)
  expect(rig.pins.lineTaken).toBe(false)
  expect(received(rig)).toContainEqual({ jsonrpc: '2.0', method: 'prompt', params: { granted: true } })
  press(rig, 'hold')
  expect(rig.base.session.want).toBe('turn')
  expect(rig.pins.lineTaken).toBe(true)
})

test('the prompt is never given while the motor is driven', () => {
  const rig = createRig()
  toTurning(rig)
  sendToLine(rig.pins, ESCAPE)
  for (let i = 0; i < 300; i++) {
    if (i === 150) press(rig, 'hold')
    step(rig)
    if (!rig.pins.lineTaken) expect(rig.pins.motorDuty).toBe(0)
  }
  expect(rig.pins.lineTaken).toBe(false)
})

test('a wish for the prompt that was not granted in a minute is forgotten', () => {
  const rig = createRig()
  toTurning(rig)
  expect(call(rig, 'prompt').result).toEqual({ seconds: PROMPT_SECONDS })
  rig.base.console.promptUntilSeconds = rig.base.estimates.nowSeconds + 1
  wait(rig, 2)
  press(rig, 'hold')
  wait(rig, 2)
  expect(rig.pins.motorDuty).toBe(0)
  expect(rig.pins.lineTaken).toBe(true)
})

test('at rest the prompt has the port, and there is nothing to ask for', () => {
  const rig = createRig()
  expect(call(rig, 'prompt').result).toEqual({ seconds: 0 })
  sendToLine(rig.pins, ESCAPE)
  wait(rig, 1)
  expect(rig.pins.lineTaken).toBe(false)
})

test('a line that fails does not stop the base', () => {
  const rig = createRig()
  toTurning(rig)
  rig.board.line.close()
  wait(rig, 5)
  expect(rig.base.mishaps).toBe(0)
  expect(rig.base.session.state).toBe('turning')
})
