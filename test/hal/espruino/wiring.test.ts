/** The wiring files are right, and what is wrong in one is named. */
import { expect, test } from 'vitest'
import { checkWiring } from '../../../hal/espruino/wiring/checkWiring.ts'
import { esp32 } from '../../../hal/espruino/wiring/esp32.ts'
import { pico } from '../../../hal/espruino/wiring/pico.ts'
import { pinRows } from '../../../hal/espruino/wiring/pins.ts'
import { stm32f4 } from '../../../hal/espruino/wiring/stm32f4.ts'
import type { Wiring } from '../../../hal/espruino/wiring/wiring.ts'

test('the wirings that ship pass', () => {
  for (const wiring of [pico, stm32f4, esp32]) expect(checkWiring(wiring)).toEqual([])
})

test('every field of a wiring that names a pin is in its table of pins', () => {
  const named: string[] = []
  const walk = (value: object, path: string): void => {
    for (const [key, inner] of Object.entries(value)) {
      if (typeof inner === 'object') walk(inner, `${path}${key}.`)
      else if (/pin$/i.test(key)) named.push(`${path}${key}`)
    }
  }
  walk(pico, '')
  expect(
    pinRows(pico)
      .map(row => row.field)
      .sort(),
  ).toEqual(named.sort())
})

const wrong: [string, Wiring, string][] = [
  ['a pin used twice', { ...pico, sounderPin: 'D16' }, 'sounderPin'],
  ['no pin at all', { ...pico, probePin: '26' }, 'probePin'],
  ['a probe on a pin that cannot measure', { ...pico, probePin: 'D3' }, 'probePin'],
  ['an unknown driver', { ...pico, motor: { ...pico.motor, driver: 'steps' as never } }, 'motor.driver'],
  [
    'too many edges a second',
    { ...pico, shaft: { ...pico.shaft!, edgesPerSecondAtMost: 240 } },
    'shaft.edgesPerSecondAtMost',
  ],
  [
    'a sounder on the timer of the motor',
    { ...pico, sounderPin: 'D27', supply: { ...pico.supply, packPin: 'D29' } },
    'motor.pulsePin',
  ],
  ['two watches on one interrupt', { ...stm32f4, tank: { ...stm32f4.tank!, pin: 'A13' } }, 'tank.pin'],
  ['pulses on a pin that gives a voltage', { ...esp32, sounderPin: 'D25' }, 'sounderPin'],
  [
    'a button where there is no pull-up',
    { ...esp32, buttons: { ...esp32.buttons, holdPin: 'D39' } },
    'buttons.holdPin',
  ],
  ['a pin of the flash', { ...esp32, sounderPin: 'D6' }, 'sounderPin'],
  ['a watchdog that may sleep', { ...pico, watchdog: { limitSeconds: 2, restSeconds: 8 } }, 'watchdog.limitSeconds'],
  [
    'a rest longer than the chip can count',
    { ...pico, watchdog: { limitSeconds: 1, restSeconds: 20 } },
    'watchdog.restSeconds',
  ],
  [
    'a monostable without its time',
    { ...pico, motor: { ...pico.motor, holdSeconds: undefined as never } },
    'motor.holdSeconds',
  ],
  ['a journal of one block', { ...pico, journal: { kind: 'file', bytes: 4096, blockBytes: 4096 } }, 'journal.bytes'],
  [
    'bare pages that are the file store',
    { ...esp32, journal: { kind: 'pages', address: 0x360000, bytes: 32_768, blockBytes: 4096 } },
    'journal.address',
  ],
  [
    'bare pages on a chip that has none',
    { ...pico, journal: { kind: 'pages', address: 0x101c0000, bytes: 32_768, blockBytes: 4096 } },
    'journal.address',
  ],
  ['three slots', { ...pico, slots: 3 as never }, 'slots'],
]

for (const [what, wiring, field] of wrong) {
  test(`${what} is refused, and the field is named`, () => {
    const problems = checkWiring(wiring)
    expect(problems.map(problem => problem.field)).toContain(field)
    for (const problem of problems) expect(problem.allowed.length).toBeGreaterThan(0)
  })
}

test('all problems are listed at once', () => {
  expect(checkWiring({ ...pico, sounderPin: 'D16', probePin: 'D3', slots: 3 as never }).length).toBeGreaterThanOrEqual(
    3,
  )
})
