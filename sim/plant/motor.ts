/**
 * The gear motor of the base: the linear model of a brushed DC motor, as its data sheet gives it (no-load speed and
 * current, stall torque and current at one voltage), with the inertia and the friction that it drives.
 *
 * Assumes that duty and pack volts are constant within a step; then the speed follows an exponential exactly. The
 * driver brakes between its pulses (slow decay), so that duty × volts acts as a voltage; at duty 0 it lets the motor
 * coast. The winding's own time constant (about 1 ms) is left out. Everything is at the gearbox's output shaft.
 *
 * Faults: `jamNewtonMetres` holds the shaft until the drive overcomes it; `weakFraction` raises the winding's
 * resistance, as worn brushes do. A duty or a voltage that is no number counts as 0.
 */
import type { BaseFile } from '../../firmware/baseFile.ts'
import { between, type Random } from './random.ts'

/** What a data sheet says of a gear motor, at `volts`. */
export interface MotorFigures {
  volts: number
  noLoadRpm: number
  noLoadAmps: number
  stallNewtonMetres: number
  stallAmps: number
}

/** What hangs on the shaft, seen from the shaft. */
export interface MotorLoad {
  inertiaKilogramSquareMetres: number
  /** Dry friction in motion, and proportional to speed. */
  frictionNewtonMetres: number
  dragNewtonMetreSeconds: number
}

export interface GearMotor {
  /** Winding and driver; V s and N m per ampere at the output shaft, gear losses within. */
  ohms: number
  voltSeconds: number
  newtonMetresPerAmp: number
  /** Friction of motor and gear, and how much more it takes to break loose. */
  ownFrictionNewtonMetres: number
  breakawayFactor: number
  ownInertiaKilogramSquareMetres: number
  /** Net angle of the shaft; exact, signed. */
  shaftTurns: number
  radiansPerSecond: number
  /** In the winding, and drawn from the pack: averages over the last step. */
  windingAmps: number
  packAmps: number
  /** Fault hooks. After a change call `loadMotor` again. */
  jamNewtonMetres: number
  weakFraction: number
  /** What `loadMotor` works out once, so that a step has little to do. */
  load: MotorLoad
  stepSeconds: number
  driven: Response
  coasting: Response
  frictionNewtonMetres: number
  breakawayNewtonMetres: number
}

/** First-order answer: speed damping in N m s, its time constant, and exp(−step / time constant). */
interface Response {
  damping: number
  seconds: number
  decay: number
}

/** N m of one kilogram-millimetre, the unit of the published tables. */
export const NEWTON_METRES_PER_KILOGRAM_MILLIMETRE = 9.80665e-3
const RADIANS_PER_TURN = 2 * Math.PI
/** Driver, both switches: assumed. */
const DRIVER_OHMS = 0.3
/** Keeps the coasting time constant finite where nothing drags. */
const LEAST_DAMPING = 1e-8

/** Motor constants from a data sheet's figures, by the linear model; `timeConstantSeconds` is the bare motor's. */
export function motorFromFigures(f: MotorFigures, timeConstantSeconds: number, breakawayFactor: number): GearMotor {
  const ohms = f.volts / f.stallAmps
  const newtonMetresPerAmp = f.stallNewtonMetres / (f.stallAmps - f.noLoadAmps)
  const voltSeconds = (f.volts - f.noLoadAmps * ohms) / ((f.noLoadRpm / 60) * RADIANS_PER_TURN)
  const motor: GearMotor = {
    shaftTurns: 0,
    packAmps: 0,
    windingAmps: 0,
    stepSeconds: 0.1,
    radiansPerSecond: 0,
    voltSeconds,
    ohms,
    newtonMetresPerAmp,
    weakFraction: 0,
    frictionNewtonMetres: 0,
    driven: { damping: 1, seconds: 1, decay: 0 },
    breakawayNewtonMetres: 0,
    coasting: { damping: 1, seconds: 1, decay: 0 },
    load: { inertiaKilogramSquareMetres: 0, frictionNewtonMetres: 0, dragNewtonMetreSeconds: 0 },
    ownFrictionNewtonMetres: newtonMetresPerAmp * f.noLoadAmps,
    jamNewtonMetres: 0,
    breakawayFactor,
    ownInertiaKilogramSquareMetres: (timeConstantSeconds * newtonMetresPerAmp * voltSeconds) / ohms,
  }
  loadMotor(motor, motor.load)
  return motor
}

/** Nominal volts at which the ranges below are given: the published tables' (C-pololu-37d-12v). */
const NOMINAL_VOLTS = 12

/**
 * The motor of one base that was built. The base file says how fast it should turn; the part that was delivered
 * differs. Winding: the 37D family's 5.5 A of stall current and 0.2 A without load at 12 V (C-pololu-37d-12v), each
 * with an assumed spread. Gear efficiency 0.57–0.80: worked out from the same table's stall torques, whole range.
 * Mechanical time constant 25–60 ms before the tank hangs on it, and breakaway 1.2–1.7 × the moving friction: assumed.
 */
