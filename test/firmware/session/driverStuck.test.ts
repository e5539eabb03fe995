/** A driver that does not let go of the motor is called out, wherever there is a current sense to show it. */
import { expect, test } from 'vitest'
import { tick } from '../../../firmware/base.ts'
import { fire } from '../../../firmware/session/act.ts'
import { isCalling, standingAlarms } from '../../../firmware/session/alarms.ts'
import { DRIVER_STUCK } from '../../../firmware/session/alarmTable.ts'
import { runByPlan } from '../../../sim/bench/defaults.ts'
import { type Bench, openBench } from '../../../sim/bench/run.ts'
import { stepPlant } from '../../../sim/plant/plant.ts'
import { ASKED } from '../../../sim/rehearsal/asked.ts'

function step(bench: Bench, asked = ASKED[bench.base.session.state]): void {
  tick(bench.base)
  stepPlant(bench.plant, bench.plant.steps < 100 ? 'wait' : asked)
}

test('a motor that runs on between two baths raises the alarm within seconds', () => {
  const bench = openBench(runByPlan({ seed: 1 }))
  while (bench.base.session.state !== 'ready') step(bench)
  bench.plant.driverFault = () => 0.6
  for (let i = 0; i < 50; i++) step(bench, 'wait')
  expect(standingAlarms(bench.base.session.alarms)).toEqual([25])
})

test('the rests between legs, and those on hold, raise nothing', () => {
  const bench = openBench(runByPlan({ seed: 2 }))
  let raised = 0
  while (bench.base.session.state !== 'finished') {
    step(bench)
    raised += standingAlarms(bench.base.session.alarms).filter(number => number === 25).length
  }
  expect(raised).toBe(0)
})

for (const over of ['finished', 'abandoned', 'planned'] as const) {
  test(`a driver that sticks while the session is ${over} is called out too, though no session needs it`, () => {
    const bench = openBench(runByPlan({ seed: 3 }))
    const { session } = bench.base
    while (bench.plant.steps < 100 || (over === 'finished' && session.state !== over)) step(bench)
    if (over === 'abandoned') {
      fire(session, 'abandon', bench.base.estimates.nowSeconds)
      for (let i = 0; i < 200; i++) step(bench, 'wait')
    }
    expect(session.state).toBe(over)
    expect(standingAlarms(session.alarms)).toEqual([])
    bench.plant.driverFault = () => 0.8
    for (let i = 0; i < 60; i++) step(bench, 'wait')
    expect(standingAlarms(session.alarms)).toContain(25)
    expect(isCalling(session.alarms, DRIVER_STUCK)).toBe(true)
  })
}

test('for an hour after a session, with nothing amiss, nothing is raised', () => {
  const bench = openBench(runByPlan({ seed: 4 }))
  while (bench.base.session.state !== 'finished') step(bench)
  const { raisedEver } = bench.base.session.alarms
  for (let i = 0; i < 36_000; i++) step(bench, 'wait')
  expect(bench.base.session.alarms.raisedEver).toBe(raisedEver)
})
