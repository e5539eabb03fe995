/** The sounder and the screen: nobody waits for them, and a screen that is gone is no error. */
import { expect, test } from 'vitest'
import type { ScreenFrame } from '../../../hal/board.ts'
import { openScreen } from '../../../hal/espruino/screen.ts'
import { openSounder } from '../../../hal/espruino/sounder.ts'
import { pico } from '../../../hal/espruino/wiring/pico.ts'
import { createFakeEngine } from './fakeEngine.ts'

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
