/**
 * What a tuning is for: the bath, the liquid in this tank, the base and the pack. Plain data, so that it can be handed
 * to a worker as it is.
 *
 * Assumes checked files. Nothing here fails; whether the volume reaches the film is said in `question.ts`.
 */
import type { BaseFile } from '../../../firmware/baseFile.ts'
import { liquidLevelMillimetres } from '../../../firmware/tank/geometry.ts'
import type { Tank } from '../../../firmware/tank/tank.ts'
import { type Arcs, immersedHalfAngle } from '../../plant/evenness.ts'

export interface TuneSetup {
  base: BaseFile
  tank: Tank
  millilitres: number
  /** How long the tank turns: from full and closed to the pour-out press. */
  turningSeconds: number
  /** An evening's bath is shorter or longer than planned by up to this fraction. */
  secondsSpread: number
  roomCelsius: number
  /** What the pack holds at the beginning, 0 to 1, from the least to the most of the evenings. */
  charge: [number, number]
  /** Chance of motors, rollers, packs and starting angles. */
  seed: number
}

export function innerRadiusMillimetres(tank: Tank): number {
  return tank.filmInnerDiameterMillimetres / 2
}

export function outerRadiusMillimetres(tank: Tank): number {
  return tank.filmOuterDiameterMillimetres / 2
}

/** Half of the immersed arc at the inner, middle and outer turn of the film. */
export function arcsOf(tank: Tank, millilitres: number): Arcs {
  const level = liquidLevelMillimetres(tank, millilitres)
  const inner = innerRadiusMillimetres(tank)
  const outer = outerRadiusMillimetres(tank)
  return {
    innerRadians: immersedHalfAngle(inner, level),
    middleRadians: immersedHalfAngle((inner + outer) / 2, level),
    outerRadians: immersedHalfAngle(outer, level),
  }
}
