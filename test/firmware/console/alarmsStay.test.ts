/** What a laptop asks for takes no alarm away, and what is not known of the pack is not given as a figure. */
import { expect, test } from 'vitest'
import { raiseAlarm } from '../../../firmware/session/alarms.ts'
import { PROBE_FAILED } from '../../../firmware/session/alarmTable.ts'
import { call, createRig, wait } from './rig.ts'

test('a session planned from the laptop leaves the alarms that stand', () => {
  const rig = createRig()
  wait(rig, 1)
  raiseAlarm(rig.base.session.alarms, PROBE_FAILED, 0, rig.base.estimates.nowSeconds)
  const before = rig.base.session
  call(rig, 'session.start', { recipe: 'bw-negative', millilitres: 300, films: 1 })
  expect(rig.base.session).not.toBe(before)
  expect(call(rig, 'status').result?.['alarms']).toContain(10)
})

test('a pack that cannot be read has no charge in the status', () => {
  const rig = createRig()
  rig.pins.packVolts = NaN
  wait(rig, 5)
  expect(call(rig, 'status').result).toMatchObject({ charge: null, enough: null })
})
