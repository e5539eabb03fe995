/**
 * How high the liquid stands in a tank that lies on its side, and how much liquid a level means.
 *
 * Assumes a level base, flat ends, a core that runs through the whole length, and reels whose plastic or steel is spread
 * evenly over the ring between their innermost and outermost turn. The film's own volume (about 8 mL a roll: 1.65 m x
 * 35 mm x 0.14 mm) is left out: it raises the level a little, so that leaving it out is on the safe side.
 * A volume that is not a number counts as none, one above what the tank holds as a full tank: no answer is NaN unless the
 * tank itself is.
 */

import { areaBelow, widthAt } from './segment.ts'
import type { Tank } from './tank.ts'

/** Cubic millimetres in a millilitre. */
const CUBIC_MILLIMETRES = 1000
/** Newton from a bracketed middle needs 4 to 6 steps; more than this many means the tank file is nonsense. */
const MOST_STEPS = 60
/** Nobody reads a level finer than this. */
const CLOSE_ENOUGH_MILLIMETRES = 1e-6

/** Reels that displace: what the caller says, or all that fit; never more than fit. */
function reelsIn(tank: Tank, reelsInUse: number | undefined): number {
  return reelsInUse !== undefined && reelsInUse >= 0 && reelsInUse < tank.reels ? reelsInUse : tank.reels
}

/** Cubic millimetres that reels displace for each square millimetre of their ring that is immersed. */
function reelDepthMillimetres(tank: Tank, reels: number): number {
  const inner = tank.filmInnerDiameterMillimetres / 2
  const outer = tank.filmOuterDiameterMillimetres / 2
  const ring = Math.PI * (outer * outer - inner * inner)
  return ring > 0 ? (reels * tank.reelMillilitres * CUBIC_MILLIMETRES) / ring : 0
}

/**
 * How much liquid stands in the lying tank when its surface is `levelMillimetres` above the axis (negative: below it), in
 * millilitres. `reelsInUse` are the reels in the tank, with or without film; all that fit when left out.
 */
export function millilitresAtLevel(tank: Tank, levelMillimetres: number, reelsInUse?: number): number {
  const open =
    areaBelow(tank.innerDiameterMillimetres / 2, levelMillimetres) -
    areaBelow(tank.coreDiameterMillimetres / 2, levelMillimetres)
  const ring =
    areaBelow(tank.filmOuterDiameterMillimetres / 2, levelMillimetres) -
    areaBelow(tank.filmInnerDiameterMillimetres / 2, levelMillimetres)
  const cubic = open * tank.innerLengthMillimetres - ring * reelDepthMillimetres(tank, reelsIn(tank, reelsInUse))
  return cubic > 0 ? cubic / CUBIC_MILLIMETRES : 0
}

/**
 * Height of the surface above the axis of the lying tank in millimetres, negative below the axis: minus the inner radius
 * when empty, the inner radius when full. Solved by Newton's method inside a bracket; meant for once a bath, not for
 * every tick.
 */
export function liquidLevelMillimetres(tank: Tank, millilitres: number, reelsInUse?: number): number {
  const radius = tank.innerDiameterMillimetres / 2
  if (!(millilitres > 0)) return -radius
  if (millilitres >= millilitresAtLevel(tank, radius, reelsInUse)) return radius
  const depth = reelDepthMillimetres(tank, reelsIn(tank, reelsInUse))
  let low = -radius
  let high = radius
  let level = 0
  for (let step = 0; step < MOST_STEPS; step++) {
    const excess = millilitresAtLevel(tank, level, reelsInUse) - millilitres
    if (excess > 0) high = level
    else low = level
    const slope =
      ((widthAt(radius, level) - widthAt(tank.coreDiameterMillimetres / 2, level)) * tank.innerLengthMillimetres -
        (widthAt(tank.filmOuterDiameterMillimetres / 2, level) -
          widthAt(tank.filmInnerDiameterMillimetres / 2, level)) *
          depth) /
      CUBIC_MILLIMETRES
    let next = level - excess / slope
    // Where Newton leaves the bracket (the slope vanishes at the very bottom) halving it still gets there.
    if (!(next > low && next < high)) next = (low + high) / 2
    if (Math.abs(next - level) < CLOSE_ENOUGH_MILLIMETRES) return next
    level = next
  }
  return level
}
