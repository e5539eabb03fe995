/** What is concluded of motor, tank and sensors when the drive cannot be known for a while. */
import { expect, test } from 'vitest'
import { tick } from '../../../firmware/base.ts'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { createReadings } from '../../../firmware/readings.ts'
import { createEstimates } from '../../../firmware/sense/estimates.ts'
import { createRotationSense, senseRotation } from '../../../firmware/sense/rotation.ts'
import { createUnderway } from '../../../firmware/sense/underway.ts'
import { alarmHistory } from '../../../firmware/session/alarms.ts'
import { runByPlan } from '../../../sim/bench/defaults.ts'
import { type Bench, openBench } from '../../../sim/bench/run.ts'
import { cutOffPack, resetPack } from '../../../sim/plant/pack.ts'
import { pressButton, releaseButton } from '../../../sim/plant/pins.ts'
import { stepPlant } from '../../../sim/plant/plant.ts'
import { ASKED } from '../../../sim/rehearsal/asked.ts'

function step(bench: Bench): void {
  tick(bench.base)
  stepPlant(bench.plant, bench.plant.steps < 100 ? 'wait' : ASKED[bench.base.session.state])
}

test('a pack that cuts off while the tank turns is no slipping tank and no broken sensor when it is back', () => {
  for (let seed = 1; seed <= 6; seed++) {
    const bench = openBench(runByPlan({ seed }))
    const { session } = bench.base
    while (session.state !== 'turning') step(bench)
    for (let i = 0; i < 150 + 3 * seed; i++) step(bench)
    cutOffPack(bench.plant.pack)
    for (let i = 0; i < 40; i++) step(bench)
    expect(session.state).toBe('stopped')
    resetPack(bench.plant.pack, 0.9)
    for (let i = 0; i < 40; i++) step(bench)
    pressButton(bench.plant.pins, 'advance')
    for (let i = 0; i < 3; i++) step(bench)
    releaseButton(bench.plant.pins, 'advance')
    for (let i = 0; i < 250; i++) step(bench)
    const raised = alarmHistory(session.alarms).map(record => record.number)
    expect(raised, `seed ${seed}`).toEqual([30])
  }
})

test('a tank that something else turns does not teach the drive for ever', () => {
  const file = { ...defaultBase, rotation: { edgesPerShaftTurn: 0, magnetsOnTank: 2 } }
  const sense = createRotationSense(file)
  const readings = createReadings()
  const estimates = createEstimates()
  const underway = createUnderway()
  readings.packVolts = 8
  readings.motorAmps = NaN
  underway.motorDuty = 0.2
  for (let i = 0; i < 3000; i++) {
    readings.tickSeconds = 0.1
    readings.nowSeconds = i * 0.1
    // Twice as fast as the drive believes, whatever it has come to believe.
    if (i % Math.max(1, Math.round(100 / Math.max(10, Math.abs(estimates.tankRpm)))) === 0) {
      readings.tankEdges++
      readings.tankEdgeSeconds = readings.nowSeconds
    }
    senseRotation(sense, readings, underway, estimates)
  }
  expect(Math.abs(estimates.tankRpm)).toBeLessThan(40)
})

test('a tank that has left its rollers on short legs without an even stretch is still told', () => {
  const recipe = runByPlan({ seed: 1 }).recipe
  const even = { ...recipe.agitations['even']!, rpm: 49, legTurns: 1.3, restSeconds: 0.4, rampSeconds: 1 }
  const base = { ...defaultBase, rotation: { edgesPerShaftTurn: 8, magnetsOnTank: 2 } }
  const bench = openBench(
    runByPlan({ seed: 3, base, recipe: { ...recipe, agitations: { ...recipe.agitations, even } } }),
  )
  const { session } = bench.base
  while (session.bathIndex < 1 || session.state !== 'turning') step(bench)
  for (let i = 0; i < 300; i++) step(bench)
  bench.plant.rollers.fault = 'walkedOff'
  let seconds = 0
  const isTold = (): boolean => alarmHistory(session.alarms).some(({ number }) => number >= 20 && number <= 23)
  while (!isTold() && seconds < 60) {
    step(bench)
    seconds += 0.1
  }
  expect(seconds).toBeLessThan(40)
})
