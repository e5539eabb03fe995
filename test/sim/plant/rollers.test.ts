import { expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { createMotor, stepMotor } from '../../../sim/plant/motor.ts'
import { createRandom } from '../../../sim/plant/random.ts'
import { createRollers, loadRollers, setTankFault, stepRollers } from '../../../sim/plant/rollers.ts'
import { createEdgeCounter, stepEdgeCounter } from '../../../sim/plant/rotationSensing.ts'

function drive(seed: number, millilitres: number) {
  const random = createRandom(seed, 7)
  const motor = createMotor(defaultBase, random)
  const rollers = createRollers(defaultBase, random)
  loadRollers(rollers, motor, millilitres)
  const step = (duty: number, ticks: number): void => {
    for (let i = 0; i < ticks; i++) {
      stepMotor(motor, 7.4, duty, 0.1)
      stepRollers(rollers, motor, 0.1)
    }
  }
  return { motor, rollers, step }
}

test('the tank follows the shaft over the ratio, less 1 to 3 percent of creep, in either direction', () => {
  for (let seed = 1; seed <= 50; seed++) {
    const { motor, rollers, step } = drive(seed, 300)
    step(0.6, 100)
    const forth = 1 - (rollers.tankTurns * 3.5) / motor.shaftTurns
    expect(forth).toBeGreaterThan(0.006)
    expect(forth).toBeLessThan(0.034)
    const turns = rollers.tankTurns
    const shaft = motor.shaftTurns
    step(-0.6, 100)
    expect(rollers.tankTurns).toBeLessThan(turns)
    expect((rollers.tankTurns - turns) / (motor.shaftTurns - shaft)).toBeGreaterThan(0.96 / 3.5)
    expect(rollers.tankTravelTurns).toBeGreaterThan(turns)
  }
})

test('a fuller tank costs more current', () => {
  const empty = drive(1, 0)
  const full = drive(1, 600)
  empty.step(0.6, 50)
  full.step(0.6, 50)
  expect(full.motor.packAmps).toBeGreaterThan(empty.motor.packAmps)
  expect(full.rollers.tankRpm).toBeLessThan(empty.rollers.tankRpm)
})

test('a tank that walked off lies still and unloads the motor; a jammed one loads it more', () => {
  const { motor, rollers, step } = drive(2, 300)
  step(0.8, 50)
  const usualAmps = motor.windingAmps
  setTankFault(rollers, motor, 'walkedOff')
  const turns = rollers.tankTurns
  step(0.8, 50)
  expect(rollers.tankTurns).toBe(turns)
  expect(rollers.tankRpm).toBe(0)
  expect(motor.windingAmps).toBeLessThan(usualAmps)
  setTankFault(rollers, motor, 'jammed')
  step(0.8, 50)
  expect(rollers.tankTurns).toBe(turns)
  expect(motor.windingAmps).toBeGreaterThan(1.3 * usualAmps)
  setTankFault(rollers, motor, 'none')
  step(0.8, 50)
  expect(rollers.tankTurns).toBeGreaterThan(turns)
})

test('slip added by a fault slows the tank; complete slip holds it', () => {
  const { rollers, step } = drive(3, 300)
  step(0.6, 50)
  const rpm = rollers.tankRpm
  rollers.extraSlip = 0.4
  step(0.6, 50)
  expect(rollers.tankRpm / rpm).toBeCloseTo(0.59, 1)
  rollers.extraSlip = 1
  step(0.6, 1)
  expect(rollers.tankRpm).toBe(0)
})

test('edges sit at fixed angles, carry the time they passed, and none is lost in a reversal', () => {
  const counter = createEdgeCounter(4, createRandom(1, 1))
  const path = [0, 0.3, 0.9, 1.7, 1.5, 0.2, -0.6, -0.6, 0.1]
  let expected = 0
  for (let i = 1; i < path.length; i++) {
    const low = Math.min(path[i - 1], path[i]) * 4 + counter.offset
    const high = Math.max(path[i - 1], path[i]) * 4 + counter.offset
    const passed = Math.floor(high) - Math.floor(low)
    stepEdgeCounter(counter, path[i], 10 + i * 0.1, 0.1)
    expected += passed
    expect(counter.edges).toBe(expected)
    if (passed > 0) {
      const share = (counter.edgeSeconds - (9.9 + i * 0.1)) / 0.1
      const at = (path[i - 1] + (path[i] - path[i - 1]) * share) * 4 + counter.offset
      expect(Math.abs(at - Math.round(at))).toBeLessThan(1e-9)
    }
  }
})

test('a dead sensor counts nothing, and no sensor neither', () => {
  const dead = createEdgeCounter(4, createRandom(1, 1))
  const none = createEdgeCounter(0, createRandom(1, 1))
  dead.dead = true
  stepEdgeCounter(dead, 5, 1, 0.1)
  stepEdgeCounter(none, 5, 1, 0.1)
  expect(dead.edges).toBe(0)
  expect(none.edges).toBe(0)
})
