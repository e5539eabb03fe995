/**
 * How warm to pour: the heat balance of a bath that meets a colder tank and then cools towards the room.
 *
 * Assumes that tank, reels and film take the bath's temperature within the first half minute, that the bath then falls
 * exponentially towards the room, and that water's figures hold for the solution. What to pour is asked of the bottle: heat
 * lost on the way from bottle to tank is not counted.
 */
import type { Tank } from '../../firmware/tank/tank.ts'
import { waterGramsPerMillilitre, waterJoulesPerGramKelvin } from '../plant/water.ts'

/**
 * From the outside of a plastic tank to a still room, convection and radiation together, W/(m2 K): ISO 6946 states 1/Rsi =
 * 7.7 for a wall; a quarter more because the tank turns (assumed).
 */
const OUTSIDE_WATTS = 9.6
/** Wall of the tank, each side (assumed), to get from inside measures to outside. */
const WALL_MILLIMETRES = 3
/** Where the water's figures are taken: they change by 0.2 % over all baths. */
const WATER_CELSIUS = 35

/** Heat of so many millilitres of bath, J/K. */
export function bathJoulesPerKelvin(millilitres: number): number {
  return millilitres * waterGramsPerMillilitre(WATER_CELSIUS) * waterJoulesPerGramKelvin(WATER_CELSIUS)
}

/** Time in seconds in which a bath in this tank comes 63 % closer to the room. */
export function coolingSeconds(tank: Tank, millilitres: number): number {
  const radius = tank.innerDiameterMillimetres / 2 + WALL_MILLIMETRES
  const length = tank.innerLengthMillimetres + 2 * WALL_MILLIMETRES
  const squareMetres = (2 * Math.PI * radius * (length + radius)) / 1e6
  return (bathJoulesPerKelvin(millilitres) + tank.heatJoulesPerKelvin) / (OUTSIDE_WATTS * squareMetres)
}

export interface PourHeat {
  /** Part of the pour's lead over the tank that is left when both have met: 0 to 1. */
  kept: number
  coolingSeconds: number
}

export function pourHeat(tank: Tank, millilitres: number): PourHeat {
  const bath = bathJoulesPerKelvin(millilitres)
  return { kept: bath / (bath + tank.heatJoulesPerKelvin), coolingSeconds: coolingSeconds(tank, millilitres) }
}

/** Right after the bath has met the tank. */
export function mixedCelsius(heat: PourHeat, pourCelsius: number, tankCelsius: number): number {
  return tankCelsius + heat.kept * (pourCelsius - tankCelsius)
}

/** What to pour so that it is `mixed` right after meeting the tank. */
export function pourForMixed(heat: PourHeat, mixed: number, tankCelsius: number): number {
  return tankCelsius + (mixed - tankCelsius) / heat.kept
}

/** At the end of a bath that began at `mixed`. */
export function endCelsius(heat: PourHeat, mixed: number, roomCelsius: number, seconds: number): number {
  return roomCelsius + (mixed - roomCelsius) * Math.exp(-seconds / heat.coolingSeconds)
}

/** What a bath must begin at so that it ends at `end` after `seconds`. */
export function beginForEnd(heat: PourHeat, end: number, roomCelsius: number, seconds: number): number {
  return roomCelsius + (end - roomCelsius) * Math.exp(seconds / heat.coolingSeconds)
}

/** What a bath must begin at so that its mean over `seconds` is `mean`. */
export function mixedForMean(heat: PourHeat, mean: number, roomCelsius: number, seconds: number): number {
  const x = seconds / heat.coolingSeconds
  const part = x > 1e-6 ? (1 - Math.exp(-x)) / x : 1
  return roomCelsius + (mean - roomCelsius) / part
}
