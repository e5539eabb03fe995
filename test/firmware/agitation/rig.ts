/**
 * Motor, rollers, tank and sensors with the real rotation sense and agitation on top, and nothing else: the pack is a
 * constant voltage behind a resistance. A tick is 0.1 s, in the order of the base's own: read, sense, decide, write.
 */
import {
  type AgitationState,
  beginProgramme,
  createAgitation,
  tickAgitation,
  type Want,
} from '../../../firmware/agitation/agitation.ts'
import type { BaseFile } from '../../../firmware/baseFile.ts'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { createReadings, type Readings } from '../../../firmware/readings.ts'
import type { Agitation } from '../../../firmware/recipe/recipe.ts'
import { createEstimates, type Estimates } from '../../../firmware/sense/estimates.ts'
import { createRotationSense, type RotationSense, senseRotation } from '../../../firmware/sense/rotation.ts'
import { createUnderway, type Underway } from '../../../firmware/sense/underway.ts'
import { createMotor, type GearMotor, stepMotor } from '../../../sim/plant/motor.ts'
import { createRandom } from '../../../sim/plant/random.ts'
import { createRollers, loadRollers, type Rollers, stepRollers } from '../../../sim/plant/rollers.ts'
import { createEdgeCounter, type EdgeCounter, stepEdgeCounter } from '../../../sim/plant/rotationSensing.ts'

export const TICK_SECONDS = 0.1

export interface Rig {
  motor: GearMotor
  rollers: Rollers
  shaft: EdgeCounter
  tank: EdgeCounter
  readings: Readings
  underway: Underway
  estimates: Estimates
  sense: RotationSense
  agitation: AgitationState
  restingVolts: number
  currentSense: boolean
  duty: number
  ticks: number
  /** Truth before this tick. */
  lastTankTurns: number
}

export function createRig(base: BaseFile, seed: number, millilitres = 300): Rig {
  const random = createRandom(seed, 7)
  const motor = createMotor(base, random)
  const rollers = createRollers(base, random)
  loadRollers(rollers, motor, millilitres)
  const readings = createReadings()
  readings.nowSeconds = 1000
  return {
    motor,
    rollers,
    shaft: createEdgeCounter(base.rotation.edgesPerShaftTurn, random),
    tank: createEdgeCounter(base.rotation.magnetsOnTank, random),
    readings,
    underway: createUnderway(),
    estimates: createEstimates(),
    sense: createRotationSense(base),
    agitation: createAgitation(base),
    restingVolts: 7.4,
    currentSense: base.pack.currentSense,
    duty: 0,
    ticks: 0,
    lastTankTurns: 0,
  }
}

/** A base with these sensors. */
export function baseWith(edgesPerShaftTurn: number, magnetsOnTank: number): BaseFile {
  return { ...defaultBase, rotation: { edgesPerShaftTurn, magnetsOnTank } }
}

export function startProgramme(rig: Rig, agitation: Agitation): void {
  beginProgramme(rig.agitation, agitation, rig.readings.nowSeconds)
}

/** The plant alone, with `rig.duty`. */
export function stepPlant(rig: Rig): void {
  const readings = rig.readings
  readings.nowSeconds += TICK_SECONDS
  readings.tickSeconds = TICK_SECONDS
  readings.slow = ++rig.ticks % 10 === 0
  const packVolts = rig.restingVolts - 0.25 * rig.motor.packAmps
  stepMotor(rig.motor, packVolts, rig.duty, TICK_SECONDS)
  rig.lastTankTurns = rig.rollers.tankTurns
  stepRollers(rig.rollers, rig.motor, TICK_SECONDS)
  stepEdgeCounter(rig.shaft, rig.motor.shaftTurns, readings.nowSeconds, TICK_SECONDS)
  stepEdgeCounter(rig.tank, rig.rollers.tankTurns, readings.nowSeconds, TICK_SECONDS)
  readings.packVolts = packVolts
  readings.motorAmps = rig.currentSense ? rig.motor.packAmps : NaN
  readings.shaftEdges = rig.shaft.edges
  readings.shaftEdgeSeconds = rig.shaft.edgeSeconds
  readings.tankEdges = rig.tank.edges
  readings.tankEdgeSeconds = rig.tank.edgeSeconds
}

/** What the base knows after the readings. */
export function sense(rig: Rig): void {
  const estimates = rig.estimates
  estimates.nowSeconds = rig.readings.nowSeconds
  estimates.tickSeconds = rig.readings.tickSeconds
  estimates.packVolts = rig.readings.packVolts
  estimates.motorAmps = rig.readings.motorAmps
  estimates.packKnown = true
  rig.underway.motorDuty = rig.duty
  senseRotation(rig.sense, rig.readings, rig.underway, estimates)
}

export function tick(rig: Rig, want: Want = 'turn', shedding: 0 | 1 | 2 | 3 = 0): void {
  stepPlant(rig)
  sense(rig)
  tickAgitation(rig.agitation, rig.estimates, want, shedding)
  rig.duty = rig.agitation.view.duty
}

/** Ticks for so many seconds; calls `each` after each. */
export function run(rig: Rig, seconds: number, each?: (rig: Rig) => void, want: Want = 'turn'): void {
  for (let left = Math.round(seconds / TICK_SECONDS); left > 0; left--) {
    tick(rig, want)
    if (each !== undefined) each(rig)
  }
}

/** The programme that the evenness budget is stated for, and its plain counterpart. */
export const staggered: Agitation = {
  rpm: 45,
  legTurns: 2,
  restSeconds: 0.5,
  rampSeconds: 0.6,
  stagger: true,
  opening: { rpm: 60, seconds: 15 },
}
export const equalLegs: Agitation = { ...staggered, stagger: false }
