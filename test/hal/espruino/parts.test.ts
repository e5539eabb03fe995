/** What the other parts do with the engine beyond the contract. */
import { expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { openEspruinoBoard } from '../../../hal/espruino/board.ts'
import { openClock, openWallClock } from '../../../hal/espruino/clocks.ts'
import { openAnalogInput, openSupply } from '../../../hal/espruino/inputs.ts'
import { tidy } from '../../../hal/espruino/tidy.ts'
import { openButton, openRotationCounter } from '../../../hal/espruino/watches.ts'
import { esp32 } from '../../../hal/espruino/wiring/esp32.ts'
import { pico } from '../../../hal/espruino/wiring/pico.ts'
import { stm32f4 } from '../../../hal/espruino/wiring/stm32f4.ts'
import { createFakeEngine } from './fakeEngine.ts'

test('the clock swallows every jump of the engine clock, and no second of real time', () => {
  const fake = createFakeEngine()
  const clock = openClock({ engine: fake.engine })
  let last = clock.read() as number
  for (const jump of [1.7e9, -4, 0, 1e6]) {
    fake.jumpSeconds = jump
    expect(clock.read()).toBeGreaterThanOrEqual(last)
    last = clock.read() as number
    fake.pass(2)
    expect((clock.read() as number) - last).toBeCloseTo(2, 6)
    last = clock.read() as number
  }
})

test('a wall clock that the chip keeps is still right after a restart, one kept in memory is gone', () => {
  for (const keptBy of ['chip', 'memory'] as const) {
    const fake = createFakeEngine()
    const open = () => openWallClock({ engine: fake.engine, clock: openClock({ engine: fake.engine }), keptBy })
    open().write(1_800_000_000)
    fake.pass(60)
    if (keptBy === 'chip') expect(open().read()).toBeCloseTo(1_800_000_060, 3)
    else expect(open().read()).toBeUndefined()
  }
})

test('the probe is the mean of its conversions, in counts with a fraction, and never beyond the scale', () => {
  const fake = createFakeEngine()
  const probe = openAnalogInput({ engine: fake.engine, pin: 'D26', bits: 12, samples: 8 })
  let call = 0
  fake.engine.analogRead = () => (call++ % 2 === 0 ? 2000 : 2001) / 4096
  expect(probe.read()).toBeCloseTo(2000.5, 9)
  expect(call).toBe(8)
  fake.engine.analogRead = () => 1
  expect(probe.read()).toBe(4095)
  fake.engine.analogRead = () => -0.01
  expect(probe.read()).toBe(0)
})

test('pack volts come through the divider and the reference, measured where the engine can; amps are NaN without a sense', () => {
  const fake = createFakeEngine()
  fake.analog['D27'] = 0.75
  fake.analog['D28'] = 0.1
  const { engine } = fake
  const fixed = openSupply({ engine, packPin: 'D27', packRatio: 3, referenceVolts: 3.3, voltsPerAmp: 1 })
  expect(fixed.read()?.packVolts).toBeCloseTo(7.425, 9)
  expect(fixed.read()?.motorAmps).toBeNaN()
  const options = { engine, packPin: 'D27', packRatio: 3, referenceVolts: 0, ampsPin: 'D28', voltsPerAmp: 0.5 }
  const measured = openSupply(options)
  expect(measured.read()?.packVolts).toBeCloseTo(0.75 * 3.31 * 3, 9)
  expect(measured.read()?.motorAmps).toBeCloseTo((0.1 * 3.31) / 0.5, 9)
})

test('edges are counted with the time of the interrupt, also through a counter chip', () => {
  const fake = createFakeEngine()
  const { engine } = fake
  const clock = openClock({ engine })
  const counter = openRotationCounter({
    engine,
    clock,
    pin: 'D14',
    edge: 'rising',
    prescale: 16,
    edgesPerSecondAtMost: 40,
  })
  fake.setLevel('D14', 0)
  fake.pass(1)
  fake.setLevel('D14', 1)
  const edgeSeconds = clock.read()
  fake.pass(0.03)
  expect(counter.read()).toEqual({ edges: 16, edgeSeconds })
  expect(counter.read()).toBeUndefined()
})

test('a contact that bounces for some milliseconds is one press', () => {
  const fake = createFakeEngine()
  const { engine } = fake
  const button = openButton({ engine, clock: openClock({ engine }), pin: 'D16', debounceMilliseconds: 5 })
  for (const level of [0, 1, 0, 1, 0]) {
    fake.setLevel('D16', level)
    fake.pass(0.001)
  }
  fake.pass(0.01)
  expect(button.read()?.presses).toBe(1)
  expect(button.read()?.down).toBe(true)
})

test('why the chip started is read from its register, on each board in its own way', () => {
  const cause = (wiring: typeof pico, register: number) => {
    const journal = wiring.journal
    const fake = createFakeEngine(journal.kind === 'pages' ? journal.address : undefined, journal.blockBytes)
    fake.registers[wiring.restart?.address ?? 0] = register
    return openEspruinoBoard(fake.engine, wiring).resetCause
  }
  expect(cause(pico, 0)).toBe('power')
  expect(cause(pico, 1)).toBe('watchdog')
  expect(cause(pico, 2)).toBe('software')
  expect(cause(stm32f4, 0x0e000000)).toBe('power')
  expect(cause(stm32f4, 0x24000000)).toBe('watchdog')
  expect(cause(stm32f4, 0x14000000)).toBe('software')
  expect(cause(stm32f4, 0x04000000)).toBe('unknown')
  expect(cause(esp32, 1)).toBe('power')
  expect(cause(esp32, 8)).toBe('watchdog')
  expect(cause(esp32, 12)).toBe('unknown')
})

test('the store is compacted only at rest, on external power, with nothing unread; and ends in a restart', () => {
  const fake = createFakeEngine()
  const board = openEspruinoBoard(fake.engine, pico)
  expect(tidy(fake.engine, board, pico, false)).toMatch(/external power/)
  fake.levels['D24'] = 1
  expect(tidy(fake.engine, board, pico, true)).toMatch(/unread/)
  expect(tidy(fake.engine, board, pico, false)).toMatch(/nothing/)
  fake.storage.write('old', 'x')
  fake.storage.erase('old')
  board.motor.write(0.3)
  expect(tidy(fake.engine, board, pico, false)).toMatch(/motor/)
  board.motor.write(0)
  expect(tidy(fake.engine, board, stm32f4, false)).toMatch(/laptop/)
  expect(tidy(fake.engine, board, pico, false)).toBeUndefined()
  fake.pass(0.1)
  expect(fake.printed).toEqual(['run: require("Storage").compact();E.reboot()'])
  expect(fake.watchdogSeconds).toBe(8)
})

test('each board says of itself what stops its motor when the firmware hangs', () => {
  for (const wiring of [pico, stm32f4, esp32]) {
    const journal = wiring.journal
    const fake = createFakeEngine(journal.kind === 'pages' ? journal.address : undefined, journal.blockBytes)
    const { motor } = openEspruinoBoard(fake.engine, wiring)
    expect(motor.deadManBy).toMatch(wiring.motor.triggerPin === undefined ? /watchdog.*1 s/ : /monostable.*0.3 s/)
  }
})

test('the default base turns no faster than each wiring says, and its converter is the one of the wiring', () => {
  const { drive, rotation, adcBits } = defaultBase
  const turnsPerSecond = drive.mostRpm / 60
  for (const wiring of [pico, stm32f4, esp32]) {
    const shaft = turnsPerSecond * drive.shaftTurnsPerTankTurn * rotation.edgesPerShaftTurn
    expect(wiring.shaft?.edgesPerSecondAtMost).toBeGreaterThanOrEqual(shaft)
    expect(wiring.tank?.edgesPerSecondAtMost).toBeGreaterThanOrEqual(turnsPerSecond * rotation.magnetsOnTank)
    expect(wiring.analog.bits).toBe(adcBits)
  }
})
