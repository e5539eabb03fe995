import { expect, test } from 'vitest'
import type { BaseFile } from '../../../firmware/baseFile.ts'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { loadMotor } from '../../../sim/plant/motor.ts'
import { setTankFault } from '../../../sim/plant/rollers.ts'
import { baseWith, createRig, type Rig, run, sense, staggered, startProgramme, stepPlant } from '../agitation/rig.ts'

const legs = { ...staggered, opening: { rpm: 60, seconds: 5 } }

function noCurrent(base: BaseFile): BaseFile {
  return { ...base, pack: { ...base.pack, currentSense: false } }
}

function started(base: BaseFile, seed: number, seconds: number, rpm = 45): Rig {
  const rig = createRig(base, seed)
  startProgramme(rig, { ...legs, rpm })
  run(rig, seconds)
  return rig
}

function jam(rig: Rig, newtonMetres: number): void {
  rig.motor.jamNewtonMetres = newtonMetres
  loadMotor(rig.motor, rig.motor.load)
}

test('clean runs over reversals never name a trouble, from 10 to 75 rpm, with every set of sensors', () => {
  for (const [edges, magnets] of [
    [8, 1],
    [8, 0],
    [2, 1],
    [0, 1],
    [0, 3],
    [0, 0],
  ]) {
    for (const rpm of [10, 30, 45, 75]) {
      for (let seed = 1; seed <= 12; seed++) {
        const base = baseWith(edges, magnets)
        const rig = createRig(seed % 2 === 0 ? base : noCurrent(base), seed, seed * 50)
        startProgramme(rig, { ...legs, rpm })
        run(rig, 60, r => expect(r.estimates.turningTrouble).toBe('none'))
        const expected = magnets > 0 ? 'tank' : edges > 0 ? 'shaft' : 'time'
        expect(rig.estimates.rotationSource).toBe(expected)
      }
    }
  }
})

test('with a magnet the angle does not drift: half an hour of legs ends within a tenth of a turn', () => {
  for (const base of [baseWith(8, 1), baseWith(0, 1), baseWith(8, 3)]) {
    for (let seed = 1; seed <= 5; seed++) {
      const rig = started(base, seed, 20)
      const off = rig.rollers.tankTurns - rig.estimates.tankTurns
      run(rig, 1800)
      expect(Math.abs(rig.rollers.tankTurns - rig.estimates.tankTurns - off)).toBeLessThan(0.1)
    }
  }
})

test('by the shaft the way is short by the creep of the rollers, by time alone within a fifth', () => {
  for (let seed = 1; seed <= 20; seed++) {
    const byShaft = started(baseWith(8, 0), seed, 120)
    const creep = 1 - byShaft.rollers.tankTravelTurns / byShaft.estimates.tankTravelTurns
    expect(creep).toBeGreaterThan(0)
    expect(creep).toBeLessThan(0.04)
    const byTime = started(baseWith(0, 0), seed, 120)
    expect(Math.abs(byTime.rollers.tankTravelTurns / byTime.estimates.tankTravelTurns - 1)).toBeLessThan(0.2)
  }
})

test('speed and sign are right while turning, and rest is known within a second of coasting', () => {
  for (let seed = 1; seed <= 10; seed++) {
    const rig = started(defaultBase, seed, 4)
    expect(Math.abs(rig.estimates.tankRpm - rig.rollers.tankRpm)).toBeLessThan(1.5)
    run(rig, 6)
    run(rig, 60, r => {
      if (Math.abs(r.rollers.tankRpm) > 20) expect(Math.sign(r.estimates.tankRpm)).toBe(Math.sign(r.rollers.tankRpm))
    })
    run(rig, 1.5, undefined, 'off')
    expect(rig.estimates.tankRpm).toBe(0)
    expect(rig.rollers.tankRpm).toBe(0)
  }
})

test('the tank is never called at rest while it turns', () => {
  for (const base of [baseWith(8, 1), baseWith(8, 0), baseWith(0, 1), baseWith(0, 0)]) {
    for (let seed = 1; seed <= 10; seed++) {
      const rig = createRig(base, seed)
      startProgramme(rig, legs)
      run(rig, 60, r => {
        if (r.duty === 0 && Math.abs(r.rollers.tankRpm) > 4) expect(r.agitation.view.atRest).toBe(false)
      })
    }
  }
})

test('the creep of the rollers is measured from disc and magnet', () => {
  for (let seed = 1; seed <= 20; seed++) {
    const rig = started(defaultBase, seed, 90)
    const truth = (rig.rollers.slipForth + rig.rollers.slipBack) / 2
    expect(Math.abs(rig.estimates.slipFraction - truth)).toBeLessThan(0.01)
  }
})

test('slip beyond creep is called slipping and measured, and the legs grow so that the tank turns as it should', () => {
  const rig = started(defaultBase, 2, 40)
  rig.rollers.extraSlip = 0.4
  run(rig, 40)
  expect(rig.estimates.turningTrouble).toBe('slipping')
  expect(rig.estimates.slipFraction).toBeGreaterThan(0.35)
  expect(rig.estimates.slipFraction).toBeLessThan(0.5)
  const travel = rig.rollers.tankTravelTurns
  const count = rig.agitation.view.legs
  run(rig, 60)
  expect((rig.rollers.tankTravelTurns - travel) / (rig.agitation.view.legs - count)).toBeGreaterThan(1.7)
  rig.rollers.extraSlip = 0
  run(rig, 60)
  expect(rig.estimates.turningTrouble).toBe('none')
})