export function createMotor(base: BaseFile, random: Random): GearMotor {
  const shaftRpmPerVolt = base.drive.rpmPerVolt * base.drive.shaftTurnsPerTankTurn * between(random, 0.92, 1.08)
  const stallAmps = 5.5 * between(random, 0.9, 1.1)
  const noLoadAmps = 0.2 * between(random, 0.75, 1.4)
  const noLoadRpm = shaftRpmPerVolt * NOMINAL_VOLTS
  const efficiency = between(random, 0.57, 0.8)
  const voltSeconds = (NOMINAL_VOLTS * (1 - noLoadAmps / stallAmps)) / ((noLoadRpm / 60) * RADIANS_PER_TURN)
  const stallNewtonMetres = efficiency * voltSeconds * (stallAmps - noLoadAmps)
  const figures = { volts: NOMINAL_VOLTS, noLoadRpm, noLoadAmps, stallNewtonMetres, stallAmps }
  const motor = motorFromFigures(figures, between(random, 0.025, 0.06), between(random, 1.2, 1.7))
  motor.ohms += DRIVER_OHMS
  loadMotor(motor, motor.load)
  return motor
}

/** Hangs a load on the shaft (copied), or takes note of a changed fault hook. Not for every step: it costs two exponentials. */
export function loadMotor(m: GearMotor, load: MotorLoad): void {
  m.load.inertiaKilogramSquareMetres = load.inertiaKilogramSquareMetres
  m.load.frictionNewtonMetres = load.frictionNewtonMetres
  m.load.dragNewtonMetreSeconds = load.dragNewtonMetreSeconds
  const inertia = m.ownInertiaKilogramSquareMetres + load.inertiaKilogramSquareMetres
  m.frictionNewtonMetres = m.ownFrictionNewtonMetres + load.frictionNewtonMetres + m.jamNewtonMetres
  m.breakawayNewtonMetres =
    (m.ownFrictionNewtonMetres + load.frictionNewtonMetres) * m.breakawayFactor + m.jamNewtonMetres
  m.coasting.damping = load.dragNewtonMetreSeconds + LEAST_DAMPING
  m.driven.damping = m.coasting.damping + (m.newtonMetresPerAmp * m.voltSeconds) / windingOhms(m)
  settle(m.driven, inertia, m.stepSeconds)
  settle(m.coasting, inertia, m.stepSeconds)
}

function windingOhms(m: GearMotor): number {
  return m.ohms / (1 - m.weakFraction)
}

function settle(response: Response, inertia: number, stepSeconds: number): void {
  response.seconds = inertia / response.damping
  response.decay = Math.exp(-stepSeconds / response.seconds)
}

/** A stop and a start in the other direction are the most that a step can hold. */
const SEGMENTS_AT_MOST = 3

/** One step of `stepSeconds` with the driver at `duty` (−1 to 1) on `packVolts`. Changes angle, speed and currents. */
export function stepMotor(m: GearMotor, packVolts: number, duty: number, stepSeconds: number): void {
  if (stepSeconds !== m.stepSeconds) {
    m.stepSeconds = stepSeconds
    loadMotor(m, m.load)
  }
  const drivenVolts = packVolts * duty
  const volts = isNaN(drivenVolts) ? 0 : drivenVolts
  const isDriven = volts !== 0
  const response = isDriven ? m.driven : m.coasting
  const ohms = windingOhms(m)
  const driveNewtonMetres = (m.newtonMetresPerAmp * volts) / ohms
  let radiansPerSecond = m.radiansPerSecond
  let left = stepSeconds
  let radians = 0
  for (let segment = 0; segment < SEGMENTS_AT_MOST; segment++) {
    if (radiansPerSecond === 0 && Math.abs(driveNewtonMetres) <= m.breakawayNewtonMetres) break
    const sign = radiansPerSecond !== 0 ? (radiansPerSecond > 0 ? 1 : -1) : driveNewtonMetres > 0 ? 1 : -1
    const final = (driveNewtonMetres - sign * m.frictionNewtonMetres) / response.damping
    const decay = left === stepSeconds ? response.decay : Math.exp(-left / response.seconds)
    const end = final + (radiansPerSecond - final) * decay
    if (end * sign >= 0) {
      radians += final * left + (radiansPerSecond - end) * response.seconds
      radiansPerSecond = end
      break
    }
    const stopSeconds = response.seconds * Math.log((radiansPerSecond - final) / -final)
    radians += final * stopSeconds + radiansPerSecond * response.seconds
    left -= stopSeconds
    radiansPerSecond = 0
  }
  m.radiansPerSecond = radiansPerSecond
  m.shaftTurns += radians / RADIANS_PER_TURN
  m.windingAmps = isDriven ? (volts - (m.voltSeconds * radians) / stepSeconds) / ohms : 0
  // What a braking winding pushes back while a pulse lasts is taken as lost in the driver.
  const packAmps = m.windingAmps * duty
  m.packAmps = isDriven && packAmps > 0 ? packAmps : 0
}
