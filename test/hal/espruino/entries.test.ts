/** The join of board, firmware and guard on the fake engine: a minute of good ticks, and what spoils it. */
import { expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { defaultTank } from '../../../firmware/tank/defaultTank.ts'
import { HEALTHY_TICKS, type Joined, joinFirmware } from '../../../hal/espruino/entries/start.ts'
import type { Guard } from '../../../hal/espruino/guard/guard.ts'
import { esp32 } from '../../../hal/espruino/wiring/esp32.ts'
import { pico } from '../../../hal/espruino/wiring/pico.ts'
import { stm32f4 } from '../../../hal/espruino/wiring/stm32f4.ts'
import type { Wiring } from '../../../hal/espruino/wiring/wiring.ts'
import { BARE_ADDRESS, createFakeEngine, type FakeEngine } from './fakeEngine.ts'

interface Stand {
  fake: FakeEngine
  joined: Joined
  guard: Guard & { told: number }
}

function stand(wiring: Wiring = pico, good = false): Stand {
  const { journal } = wiring
  const fake = createFakeEngine(journal.kind === 'pages' ? journal.address : BARE_ADDRESS, journal.blockBytes)
  const guard = {
    slot: 'eb.a',
    good,
    told: 0,
    healthy: () => {
      guard.told++
      guard.good = true
    },
  }
  const file = JSON.parse(JSON.stringify(defaultBase))
  return { fake, guard, joined: joinFirmware(fake.engine, guard, wiring, file, defaultTank) }
}

for (const wiring of [pico, stm32f4, esp32]) {
  test(`the firmware comes up on the wiring ${wiring.name}, ticks, and calls itself healthy after a minute`, () => {
    const { fake, joined, guard } = stand(wiring)
    fake.pass(59)
    expect([joined.base.mishaps, guard.told]).toEqual([0, 0])
    expect(joined.base.estimates.nowSeconds).toBeGreaterThan(50)
    fake.pass(2)
    expect([joined.base.mishaps, guard.told]).toEqual([0, 1])
    fake.pass(120)
    expect([joined.base.mishaps, guard.told, fake.restarts]).toEqual([0, 1, []])
  })
}

test('the base has no sensor that the wiring does not have', () => {
  const { joined } = stand({ ...pico, roomPin: undefined, shaft: undefined, tank: undefined } as unknown as Wiring)
  expect(joined.base.file.room).toBeUndefined()
  expect(joined.base.file.rotation).toMatchObject({ edgesPerShaftTurn: 0, magnetsOnTank: 0 })
})

test('a mishap in the first minute begins the minute again', () => {
  const { fake, joined, guard } = stand()
  fake.pass(50)
  joined.base.mishaps++
  fake.pass(50)
  expect(guard.told).toBe(0)
  fake.pass(12)
  expect(guard.told).toBe(1)
})

test('a firmware whose every tick goes wrong never calls itself healthy, and the motor is at rest', () => {
  const { fake, joined, guard } = stand()
  joined.base.session = undefined as never
  fake.pass(200)
  expect(guard.told).toBe(0)
  expect(joined.goodTicks).toBeLessThan(HEALTHY_TICKS)
  expect(joined.board.motor.driven).toBe(false)
})

test('without a guard the firmware runs all the same', () => {
  const fake = createFakeEngine()
  const file = JSON.parse(JSON.stringify(defaultBase))
  const joined = joinFirmware(fake.engine, undefined, pico, file, defaultTank)
  fake.pass(70)
  expect([joined.base.mishaps, joined.goodTicks]).toEqual([0, HEALTHY_TICKS])
  expect(joined.base.console.options.identity.good()).toBe(false)
})

test('the console says what was started, from where, and whether it is proved', () => {
  const { fake, joined, guard } = stand()
  const { identity } = joined.base.console.options
  expect(identity).toMatchObject({ wiring: 'pico', kind: 'firmware', slot: 'eb.a' })
  expect(identity.good()).toBe(false)
  fake.pass(61)
  expect(guard.told).toBe(1)
  expect(identity.good()).toBe(true)
})

const fill = (fake: FakeEngine): void => {
  fake.storage.write('filler', 'x'.repeat(fake.storage.getFree() - 9000))
  fake.storage.erase('filler')
}

test('a file store that is nearly full is put in order at rest, on external power, and the base starts again', () => {
  const { fake, joined } = stand()
  fake.levels[pico.externalPowerPin ?? ''] = 1
  fill(fake)
  fake.pass(3700)
  // Run from memory by the engine, because the code that runs may be moved.
  expect(fake.printed).toEqual(['run: require("Storage").compact();E.reboot()'])
  expect(joined.board.motor.driven).toBe(false)
  const { nowSeconds } = joined.base.estimates
  fake.pass(10)
  expect(joined.base.estimates.nowSeconds).toBe(nowSeconds)
})

test('on its pack, or in a session, the base leaves the file store as it is', () => {
  const onPack = stand()
  onPack.fake.levels[pico.externalPowerPin ?? ''] = 0
  fill(onPack.fake)
  onPack.fake.pass(200)
  expect(onPack.fake.restarts).toEqual([])
  const busy = stand()
  busy.fake.levels[pico.externalPowerPin ?? ''] = 1
  fill(busy.fake)
  busy.joined.base.session.state = 'ready'
  busy.fake.pass(200)
  expect(busy.fake.restarts).toEqual([])
})
