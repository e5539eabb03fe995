/**
 * What the observer takes for granted about heat before it has seen any: how much a bath and a tank hold, and how
 * fast they exchange it. Middles of wide ranges; the observer learns from every pour.
 *
 * Assumes a plastic tank measured with a calliper and baths that are nearly water. Nothing here fails.
 */
import type { Tank } from '../tank/tank.ts'

/**
 * Water's heat in J/(mL K) from 20 to 40 C: 4.18 J/(g K) (right to 0.1 %) times 0.9945 g/mL (Tanaka 2001 at 34 C);
 * the product is right to 0.7 % from 15 to 40 C.
 */
export const WATER_JOULES_PER_MILLILITRE_KELVIN = 4.157

/**
 * Bath to body while the tank turns. The plastic decides: half of a 2 mm wall of 0.2 W/mK in series with a liquid's
 * film of some hundred W/m2K (assumed). Reels make the inner surface 2.5 times the outer (assumed).
 */
const INNER_WATTS_PER_SQUARE_METRE_KELVIN = 95
const INNER_FOR_OUTER_AREA = 2.5

/** One sigma of ln of that: a factor of 1.5 either way. */
export const CONDUCTANCE_LN_SIGMA = 0.4

/** Standing tanks exchange this fraction of what turning ones do (assumed: free against forced convection). */
export const STANDING_FRACTION = 0.57

/** Wall to room: 8 W/m2K within 30 % (ISO 6946), a quarter more for a wall that moves through the air (assumed). */
const ROOM_WATTS_PER_SQUARE_METRE_KELVIN = 8
export const TURNING_ROOM_FACTOR = 1.25

export interface HeatModel {
  bodyJoulesPerKelvin: number
  turningWattsPerKelvin: number
  roomWattsPerKelvin: number
}

export function heatModel(tank: Tank): HeatModel {
  const diameterMetres = (tank.innerDiameterMillimetres + 4) / 1000
  const lengthMetres = (tank.innerLengthMillimetres + 4) / 1000
  const outer = Math.PI * diameterMetres * (lengthMetres + diameterMetres / 2)
  return {
    bodyJoulesPerKelvin: tank.heatJoulesPerKelvin,
    turningWattsPerKelvin: INNER_FOR_OUTER_AREA * outer * INNER_WATTS_PER_SQUARE_METRE_KELVIN,
    roomWattsPerKelvin: outer * ROOM_WATTS_PER_SQUARE_METRE_KELVIN,
  }
}
