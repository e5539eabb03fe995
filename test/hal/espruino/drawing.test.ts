/** The guide's tables and drawings are those of the wiring files. */
import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { wiringFiles } from '../../../hal/espruino/build/drawWirings.ts'
import { drawWiring } from '../../../hal/espruino/wiring/drawing/draw.ts'
import { esp32 } from '../../../hal/espruino/wiring/esp32.ts'
import { pico } from '../../../hal/espruino/wiring/pico.ts'
import { pinRows } from '../../../hal/espruino/wiring/pins.ts'
import { stm32f4 } from '../../../hal/espruino/wiring/stm32f4.ts'
import type { Wiring } from '../../../hal/espruino/wiring/wiring.ts'

const GUIDE = new URL('../../../hal/espruino/wiring/GUIDE.md', import.meta.url)

test('what is committed is what `npm run wiring` makes', () => {
  for (const { path, text } of wiringFiles()) expect(readFileSync(path, 'utf8')).toBe(text)
})

test('every wired pin is in its drawing, whatever the wiring has or lacks', () => {
  const { triggerPin: _, ...motor } = pico.motor
  const { shaft: _shaft, ...noDisc } = pico
  const others: Wiring[] = [
    { ...pico, roomPin: 'D29' },
    { ...pico, motor: { ...motor, driver: 'pinAndDirection' } },
    noDisc,
  ]
  for (const wiring of [pico, stm32f4, esp32, ...others]) {
    const svg = drawWiring(wiring)
    for (const row of pinRows(wiring)) {
      // The one that is on the board itself has no wire.
      if (row.field !== 'externalPowerPin') expect(svg).toContain(`font-weight="bold">${row.pin}<`)
    }
    expect(svg).not.toMatch(/undefined|NaN/)
  }
})

test('a drawing is well formed: every element that is opened is closed', () => {
  for (const wiring of [pico, stm32f4, esp32]) {
    const open: string[] = []
    for (const [whole, closing, name] of drawWiring(wiring).matchAll(/<(\/?)([a-z]+)[^>]*>/g)) {
      if (closing === '/') expect(open.pop()).toBe(name)
      else if (!whole.endsWith('/>')) open.push(name)
    }
    expect(open).toEqual([])
  }
})

test('the guide gives the figures of the base that ships', () => {
  const guide = readFileSync(GUIDE, 'utf8').replace(/\s+/g, ' ')
  const { drive, pack, probe, rotation, limits } = defaultBase
  expect(guide).toContain(`${drive.shaftTurnsPerTankTurn} turns of the shaft`)
  expect(guide).toContain(`${drive.mostRpm} rpm of the tank at most`)
  expect(guide).toContain(`**${rotation.edgesPerShaftTurn} edges for one turn`)
  expect(guide).toContain(`${probe.dividerOhms / 1000} kOhm, 0.1 %`)
  expect(guide).toContain(`${pack.capacityMilliampHours} mAh or more`)
  expect(guide).toContain(`stall current below ${limits.motorAmps} A`)
  expect(guide).toContain(`${pack.emptyCellVolts.toFixed(1)} V for each cell`)
})
