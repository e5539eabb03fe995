/** What the motor gets, in both kinds of driver, and everything that stops it. */
import { expect, test } from 'vitest'
import { openMotor } from '../../../hal/espruino/motor.ts'
import { openWatchdog } from '../../../hal/espruino/watchdog.ts'
import { createFakeEngine } from './fakeEngine.ts'

function motorOn(driver: 'twoPins' | 'pinAndDirection', triggerPin?: string) {
  const fake = createFakeEngine()
  const { engine } = fake
  const watchdog = openWatchdog({ engine, limitSeconds: 1, restSeconds: 8 })
  const motor = openMotor({
    engine,
    watchdog,
    driver,
    pulsePin: 'D10',
    backPin: 'D11',
    triggerPin,
    hertz: 20_000,
    deadManSeconds: 0.5,
    deadManBy: 'test',
  })
  return { fake, motor, watchdog }
}

test('the driver has both inputs low before anything is asked of it', () => {
  const { fake } = motorOn('twoPins', 'D12')
  expect(fake.levels).toEqual({ D10: 0, D11: 0, D12: 0 })
})

test('two pins: pulses on one and the other low, in either direction, never on both', () => {
  const { fake, motor } = motorOn('twoPins')
  motor.write(0.4)
  expect(fake.levels).toEqual({ D10: 0.4, D11: 0 })
  expect(fake.hertz['D10']).toBe(20_000)
  motor.write(-0.7)
  expect(fake.levels).toEqual({ D10: 0, D11: 0.7 })
  motor.write(0)
  expect(fake.levels).toEqual({ D10: 0, D11: 0 })
})

test('pin and direction: the direction is changed only while there are no pulses', () => {
  const { fake, motor } = motorOn('pinAndDirection')
  const seen: string[] = []
  const write = fake.engine.digitalWrite
  fake.engine.digitalWrite = (pin, value) => {
    seen.push(`${pin}=${value}`)
    write(pin, value)
  }
  motor.write(0.4)
  motor.write(-0.7)
  expect(seen).toEqual(['D10=0', 'D11=0', 'D10=0', 'D11=1'])
  expect(fake.levels).toEqual({ D10: 0.7, D11: 1 })
})

test('the monostable is triggered with every duty, by pulses that end before the next one', () => {
  const { fake, motor } = motorOn('twoPins', 'D12')
  for (let i = 0; i < 10; i++) {
    motor.write(0.5)
    fake.pass(0.1)
  }
  expect(fake.pulses.length).toBe(10)
  for (const [pin, milliseconds] of fake.pulses) {
    expect(pin).toBe('D12')
    expect(milliseconds).toBeLessThan(100)
  }
})

test('when the interpreter hangs, the monostable stops the motor within its time', () => {
  const { fake, motor } = motorOn('twoPins', 'D12')
  fake.monostable = { pin: 'D12', holdSeconds: 0.3 }
  motor.write(0.5)
  fake.hung = true
  fake.pass(0.25)
  expect(fake.duty('D10', 'D11')).toBe(0.5)
  fake.pass(0.1)
  expect(fake.duty('D10', 'D11')).toBe(0)
})

test('when the interpreter hangs and there is no monostable, the watchdog stops the motor within a second', () => {
  const { fake, motor, watchdog } = motorOn('twoPins')
  watchdog.write(true)
  motor.write(0.5)
  watchdog.write(true)
  fake.hung = true
  fake.pass(0.9)
  expect(fake.duty('D10', 'D11')).toBe(0.5)
  fake.pass(0.2)
  expect(fake.restarts).toEqual(['watchdog'])
  expect(fake.duty('D10', 'D11')).toBe(0)
})

test('the watchdog is tight before the first pulse, also when nobody has fed it yet', () => {
  const { fake, motor } = motorOn('twoPins')
  expect(fake.watchdogSeconds).toBeUndefined()
  motor.write(0.1)
  expect(fake.watchdogSeconds).toBe(1)
  expect(fake.watchdogAuto).toBe(false)
})

test('at rest the watchdog leaves time for flash and for a person at the prompt, once the control loop lives', () => {
  const { fake, motor, watchdog } = motorOn('twoPins')
  motor.write(0.1)
  motor.write(0)
  expect(fake.watchdogSeconds).toBe(1)
  watchdog.write(true)
  expect(fake.watchdogSeconds).toBe(8)
})

test('a clock that somebody sets while the motor turns never keeps it turning, and the next duty drives it on', () => {
  for (const jump of [1e9, -50]) {
    const { fake, motor, watchdog } = motorOn('twoPins')
    motor.write(0.5)
    fake.jumpSeconds = jump
    fake.pass(0.51)
    expect(fake.duty('D10', 'D11')).toBe(0)
    motor.write(0.5)
    watchdog.write(true)
    fake.pass(0.4)
    expect(fake.duty('D10', 'D11')).toBe(0.5)
  }
})

test('reset() and load() stop the motor', () => {
  const { fake, motor } = motorOn('twoPins')
  motor.write(-1)
  fake.emit('E kill', undefined)
  expect(fake.levels).toEqual({ D10: 0, D11: 0 })
})

test('the interpreter sets one timer for many duties', () => {
  const { fake, motor, watchdog } = motorOn('twoPins')
  for (let i = 0; i < 100; i++) {
    motor.write(0.5)
    watchdog.write(true)
    expect(fake.timers.length).toBe(1)
    fake.pass(0.1)
  }
  expect(fake.duty('D10', 'D11')).toBe(0.5)
})
