/** Whatever goes wrong around the tick ends with the motor's pins low and a restart. */
import { expect, test } from 'vitest'
import { openEspruinoBoard } from '../../../hal/espruino/board.ts'
import { LEAST_FREE_VARIABLES, startHeartbeat } from '../../../hal/espruino/heartbeat.ts'
import { pico } from '../../../hal/espruino/wiring/pico.ts'
import { createFakeEngine, type FakeEngine } from './fakeEngine.ts'

interface Beating {
  fake: FakeEngine
  reasons: string[]
  ticks: () => number
  duty: () => number
  line: { take(): void }
}

/** A base whose tick turns the motor and feeds the watchdog, as the firmware's does. */
function beating(duty = 0.5, during: (tick: number, fake: FakeEngine) => void = () => {}): Beating {
  const fake = createFakeEngine()
  const board = openEspruinoBoard(fake.engine, pico)
  const reasons: string[] = []
  let ticks = 0
  startHeartbeat(
    fake.engine,
    board,
    () => {
      during(++ticks, fake)
      board.motor.write(duty)
      board.watchdog.write(true)
    },
    reason => reasons.push(reason),
  )
  const { pulsePin, backPin } = pico.motor
  return { fake, reasons, ticks: () => ticks, duty: () => fake.duty(pulsePin, backPin), line: board.line }
}

test('ticks come ten times a second, and nothing restarts a base that is well', () => {
  const { fake, ticks, duty } = beating()
  fake.pass(60)
  expect(ticks()).toBe(600)
  expect(fake.restarts).toEqual([])
  expect(duty()).toBe(0.5)
})

for (const flag of ['FIFO_FULL', 'CALLBACK', 'LOW_MEMORY', 'MEMORY']) {
  test(`the engine's error ${flag} stops the motor and restarts`, () => {
    const { fake, reasons, duty } = beating()
    fake.pass(1)
    fake.emit('E errorFlag', [flag])
    expect(duty()).toBe(0)
    expect(fake.restarts).toEqual(['reboot'])
    expect(reasons).toEqual([flag])
  })
}

test('characters lost on the line are no reason to stop, and the next grave error is told of', () => {
  const { fake } = beating()
  fake.pass(1)
  fake.emit('E errorFlag', ['BUFFER_FULL', 'UART_OVERFLOW'])
  fake.pass(1)
  expect(fake.restarts).toEqual([])
  expect(fake.engine.E.getErrorFlags()).toEqual([])
  fake.emit('E errorFlag', ['MEMORY'])
  expect(fake.restarts).toEqual(['reboot'])
})

test('a tick that throws stops the motor and restarts', () => {
  const { fake, reasons, duty } = beating(0.5, tick => {
    if (tick === 20) throw new Error('broken')
  })
  fake.pass(2.05)
  expect(fake.restarts).toEqual(['reboot'])
  expect(reasons).toEqual(['exception'])
  expect(duty()).toBe(0)
})

test('a slip at the prompt while the base is at rest is printed, and nothing restarts', () => {
  const { fake } = beating(0)
  fake.pass(1)
  fake.emit('process uncaughtException', new Error('x is not defined'))
  expect(fake.printed.join()).toContain('x is not defined')
  expect(fake.restarts).toEqual([])
})

test('the same error while the firmware has the port restarts, though the motor rests', () => {
  const { fake, line } = beating(0)
  line.take()
  fake.emit('process uncaughtException', new Error('x is not defined'))
  expect(fake.restarts).toEqual(['reboot'])
})

test('ticks that the engine has removed are missed within two seconds, and the dead man has stopped the motor before', () => {
  const { fake, reasons, duty } = beating()
  fake.pass(1.05)
  fake.watchdogSeconds = undefined
  removeTicks(fake)
  fake.pass(0.6)
  expect(duty()).toBe(0)
  expect(fake.restarts).toEqual([])
  fake.pass(1.4)
  expect(fake.restarts).toEqual(['reboot'])
  expect(reasons).toEqual(['no ticks'])
})

test('with every timer removed the watchdog is left, and restarts within its second', () => {
  const { fake, duty } = beating()
  fake.pass(1.05)
  fake.timers.splice(0)
  fake.pass(1)
  expect(fake.restarts).toEqual(['watchdog'])
  expect(duty()).toBe(0)
})

test('memory that runs low stops the motor and restarts before it is out', () => {
  const { fake, reasons, duty } = beating()
  fake.pass(1.05)
  fake.freeVariables = LEAST_FREE_VARIABLES - 1
  fake.pass(1)
  expect(reasons).toEqual(['low memory'])
  expect(fake.restarts).toEqual(['reboot'])
  expect(duty()).toBe(0)
})

test('a note of the reason that itself fails does not keep the board from restarting', () => {
  const fake = createFakeEngine()
  const board = openEspruinoBoard(fake.engine, pico)
  startHeartbeat(
    fake.engine,
    board,
    () => board.motor.write(0.5),
    () => {
      throw new Error('no room')
    },
  )
  fake.pass(0.5)
  fake.emit('E errorFlag', ['MEMORY'])
  expect(fake.restarts).toEqual(['reboot'])
})

test('a heartbeat that is stopped lets the motor go and leaves no timer behind', () => {
  const fake = createFakeEngine()
  const board = openEspruinoBoard(fake.engine, pico)
  const heartbeat = startHeartbeat(
    fake.engine,
    board,
    () => board.motor.write(0.5),
    () => {},
  )
  fake.pass(1)
  heartbeat.stop()
  expect(fake.duty(pico.motor.pulsePin, pico.motor.backPin)).toBe(0)
  fake.pass(0.5)
  expect(fake.timers).toEqual([])
})

/** What the engine does to an interval whose callback ran out of memory. */
function removeTicks(fake: FakeEngine): void {
  const at = fake.timers.findIndex(one => one.everySeconds === 0.1)
  fake.timers.splice(at, 1)
}
