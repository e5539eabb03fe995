/** What the other parts do with the engine beyond the contract. */
import { expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import type { ScreenFrame } from '../../../hal/board.ts'
import { openEspruinoBoard } from '../../../hal/espruino/board.ts'
import { openClock, openWallClock } from '../../../hal/espruino/clocks.ts'
import { openAnalogInput, openSupply } from '../../../hal/espruino/inputs.ts'
import { openLine } from '../../../hal/espruino/line.ts'
import { openScreen } from '../../../hal/espruino/screen.ts'
import { openSounder } from '../../../hal/espruino/sounder.ts'
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

test('tones sound one after the other without anybody waiting, pauses are silent, and a new list ends the old one', () => {
  const fake = createFakeEngine()
  const sounder = openSounder({ engine: fake.engine, pin: 'D18' })
  const heard: number[] = []
  const listen = (): void => void heard.push(fake.levels['D18'] === 0 ? 0 : fake.hertz['D18'])
  sounder.write([
    { hertz: 900, seconds: 0.1 },
    { hertz: 0, seconds: 0.1 },
    { hertz: 1200, seconds: 0.1 },
  ])
  for (let i = 0; i < 4; i++) {
    fake.pass(0.05)
    listen()
    fake.pass(0.05)
  }
  expect(heard).toEqual([900, 0, 1200, 0])
  sounder.write([{ hertz: 500, seconds: 60 }])
  sounder.write([])
  expect(fake.levels['D18']).toBe(0)
  expect(fake.timers).toEqual([])
})

const frame = (top: string): ScreenFrame => ({
  lines: [
    { text: top, x: 0, y: 0, size: 16, inverse: true },
    { text: 'bath 2 of 6', x: 0, y: 48, size: 8, inverse: false },
  ],
  bars: [{ x: 76, y: 34, width: 52, height: 12, filled: 0.5 }],
})

for (const controller of ['SSD1306', 'SH1106'] as const) {
  test(`a ${controller} shows what was drawn, pixel for pixel`, () => {
    const fake = createFakeEngine()
    const screen = openScreen({ engine: fake.engine, ...pico.screen, controller })
    screen.write(frame('POUR IN'))
    fake.pass(0.2)
    const left = controller === 'SH1106' ? 2 : 0
    let lit = 0
    for (let y = 0; y < 64; y++) {
      for (let x = 0; x < 128; x++) {
        const shown = (fake.panel.memory[(y >> 3) * 132 + x + left] & (1 << (y & 7))) !== 0
        expect(shown).toBe(fake.graphics?.lit(x, y))
        if (shown) lit++
      }
    }
    expect(fake.panel.on).toBe(true)
    expect(lit).toBeGreaterThan(500)
  })
}

test('only pages that changed are sent, and never two in one go', () => {
  const fake = createFakeEngine()
  const screen = openScreen({ engine: fake.engine, ...pico.screen })
  screen.write(frame('POUR IN'))
  expect(fake.panel.bytes).toBe(128)
  fake.pass(0.2)
  const before = fake.panel.bytes
  expect(before).toBe(1024)
  screen.write(frame('POUR IN'))
  fake.pass(0.2)
  expect(fake.panel.bytes).toBe(before)
  screen.write(frame('FILLING'))
  fake.pass(0.2)
  expect(fake.panel.bytes - before).toBe(256)
})

test('a screen that is unplugged is no error, and shows the newest frame when it is back', () => {
  const fake = createFakeEngine()
  const screen = openScreen({ engine: fake.engine, ...pico.screen })
  expect(screen.answers).toBeUndefined()
  fake.panel.gone = true
  screen.write(frame('POUR IN'))
  expect(screen.answers).toBe(false)
  for (let i = 0; i < 20; i++) {
    screen.write(frame(`at ${i}`))
    fake.pass(0.1)
  }
  fake.panel.gone = false
  fake.pass(6)
  expect(screen.answers).toBe(true)
  expect(fake.panel.memory.some(byte => byte !== 0)).toBe(true)
})

test('an engine without the 6 x 8 font still puts every letter into its cell', () => {
  const fake = createFakeEngine()
  fake.fonts = ['4x6', 'Vector']
  const screen = openScreen({ engine: fake.engine, ...pico.screen })
  const text = { text: '~~', x: 0, y: 0, size: 32, inverse: false }
  screen.write({ lines: [text], bars: [] })
  const columns = (from: number): boolean[] =>
    Array.from({ length: 4 }, (_, x) => fake.graphics?.lit(from + x, 8) ?? false)
  expect(columns(0)).toEqual(columns(24))
  expect(columns(0)).toContain(true)
})

test('at rest the prompt hands over what the laptop sends, and each piece is answered with its length', () => {
  const fake = createFakeEngine()
  const line = openLine({ engine: fake.engine, port: 'USB' })
  fake.engine.hear?.('\x1e{"method":')
  fake.engine.hear?.('"status"}\n')
  expect(line.read()).toBe('\x1e{"method":"status"}\n')
  fake.pass(0.2)
  const heard = (bytes: number): string => `\x1e{"jsonrpc":"2.0","method":"heard","params":{"bytes":${bytes}}}\n`
  expect(fake.sent).toBe(heard(11) + heard(10))
  expect(fake.console).toBe('USB')
})

test('the console is taken away from the prompt and comes back', () => {
  const fake = createFakeEngine()
  const line = openLine({ engine: fake.engine, port: 'USB' })
  line.take()
  expect(fake.console).toBeNull()
  line.giveBack()
  expect(fake.console).toBe('USB')
  fake.receive('typed at the prompt')
  expect(line.read()).toBeUndefined()
})

for (const [host, tellsSending, hostReads] of [
  ['a host that does not read', true, false],
  ['an engine that does not tell how full its buffer is, on a port of 115,200 baud,', false, true],
] as const) {
  test(`${host} never makes the engine wait`, () => {
    const fake = createFakeEngine()
    fake.tellsSending = tellsSending
    fake.hostReads = hostReads
    const line = openLine({ engine: fake.engine, port: 'USB' })
    for (let i = 0; i < 200; i++) {
      line.write(`${'z'.repeat(150)}\n`)
      fake.pass(0.1)
    }
    expect(fake.waited).toBe(false)
  })
}

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
