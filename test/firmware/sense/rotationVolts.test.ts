/** Volts that no pack gives do not make a turning tank look as if it stood. */
import { expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { createReadings } from '../../../firmware/readings.ts'
import { createEstimates } from '../../../firmware/sense/estimates.ts'
import { createRotationSense, senseRotation } from '../../../firmware/sense/rotation.ts'
import { createUnderway } from '../../../firmware/sense/underway.ts'

/** A base that has no sensor of rotation, turning at a duty of 0.5 for two seconds, then read so. */
function believedRpm(packVolts: number): number {
  const file = { ...defaultBase, rotation: { edgesPerShaftTurn: 0, magnetsOnTank: 0 } }
  const sense = createRotationSense(file)
  const readings = createReadings()
  const estimates = createEstimates()
  const underway = createUnderway()
  underway.motorDuty = 0.5
  for (let i = 0; i < 40; i++) {
    readings.tickSeconds = 0.1
    readings.nowSeconds = i * 0.1
    readings.packVolts = i < 20 ? 7.4 : packVolts
    senseRotation(sense, readings, underway, estimates)
  }
  return estimates.tankRpm
}

test('a divider that has come loose and reads rubbish leaves the believed speed where it was', () => {
  const sound = believedRpm(7.4)
  expect(sound).toBeGreaterThan(30)
  for (const rubbish of [NaN, 0, 0.4, 1.4, 2.9, 30]) {
    expect(Math.abs(believedRpm(rubbish) / sound - 1), `${rubbish} V`).toBeLessThan(0.02)
  }
})
