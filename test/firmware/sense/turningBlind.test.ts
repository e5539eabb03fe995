/** What is concluded of motor, tank and sensors when the drive cannot be known for a while. */
import { expect, test } from 'vitest'
import { tick } from '../../../firmware/base.ts'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { alarmHistory } from '../../../firmware/session/alarms.ts'
import { runByPlan } from '../../../sim/bench/defaults.ts'
import { type Bench, openBench } from '../../../sim/bench/run.ts'
import { cutOffPack, resetPack } from '../../../sim/plant/pack.ts'
import { pressButton, releaseButton } from '../../../sim/plant/pins.ts'
import { stepPlant } from '../../../sim/plant/plant.ts'
import { setTankFault } from '../../../sim/plant/rollers.ts'
import { ASKED } from '../../../sim/rehearsal/asked.ts'

function step(bench: Bench): void {
  tick(bench.base)
  stepPlant(bench.plant, bench.plant.steps < 100 ? 'wait' : ASKED[bench.base.session.state])
}

test('a pack that cuts off while the tank turns is no slipping tank and no broken sensor when it is back', () => {
  const file = { ...defaultBase, rotation: { edgesPerShaftTurn: 8, magnetsOnTank: 1 } }
  for (let phase = 0; phase < 40; phase++) {
    const bench = openBench(runByPlan({ seed: 1 + (phase % 3), base: file }))
    const { session } = bench.base
    while (session.state !== 'turning') step(bench)
    for (let i = 0; i < 50 + 3 * phase; i++) step(bench)
    cutOffPack(bench.plant.pack)
    for (let i = 0; i < 25; i++) step(bench)
    resetPack(bench.plant.pack, 0.9)
    for (let i = 0; i < 30; i++) step(bench)
    expect(session.state).toBe('stopped')
    pressButton(bench.plant.pins, 'advance')
    for (let i = 0; i < 3; i++) step(bench)
    releaseButton(bench.plant.pins, 'advance')
    for (let i = 0; i < 250; i++) step(bench)
    const raised = alarmHistory(session.alarms).map(record => record.number)
    expect(raised, `cut after ${50 + 3 * phase} ticks`).toEqual([30])
  }
})

test('a tank that something else turns does not teach the drive for ever', () => {
  const file = {
    ...defaultBase,
    rotation: { edgesPerShaftTurn: 0, magnetsOnTank: 2 },
    pack: { ...defaultBase.pack, currentSense: false },
  }
  const bench = openBench(runByPlan({ seed: 1, base: file }))
  const { session } = bench.base
  while (session.bathIndex < 1 || session.state !== 'turning') step(bench)
  for (let i = 0; i < 300; i++) step(bench)
  // The driver is stuck for a while: the tank turns through every rest, and faster than it is told.
  bench.plant.driverFault = () => 0.7
  for (let i = 0; i < 300; i++) step(bench)
  bench.plant.driverFault = undefined
  for (let i = 0; i < 300; i++) step(bench)
  expect(bench.base.estimates.rotationSource).toBe('tank')
  const before = { believed: bench.base.estimates.tankTravelTurns, true: bench.plant.rollers.tankTravelTurns }
  for (let i = 0; i < 300; i++) step(bench)
  const believed = bench.base.estimates.tankTravelTurns - before.believed
  const really = bench.plant.rollers.tankTravelTurns - before.true
  expect(really).toBeGreaterThan(10)
  expect(Math.abs(believed / really - 1)).toBeLessThan(0.15)
})

test('a tank that has left its rollers on short legs without an even stretch is still told', () => {
  const { recipe } = runByPlan({ seed: 1 })
  const even = { ...recipe.agitations['even']!, rpm: 49, legTurns: 1.3, restSeconds: 0.4, rampSeconds: 1 }
  const base = { ...defaultBase, rotation: { edgesPerShaftTurn: 8, magnetsOnTank: 2 } }
  for (let seed = 1; seed <= 8; seed++) {
    const agitations = { ...recipe.agitations, even }
    const bench = openBench(runByPlan({ seed, base, recipe: { ...recipe, agitations } }))
    const { session, plant } = { session: bench.base.session, plant: bench.plant }
    while (session.bathIndex < 1 || session.state !== 'turning') step(bench)
    for (let i = 0; i < 300; i++) step(bench)
    setTankFault(plant.rollers, plant.motor, 'walkedOff')
    let ticks = 0
    const isTold = (): boolean => alarmHistory(session.alarms).some(({ number }) => number >= 20 && number <= 23)
    while (!isTold() && ticks < 600) {
      step(bench)
      ticks++
    }
    expect(ticks, `seed ${seed}`).toBeLessThan(400)
  }
})
