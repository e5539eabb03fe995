import { expect, test } from 'vitest'
import { SHED_REST_SECONDS } from '../../../firmware/agitation/agitation.ts'
import type { BaseFile } from '../../../firmware/baseFile.ts'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import type { Agitation } from '../../../firmware/recipe/recipe.ts'
import { baseWith, createRig, equalLegs, type Rig, run, staggered, startProgramme, TICK_SECONDS, tick } from './rig.ts'

const SENSORS: [string, BaseFile][] = [
  ['disc and magnet', baseWith(8, 1)],
  ['disc', baseWith(8, 0)],
  ['magnet', baseWith(0, 1)],
  ['time alone', baseWith(0, 0)],
]

function without(agitation: Agitation): Agitation {
  const copy = { ...agitation }
  delete copy.opening
  return copy
}

test('the motor is never driven across a reversal without a true rest of at least what recipe and base ask', () => {
  for (const [, base] of SENSORS) {
    for (const rpm of [10, 45, 75]) {
      for (let seed = 1; seed <= 6; seed++) {
        const rig = createRig(base, seed)
        const restSeconds = seed % 2 === 0 ? 0 : 0.6
        startProgramme(rig, { ...staggered, rpm, restSeconds })
        const asked = Math.max(restSeconds, base.drive.restSecondsAtLeast)
        let lastSign = 0
        let stood = 0
        run(rig, 60, r => {
          // The duty of the tick before acted in this one: how long had the tank stood by then?
          if (r.motor.radiansPerSecond === 0) stood += TICK_SECONDS
          const sign = Math.sign(r.duty)
          if (sign !== 0 && lastSign !== 0 && sign !== lastSign) expect(stood).toBeGreaterThan(asked - 0.05)
          if (r.motor.radiansPerSecond !== 0) stood = 0
          if (sign !== 0) lastSign = sign
        })
      }
    }
  }
})

test('the speed is held within 2 percent after the ramp, whatever the motor, and no leg overshoots by a tenth', () => {
  const errors: number[] = []
  let fastest = 0
  for (let seed = 1; seed <= 60; seed++) {
    const rig = createRig(defaultBase, seed)
    startProgramme(rig, without(staggered))
    run(rig, 30)
    let even = 0
    run(rig, 60, r => {
      even = Math.abs(r.agitation.view.targetRpm) === 45 ? even + 1 : 0
      if (even > 8) errors.push(Math.abs(Math.abs(r.rollers.tankRpm) / 45 - 1))
      fastest = Math.max(fastest, Math.abs(r.rollers.tankRpm))
    })
  }
  errors.sort((a, b) => a - b)
  const p95 = errors[Math.floor(errors.length * 0.95)]
  console.log(`speed error p95 ${(100 * p95).toFixed(2)} %, fastest ${fastest.toFixed(1)} rpm at 45`)
  expect(p95).toBeLessThan(0.02)
  expect(fastest).toBeLessThan(49.5)
})

test('legs end within a twelfth of a turn of where they should, with any sensor that sees the tank', () => {
  for (const base of [baseWith(8, 1), baseWith(0, 1), baseWith(8, 3)]) {
    for (let seed = 1; seed <= 10; seed++) {
      const rig = createRig(base, seed)
      startProgramme(rig, staggered)
      run(rig, 20)
      const off = rig.rollers.tankTurns - rig.estimates.tankTurns
      let end = Number.NaN
      let legs = rig.agitation.view.legs
      run(rig, 100, r => {
        if (r.agitation.view.legs !== legs) {
          legs = r.agitation.view.legs
          if (!Number.isNaN(end)) expect(Math.abs(r.rollers.tankTurns - off - end)).toBeLessThan(1 / 12)
        }
        end = r.agitation.endTurns
      })
      expect(legs).toBeGreaterThan(20)
    }
  }
})

test('the opening turns one way at its own speed for its time, then the legs begin with a reversal', () => {
  const rig = createRig(defaultBase, 3)
  startProgramme(rig, staggered)
  run(rig, 14, r => expect(r.duty).toBeGreaterThanOrEqual(0))
  expect(Math.abs(rig.rollers.tankRpm - 60)).toBeLessThan(2)
  expect(rig.agitation.view.reversals).toBe(0)
  run(rig, 3.5)
  expect(rig.duty).toBeLessThan(0)
  expect(rig.agitation.view).toMatchObject({ legs: 2, reversals: 1, direction: -1 })
})

test('the next bath opens the other way, back from where the first has left the tank', () => {
  const rig = createRig(defaultBase, 3)
  startProgramme(rig, staggered)
  run(rig, 30)
  run(rig, 20, undefined, 'off')
  startProgramme(rig, staggered)
  run(rig, 5)
  expect(rig.duty).toBeLessThan(0)
})

