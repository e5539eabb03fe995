/**
 * From the motor's shaft over the roller to the tank: friction drives the tank, wet rollers creep a little, and the
 * tank with its liquid loads the motor.
 *
 * Assumes that the tank follows the roller but for a constant creep in each direction; what grip the tank's inertia
 * needs is far below what rubber gives. Faults: more slip, a tank that has walked off its rollers (it lies still and
 * loads nothing) or is jammed (it lies still and the rollers skid under it).
 */
import type { BaseFile } from '../../firmware/baseFile.ts'
import { type GearMotor, loadMotor, type MotorLoad } from './motor.ts'
import { between, type Random } from './random.ts'

export interface Rollers {
  shaftTurnsPerTankTurn: number
  /** Fraction of the rollers' way that the tank does not follow, forth and back. */
  slipForth: number
  slipBack: number
  /** Truth: the tank's net angle, signed, its way and its mean speed over the last step. */
  tankTurns: number
  tankTravelTurns: number
  tankRpm: number
  /** Assumed: rolling friction of the tank on its rollers with their bearings, at the tank's axis. */
  rollingNewtonMetres: number
  /** Liquid dragged round by wall and reels, for each radian a second and litre: assumed. */
  dragPerLitre: number
  /** Tank and reels, and liquid that takes part: assumed. */
  tankInertia: number
  inertiaPerLitre: number
  /** Friction of rollers that skid under a jammed tank, at the tank's axis: assumed. */
  skidNewtonMetres: number
  millilitres: number
  fault: TankFault
  /** Added to both slips by a fault, 0 to 1. */
  extraSlip: number
  load: MotorLoad
  lastShaftTurns: number
}

/** What keeps the tank from turning although the rollers do. */
export type TankFault = 'none' | 'walkedOff' | 'jammed'

/** The rollers and the tank of one base. All ranges are assumed; creep of 1–3 % is what wet rubber on plastic is expected to have. */
export function createRollers(base: BaseFile, random: Random): Rollers {
  const slip = between(random, 0.01, 0.03)
  const lean = between(random, -0.003, 0.003)
  return {
    shaftTurnsPerTankTurn: base.drive.shaftTurnsPerTankTurn,
    slipForth: slip + lean,
    slipBack: slip - lean,
    tankTurns: 0,
    tankTravelTurns: 0,
    tankRpm: 0,
    rollingNewtonMetres: between(random, 0.012, 0.035),
    dragPerLitre: between(random, 0.002, 0.006),
    tankInertia: between(random, 0.0008, 0.0016),
    inertiaPerLitre: between(random, 0.0004, 0.0008),
    skidNewtonMetres: between(random, 0.15, 0.3),
    millilitres: 0,
    fault: 'none',
    extraSlip: 0,
    load: { inertiaKilogramSquareMetres: 0, frictionNewtonMetres: 0, dragNewtonMetreSeconds: 0 },
    lastShaftTurns: 0,
  }
}

/** Tells the motor what it turns: call it when the volume or `fault` changes, and once at the start. */
export function loadRollers(r: Rollers, motor: GearMotor, millilitres: number): void {
  const ratio = r.shaftTurnsPerTankTurn
  const litres = millilitres / 1000
  r.millilitres = millilitres
  r.load.inertiaKilogramSquareMetres =
    r.fault === 'none' ? (r.tankInertia + r.inertiaPerLitre * litres) / (ratio * ratio) : 0
  r.load.dragNewtonMetreSeconds = r.fault === 'none' ? (r.dragPerLitre * litres) / (ratio * ratio) : 0
  // Half of the rolling friction is in the rollers' bearings, most of which the tank's weight makes.
  r.load.frictionNewtonMetres =
    (r.fault === 'none' ? r.rollingNewtonMetres : r.fault === 'jammed' ? r.skidNewtonMetres : 0) / ratio
  loadMotor(motor, r.load)
}

/** A fault begins or ends. */
export function setTankFault(r: Rollers, motor: GearMotor, fault: TankFault): void {
  r.fault = fault
  loadRollers(r, motor, r.millilitres)
}

/** Carries the shaft's way in this step over to the tank. */
export function stepRollers(r: Rollers, motor: GearMotor, stepSeconds: number): void {
  const rolled = (motor.shaftTurns - r.lastShaftTurns) / r.shaftTurnsPerTankTurn
  r.lastShaftTurns = motor.shaftTurns
  const slip = (rolled > 0 ? r.slipForth : r.slipBack) + r.extraSlip
  const turned = r.fault !== 'none' || slip >= 1 ? 0 : rolled * (1 - slip)
  r.tankTurns += turned
  r.tankTravelTurns += turned < 0 ? -turned : turned
  r.tankRpm = (turned / stepSeconds) * 60
}
