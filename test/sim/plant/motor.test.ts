import { expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { createMotor, type GearMotor, loadMotor, motorFromFigures, stepMotor } from '../../../sim/plant/motor.ts'
import { createRandom, gaussian } from '../../../sim/plant/random.ts'

const FIGURES = { volts: 12, noLoadRpm: 500, noLoadAmps: 0.2, stallNewtonMetres: 0.8, stallAmps: 5 }
const LOAD = { inertiaKilogramSquareMetres: 1e-4, frictionNewtonMetres: 0.006, dragNewtonMetreSeconds: 2e-4 }

function newMotor(): GearMotor {
  const motor = motorFromFigures(FIGURES, 0.05, 1.5)
  loadMotor(motor, LOAD)
  return motor
}

/** Steps of 20 microseconds, Euler, friction by the textbook. */
function naive(motor: GearMotor, volts: number, seconds: number, from: number): { speed: number; radians: number } {
  const h = 2e-5
  const inertia = motor.ownInertiaKilogramSquareMetres + LOAD.inertiaKilogramSquareMetres
  const friction = motor.ownFrictionNewtonMetres + LOAD.frictionNewtonMetres
  let speed = from
  let radians = 0
  for (let n = Math.round(seconds / h); n > 0; n--) {
    const amps = volts === 0 ? 0 : (volts - motor.voltSeconds * speed) / motor.ohms
    const drive = motor.newtonMetresPerAmp * amps - LOAD.dragNewtonMetreSeconds * speed
    if (speed === 0) {
      if (Math.abs(drive) <= friction * motor.breakawayFactor) continue
      speed = ((drive - Math.sign(drive) * friction) / inertia) * h
    } else {
      const next = speed + ((drive - Math.sign(speed) * friction) / inertia) * h
      speed = next * speed < 0 ? 0 : next
    }
    radians += speed * h
  }
  return { speed, radians }
}

test('one step is what a fine integration gives: starting, braking, coasting, reversing through rest', () => {
  const r = createRandom(3, 1)
  for (let trial = 0; trial < 40; trial++) {
    const motor = newMotor()
    const from = trial % 4 === 0 ? 0 : gaussian(r) * 25
    const duty = trial % 5 === 0 ? 0 : Math.max(-1, Math.min(1, gaussian(r) * 0.5))
    motor.radiansPerSecond = from
    stepMotor(motor, 7.4, duty, 0.1)
    const slow = naive(motor, 7.4 * duty, 0.1, from)
    expect(Math.abs(motor.radiansPerSecond - slow.speed)).toBeLessThan(0.03)
    expect(Math.abs(motor.shaftTurns * 2 * Math.PI - slow.radians)).toBeLessThan(0.005)
  }
})

test('ten steps of a tenth are one step of the whole', () => {
  const fine = newMotor()
  const coarse = newMotor()
  for (let i = 0; i < 10; i++) stepMotor(fine, 8, 0.6, 0.01)
  stepMotor(coarse, 8, 0.6, 0.1)
  expect(fine.radiansPerSecond).toBeCloseTo(coarse.radiansPerSecond, 9)
  expect(fine.shaftTurns).toBeCloseTo(coarse.shaftTurns, 9)
})

test('without a load it turns and draws as the data sheet says, and stalls likewise', () => {
  const motor = motorFromFigures(FIGURES, 0.05, 1.5)
  for (let i = 0; i < 50; i++) stepMotor(motor, 12, 1, 0.1)
  expect((motor.radiansPerSecond * 60) / (2 * Math.PI)).toBeCloseTo(500, 1)
  expect(motor.windingAmps).toBeCloseTo(0.2, 4)
  motor.jamNewtonMetres = 10
  loadMotor(motor, motor.load)
  for (let i = 0; i < 20; i++) stepMotor(motor, 12, 1, 0.1)
  expect(motor.radiansPerSecond).toBe(0)
  expect(motor.windingAmps).toBeCloseTo(5, 9)
})

test('the pack gives duty times the winding current, and never takes any back', () => {
  const motor = newMotor()
  for (let i = 0; i < 20; i++) stepMotor(motor, 8, 0.5, 0.1)
  expect(motor.packAmps).toBeCloseTo(0.5 * motor.windingAmps, 12)
  stepMotor(motor, 8, 0.1, 0.1)
  expect(motor.windingAmps).toBeLessThan(0)
  expect(motor.packAmps).toBe(0)
  stepMotor(motor, 8, 0, 0.1)
  expect(motor.packAmps).toBe(0)
})

test('what the pack gives is friction, drag, heat and kinetic energy, gear losses within', () => {
  const motor = newMotor()
  let joules = 0
  for (let i = 0; i < 300; i++) {
    stepMotor(motor, 8, 0.7, 0.1)
    joules += 8 * motor.packAmps * 0.1
  }
  const amps = motor.windingAmps
  const wattsInSteadyState = amps * amps * motor.ohms + motor.voltSeconds * motor.radiansPerSecond * amps
  expect(8 * motor.packAmps).toBeCloseTo(wattsInSteadyState, 9)
  expect(joules).toBeGreaterThan(wattsInSteadyState * 30)
  expect(joules).toBeLessThan(wattsInSteadyState * 30 + 1)
})

test('a duty too small to break loose leaves it at rest, and a bad number counts as none', () => {
  const motor = newMotor()
  stepMotor(motor, 8, 0.03, 0.1)
  expect(motor.shaftTurns).toBe(0)
  expect(motor.windingAmps).toBeGreaterThan(0)
  stepMotor(motor, Number.NaN, 0.5, 0.1)
  stepMotor(motor, 8, Number.NaN, 0.1)
  expect(motor.shaftTurns).toBe(0)
  expect(motor.packAmps).toBe(0)
})

test('a weak motor still turns lightly loaded but gives less torque', () => {
  const motor = newMotor()
  motor.weakFraction = 0.5
  loadMotor(motor, LOAD)
  for (let i = 0; i < 50; i++) stepMotor(motor, 8, 1, 0.1)
  const weak = motor.radiansPerSecond
  motor.weakFraction = 0
  loadMotor(motor, LOAD)
  for (let i = 0; i < 50; i++) stepMotor(motor, 8, 1, 0.1)
  expect(weak).toBeGreaterThan(0.8 * motor.radiansPerSecond)
  expect(weak).toBeLessThan(0.97 * motor.radiansPerSecond)
})

test('every drawn motor with a tank answers within 25 to 90 ms, turns the tank at its top speed and draws less than the limit', () => {
  for (let seed = 1; seed <= 200; seed++) {
    const motor = createMotor(defaultBase, createRandom(seed, 7))
    loadMotor(motor, { inertiaKilogramSquareMetres: 1.2e-4, frictionNewtonMetres: 0.01, dragNewtonMetreSeconds: 1e-4 })
    expect(motor.driven.seconds).toBeGreaterThan(0.025)
    expect(motor.driven.seconds).toBeLessThan(0.09)
    for (let i = 0; i < 30; i++) stepMotor(motor, 7.4, 1, 0.1)
    const tankRpm = (motor.radiansPerSecond * 60) / (2 * Math.PI) / defaultBase.drive.shaftTurnsPerTankTurn
    expect(tankRpm).toBeGreaterThan(defaultBase.drive.mostRpm)
    expect(motor.packAmps).toBeLessThan(defaultBase.limits.motorAmps / 2)
  }
})