test('a bound on net turns is kept by opening and legs, over several baths', () => {
  for (const [, base] of SENSORS.slice(0, 2)) {
    for (const netTurnsAtMost of [0.6, 1.5, 4]) {
      const rig = createRig(base, 5)
      for (let bath = 0; bath < 3; bath++) {
        startProgramme(rig, { ...staggered, netTurnsAtMost })
        run(rig, 60, r => expect(Math.abs(r.estimates.tankTurns)).toBeLessThan(netTurnsAtMost + 0.1))
        run(rig, 5, undefined, 'off')
      }
      expect(rig.rollers.tankTravelTurns).toBeGreaterThan(40)
    }
  }
})

test('rest asked for stops gently, keeps the leg, and goes on with it', () => {
  const rig = createRig(defaultBase, 2)
  startProgramme(rig, without(equalLegs))
  run(rig, 1.5)
  const end = rig.agitation.endTurns
  let steepest = 0
  let before = Math.abs(rig.rollers.tankRpm)
  run(
    rig,
    3,
    r => {
      const rpm = Math.abs(r.rollers.tankRpm)
      steepest = Math.max(steepest, (before - rpm) / TICK_SECONDS)
      before = rpm
    },
    'rest',
  )
  expect(rig.agitation.view).toMatchObject({ atRest: true, duty: 0, direction: 0 })
  expect(rig.rollers.tankRpm).toBe(0)
  expect(steepest).toBeLessThan(160)
  const legs = rig.agitation.view.legs
  run(rig, 1)
  expect(rig.agitation.endTurns).toBe(end)
  expect(rig.agitation.view.legs).toBe(legs)
  run(rig, 4)
  expect(rig.agitation.view.legs).toBe(legs + 1)
})

test('off takes the duty away in the same tick', () => {
  const rig = createRig(defaultBase, 2)
  startProgramme(rig, staggered)
  run(rig, 5)
  expect(rig.duty).toBeGreaterThan(0)
  tick(rig, 'off')
  expect(rig.agitation.view).toMatchObject({ duty: 0, targetRpm: 0, direction: 0, atRest: false })
  run(rig, 2, r => expect(r.duty).toBe(0), 'off')
  expect(rig.agitation.view.atRest).toBe(true)
})

test('before the first programme nothing turns', () => {
  const rig = createRig(defaultBase, 1)
  run(rig, 5, r => expect(r.duty).toBe(0))
})

test('a speed above the base allows is cut to what it allows', () => {
  const rig = createRig(defaultBase, 4)
  startProgramme(rig, { ...staggered, opening: { rpm: 120, seconds: 10 } })
  run(rig, 9, r => expect(Math.abs(r.agitation.view.targetRpm)).toBeLessThanOrEqual(defaultBase.drive.mostRpm))
})

test('shedding lengthens the rests, then slows to the least speed of the recipe, and saves energy each time', () => {
  const joules: number[] = []
  for (const shedding of [1, 2, 3] as const) {
    const rig = createRig(defaultBase, 4)
    startProgramme(rig, { ...without(staggered), leastRpm: 30 })
    let sum = 0
    let standing = 0
    let longest = 0
    for (let i = 0; i < 1800; i++) {
      tick(rig, 'turn', shedding)
      sum += rig.motor.packAmps * rig.readings.packVolts * TICK_SECONDS
      standing = rig.motor.radiansPerSecond === 0 ? standing + TICK_SECONDS : 0
      if (i > 50) longest = Math.max(longest, standing)
      expect(Math.abs(rig.agitation.view.targetRpm)).toBeLessThanOrEqual(shedding === 3 ? 30 : 45)
    }
    joules.push(sum)
    if (shedding > 1) expect(longest).toBeGreaterThan(SHED_REST_SECONDS - 0.1)
    else expect(longest).toBeLessThan(1)
  }
  console.log(`motor joules in 180 s: ${joules.map(j => j.toFixed(0)).join(', ')} with shedding 1, 2, 3`)
  expect(joules[1]).toBeLessThan(0.75 * joules[0])
  expect(joules[2]).toBeLessThan(0.9 * joules[1])
})

test('readings that are no numbers leave a duty between -1 and 1', () => {
  const spoil: ((rig: Rig) => void)[] = [
    rig => {
      rig.estimates.packVolts = Number.NaN
    },
    rig => {
      rig.estimates.tankRpm = Number.NaN
    },
    rig => {
      rig.estimates.tankTurns = Number.NaN
    },
    rig => {
      rig.estimates.tickSeconds = Number.NaN
    },
  ]
  for (const spoilt of spoil) {
    const rig = createRig(defaultBase, 1)
    startProgramme(rig, staggered)
    run(rig, 20)
    run(rig, 3, r => {
      spoilt(r)
      expect(Math.abs(r.duty)).toBeLessThanOrEqual(1)
    })
  }
})