test('a tank that walked off and one that jams are told apart by the current; without it the slip is not known', () => {
  for (let seed = 1; seed <= 20; seed++) {
    for (const fault of ['walkedOff', 'jammed'] as const) {
      const rig = started(defaultBase, seed, 60)
      setTankFault(rig.rollers, rig.motor, fault)
      const seen: string[] = []
      run(rig, 25, r => {
        const trouble = r.estimates.turningTrouble
        if (trouble !== 'none' && seen[seen.length - 1] !== trouble) seen.push(trouble)
      })
      // A motor too weak to skid its rollers under a jammed tank stalls first: that is true as well.
      for (const trouble of seen) expect([fault, 'stalled']).toContain(trouble)
      expect(seen.length).toBeGreaterThan(0)
      if (rig.estimates.turningTrouble === fault) {
        expect(rig.estimates).toMatchObject({ slipFraction: 1, rotationSource: 'shaft' })
      } else expect(seen).toContain('stalled')
    }
    const blind = started(noCurrent(defaultBase), seed, 60)
    setTankFault(blind.rollers, blind.motor, 'walkedOff')
    run(blind, 25)
    expect(blind.estimates).toMatchObject({ turningTrouble: 'walkedOff', slipFraction: Number.NaN })
  }
})

test('a tank put back on its rollers ends the trouble', () => {
  const rig = started(defaultBase, 3, 60)
  setTankFault(rig.rollers, rig.motor, 'walkedOff')
  run(rig, 20)
  expect(rig.estimates.turningTrouble).toBe('walkedOff')
  setTankFault(rig.rollers, rig.motor, 'none')
  run(rig, 15)
  expect(rig.estimates).toMatchObject({ turningTrouble: 'none', rotationSource: 'tank' })
})

test('a magnet sensor that dies is no trouble of the tank when the current stays as it was: the shaft takes over', () => {
  for (let seed = 1; seed <= 20; seed++) {
    const rig = started(defaultBase, seed, 60)
    rig.tank.dead = true
    run(rig, 30, r => expect(r.estimates.turningTrouble).toBe('none'))
    expect(rig.estimates.rotationSource).toBe('shaft')
    expect(rig.estimates.slipFraction).toBeNaN()
  }
})

test('a disc that dies leaves the tank turning: by its magnet, or by time when the current is that of turning', () => {
  for (const [base, source] of [
    [defaultBase, 'tank'],
    [noCurrent(defaultBase), 'tank'],
    [baseWith(8, 0), 'time'],
  ] as const) {
    for (let seed = 1; seed <= 10; seed++) {
      const rig = started(base, seed, 60)
      rig.shaft.dead = true
      run(rig, 10)
      expect(rig.estimates.rotationSource).toBe(source)
      const travel = rig.rollers.tankTravelTurns
      run(rig, 30)
      expect(rig.estimates.turningTrouble).toBe('none')
      const turned = rig.rollers.tankTravelTurns - travel
      expect(turned).toBeGreaterThan(13)
      expect(turned).toBeLessThan(22)
    }
  }
})

test('both sensors dead: time alone goes on turning at about the right speed', () => {
  const rig = started(defaultBase, 4, 60)
  rig.shaft.dead = true
  rig.tank.dead = true
  run(rig, 30)
  expect(rig.estimates.rotationSource).toBe('time')
  const travel = rig.rollers.tankTravelTurns
  run(rig, 60)
  expect(rig.rollers.tankTravelTurns - travel).toBeGreaterThan(28)
})

test('a sensor that comes back is trusted again', () => {
  const rig = started(defaultBase, 4, 60)
  rig.shaft.dead = true
  rig.tank.dead = true
  run(rig, 30)
  rig.shaft.dead = false
  rig.tank.dead = false
  run(rig, 10)
  expect(rig.estimates.rotationSource).toBe('tank')
  expect(rig.sense.discTrusted).toBe(true)
})

test('a stalled motor is named within 1.5 seconds, from 10 rpm up, and the name goes when the duty does', () => {
  for (const rpm of [10, 45, 75]) {
    for (let seed = 1; seed <= 10; seed++) {
      const rig = started(defaultBase, seed, 30, rpm)
      jam(rig, 5)
      let driven = 0
      while (rig.estimates.turningTrouble !== 'stalled') {
        run(rig, 0.1)
        driven = rig.duty !== 0 ? driven + 0.1 : 0
        expect(driven).toBeLessThan(1.6)
      }
      run(rig, 0.3)
      expect(rig.duty).toBe(0)
      expect(rig.estimates.turningTrouble).toBe('none')
    }
  }
})

test('no reading makes rotation a number that is none', () => {
  const values = [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, -1, 1e9]
  const keys = ['packVolts', 'motorAmps', 'tickSeconds', 'shaftEdges', 'tankEdges', 'shaftEdgeSeconds'] as const
  for (const base of [defaultBase, baseWith(8, 0), baseWith(0, 1), baseWith(0, 0)]) {
    for (const key of keys) {
      for (const value of values) {
        const rig = started(base, 1, 8)
        for (let i = 0; i < 20; i++) {
          stepPlant(rig)
          rig.readings[key] = value
          sense(rig)
        }
        for (const result of [rig.estimates.tankTurns, rig.estimates.tankTravelTurns, rig.estimates.tankRpm]) {
          expect(Number.isFinite(result)).toBe(true)
        }
      }
    }
  }
})
