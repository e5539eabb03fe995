/**
 * A base that only turns: the real motor, rollers, pack and sensors of one drawn evening, and on top of them the
 * firmware's own pack sense, rotation sense and agitation. A step is a tenth of a second, in the order of the base's own
 * tick; what is read when follows `readBoard`.
 *
 * Assumes a base that was just switched on, so that its speed loop has learned nothing yet: the harder case. A pack that
 * cuts off leaves the motor without volts; the figures then show a tank that stands.
 */
import {
  type AgitationState,
  beginProgramme,
  createAgitation,
  tickAgitation,
} from '../../../firmware/agitation/agitation.ts'
import { createReadings, type Readings } from '../../../firmware/readings.ts'
import type { Agitation } from '../../../firmware/recipe/recipe.ts'
import { createEstimates, type Estimates } from '../../../firmware/sense/estimates.ts'
import { createPackSense, type PackSense, sensePack } from '../../../firmware/sense/pack.ts'
import { createRotationSense, type RotationSense, senseRotation } from '../../../firmware/sense/rotation.ts'
import { createUnderway, type Underway } from '../../../firmware/sense/underway.ts'
import { STREAM } from '../../plant/evening.ts'
import { createMotor, type GearMotor, stepMotor } from '../../plant/motor.ts'
import {
  createPackPlant,
  drawPackTruth,
  MOTOR_AMPS_SIGMA,
  PACK_VOLTS_SIGMA,
  type PackState,
  stepPack,
} from '../../plant/pack.ts'
import { createRandom, gaussian, type Random } from '../../plant/random.ts'
import { createRollers, loadRollers, type Rollers, stepRollers } from '../../plant/rollers.ts'
import { createEdgeCounter, type EdgeCounter, stepEdgeCounter } from '../../plant/rotationSensing.ts'
import type { TuneSetup } from './setup.ts'

export const STEP_SECONDS = 0.1
/** The clock may start anywhere; at 0 it would hide mistakes. */
const ON_SINCE_SECONDS = 60

export interface TurningRig {
  motor: GearMotor
  rollers: Rollers
  pack: PackState
  shaft: EdgeCounter
  magnets: EdgeCounter
  noise: Random
  electronicsWatts: number
  currentSense: boolean
  readings: Readings
  underway: Underway
  estimates: Estimates
  packSense: PackSense
  rotation: RotationSense
  agitation: AgitationState
  steps: number
  /** The tank's true angle before the last step. */
  lastTankTurns: number
}

/** The base of one evening: `evening` counts from 0 and decides everything left to chance; `charge` is 0 to 1. */
export function createTurningRig(setup: TuneSetup, evening: number, charge: number): TurningRig {
  const { base } = setup
  const seed = setup.seed + evening
  const random = createRandom(seed, STREAM.motor)
  const motor = createMotor(base, random)
  const rollers = createRollers(base, random)
  loadRollers(rollers, motor, setup.millilitres)
  const packTruth = drawPackTruth(createRandom(seed, STREAM.pack), base, setup.roomCelsius)
  return {
    motor,
    rollers,
    // Where disc and magnets lie when the bath begins is drawn: that is the starting angle, as far as a base can know it.
    shaft: createEdgeCounter(base.rotation.edgesPerShaftTurn, random),
    magnets: createEdgeCounter(base.rotation.magnetsOnTank, random),
    pack: createPackPlant(packTruth, charge),
    noise: createRandom(seed, STREAM.noise),
    electronicsWatts: base.power.electronicsWatts + base.power.screenWatts,
    currentSense: base.pack.currentSense,
    readings: createReadings(),
    underway: createUnderway(),
    estimates: createEstimates(),
    packSense: createPackSense(base),
    rotation: createRotationSense(base),
    agitation: createAgitation(base),
    steps: 0,
    lastTankTurns: 0,
  }
}

/** A programme begins; the tank is full and closed. */
export function startTurning(rig: TurningRig, agitation: Agitation): void {
  const readings = rig.readings
  readings.nowSeconds = ON_SINCE_SECONDS
  readings.packVolts = rig.pack.packVolts
  beginProgramme(rig.agitation, agitation, ON_SINCE_SECONDS)
}

/** A tick of the base, then a tenth of a second of physics. */
export function stepTurning(rig: TurningRig): void {
  const { readings, estimates } = rig
  look(rig)
  estimates.nowSeconds = readings.nowSeconds
  estimates.tickSeconds = readings.tickSeconds
  estimates.slow = readings.slow
  sensePack(rig.packSense, readings, estimates)
  senseRotation(rig.rotation, readings, rig.underway, estimates)
  tickAgitation(rig.agitation, estimates, 'turn', 0)
  const duty = rig.agitation.view.duty
  rig.underway.motorDuty = duty
  turn(rig, duty)
}

/** What `readBoard` reads in this tick, from the plant's parts. */
function look(rig: TurningRig): void {
  const { readings, shaft, magnets } = rig
  const odd = !readings.odd
  readings.odd = odd
  readings.nowSeconds = ON_SINCE_SECONDS + rig.steps * STEP_SECONDS
  readings.tickSeconds = rig.steps === 0 ? 0 : STEP_SECONDS
  readings.slow = rig.steps % 10 === 0
  readings.supplyRead = !odd || readings.supplyDoubted
  if (readings.supplyRead) {
    readings.packVolts = rig.pack.packVolts + PACK_VOLTS_SIGMA * gaussian(rig.noise)
    readings.motorAmps = rig.currentSense ? rig.motor.packAmps + MOTOR_AMPS_SIGMA * gaussian(rig.noise) : NaN
  }
  if (odd) {
    readings.tankEdges = magnets.edges
    readings.tankEdgeSeconds = magnets.edgeSeconds
  }
  readings.shaftRead = odd || !readings.calm
  if (readings.shaftRead) {
    readings.shaftEdges = shaft.edges
    readings.shaftEdgeSeconds = shaft.edgeSeconds
  }
}

function turn(rig: TurningRig, duty: number): void {
  const { motor, rollers, pack, shaft, magnets } = rig
  rig.steps++
  const nowSeconds = ON_SINCE_SECONDS + rig.steps * STEP_SECONDS
  rig.lastTankTurns = rollers.tankTurns
  stepMotor(motor, pack.packVolts, duty, STEP_SECONDS)
  stepRollers(rollers, motor, STEP_SECONDS)
  if (shaft.edgesPerTurn > 0) stepEdgeCounter(shaft, motor.shaftTurns, nowSeconds, STEP_SECONDS)
  if (magnets.edgesPerTurn > 0) stepEdgeCounter(magnets, rollers.tankTurns, nowSeconds, STEP_SECONDS)
  const electronicsAmps = pack.packVolts > 0 ? rig.electronicsWatts / pack.packVolts : 0
  stepPack(pack, motor.packAmps + electronicsAmps, STEP_SECONDS)
}
