/**
 * What a simulated tank is really like: the heat that its body takes, how fast it takes it, how fast it loses it to the
 * room, and how its pour and its film behave. Drawn once for a tank; the firmware never sees it. Ranges cite what they
 * rest on; "assumed" says that nothing was found.
 */
import type { Tank } from '../../firmware/tank/tank.ts'
import { between, gaussian, type Random } from './random.ts'

export interface BathTruth {
  /** Tank wall, core, reels and film: what follows the bath within a minute. */
  bodyJoulesPerKelvin: number
  /** The rest of the wall, its lid and flanges, between body and room. */
  shellJoulesPerKelvin: number
  shellWattsPerKelvin: number
  /** Bath to body with all of the body wetted, while the tank turns and while it stands. */
  turningWattsPerKelvin: number
  standingWattsPerKelvin: number
  /** Shell to room, while the tank turns and while it stands. */
  roomTurningWattsPerKelvin: number
  roomStandingWattsPerKelvin: number
  /** The wetted fraction of the body is the filled fraction to this power. */
  wettedExponent: number
  /** What stays in the tank after the drain. */
  residueMillilitres: number
  /** The film of liquid that clings to the emulsion is used up with this time constant. */
  exhaustSeconds: number
}

/**
 * Inside surface, reels and film for one of outside: reels and film have more surface than the wall, but the film
 * itself holds hardly any heat (assumed).
 */
const INNER_FOR_OUTER_AREA = 2.5

/** Outer surface of the tank in square metres, its wall taken as 2 mm thicker than what the bath sees (assumed). */
export function tankOuterSquareMetres(tank: Tank): number {
  const diameterMetres = (tank.innerDiameterMillimetres + 4) / 1000
  const lengthMetres = (tank.innerLengthMillimetres + 4) / 1000
  return Math.PI * diameterMetres * (lengthMetres + diameterMetres / 2)
}

/**
 * Draws a tank. `spread` scales every spread: 1 as documented here, 0 for the middle of every range.
 *
 * - Heat of the body: the tank file's, off by its own `heatSpread` (one sigma).
 * - Bath to body: 50 to 160 W/m2K while turning. Forced convection in liquids gives 50 to 20,000 W/m2K (Cengel's table),
 *   so the plastic itself decides: half of a 2 mm wall of 0.2 W/mK passes 200 W/m2K, reels and film differ (assumed).
 *   Standing, 0.35 to 0.8 of it: free convection in liquids starts at 50 W/m2K in the same table.
 * - Shell: 10 to 40 % of the body's heat again, which the body warms through 0.8 to 3 W/K: lid, flanges and thick
 *   corners (assumed). The firmware's model has no such part.
 * - Shell to room: 8 W/m2K within 30 %, the combined surface coefficient of ISO 6946 (5.9 to 10 W/m2K by direction);
 *   closed cylinders of 0.3 to 1 litre then have time constants of 105 to 156 minutes. Turning adds 0 to 60 %: the
 *   surface moves at 0.2 m/s through the room's air, between free (2 to 25 W/m2K) and forced convection (assumed).
 * - Wetted fraction: filled fraction to the power 0.6 to 1.2 (assumed).
 * - Residue: the tank file's within 30 %; what clings is used up in 15 to 60 s (assumed: a layer of a tenth of a
 *   millimetre against hundreds of millilitres).
 */
export function drawBathTruth(random: Random, tank: Tank, spread: number): BathTruth {
  const outer = tankOuterSquareMetres(tank)
  const heat = Math.exp(spread * tank.heatSpread * gaussian(random))
  const within = (low: number, high: number): number => {
    const middle = (low + high) / 2
    return middle + spread * (between(random, low, high) - middle)
  }
  const turning = INNER_FOR_OUTER_AREA * outer * within(50, 160)
  const room = outer * within(5.9, 10.4)
  const bodyJoulesPerKelvin = tank.heatJoulesPerKelvin * heat
  return {
    bodyJoulesPerKelvin,
    shellJoulesPerKelvin: bodyJoulesPerKelvin * within(0.1, 0.4),
    shellWattsPerKelvin: within(0.8, 3),
    turningWattsPerKelvin: turning,
    standingWattsPerKelvin: turning * within(0.35, 0.8),
    roomTurningWattsPerKelvin: room * within(1, 1.6),
    roomStandingWattsPerKelvin: room,
    wettedExponent: within(0.6, 1.2),
    residueMillilitres: tank.residueMillilitres * within(0.7, 1.3),
    exhaustSeconds: within(15, 60),
  }
}
