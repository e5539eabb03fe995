/**
 * The area of a circle below a level: the one piece of geometry that a lying tank, its core and its reels share.
 *
 * Assumes a level line; radii and heights in millimetres, areas in square millimetres. Anything that is not a number
 * counts as an empty circle (area 0), so that nothing downstream turns into NaN.
 */

/**
 * asin(x) for |x| <= 1 by quarter angles. Small builds of the board's interpreter lose up to 0.0125 rad in `atan` near 1,
 * and with it in `asin` and `acos`; below 0.42, where a quarter angle always is, they are right to 1e-14.
 */
export function arcSine(x: number): number {
  if (x >= 1) return Math.PI / 2
  if (x <= -1) return -Math.PI / 2
  const half = x / (1 + Math.sqrt(1 - x * x))
  return 4 * Math.atan(half / (1 + Math.sqrt(1 + half * half)))
}

/**
 * Area of a circle of this radius that lies below `levelMillimetres`, the level being measured from the centre, upwards.
 * Circular segment: r^2 (pi/2 + asin(h/r)) + h sqrt(r^2 - h^2) (any handbook; checked against Chow 1959, Table 2-2).
 */
export function areaBelow(radiusMillimetres: number, levelMillimetres: number): number {
  if (!(radiusMillimetres > 0) || !(levelMillimetres > -radiusMillimetres)) return 0
  const square = radiusMillimetres * radiusMillimetres
  if (levelMillimetres >= radiusMillimetres) return Math.PI * square
  return (
    square * (Math.PI / 2 + arcSine(levelMillimetres / radiusMillimetres)) +
    levelMillimetres * Math.sqrt(square - levelMillimetres * levelMillimetres)
  )
}

/** Width of the surface where the level cuts the circle, in millimetres: the slope of `areaBelow`. */
export function widthAt(radiusMillimetres: number, levelMillimetres: number): number {
  const square = radiusMillimetres * radiusMillimetres - levelMillimetres * levelMillimetres
  return square > 0 ? 2 * Math.sqrt(square) : 0
}

/**
 * Part of each turn that a point at this radius spends below the level, 0 to 1: how long film there is in the bath.
 * A point on the axis (radius 0) is either always or never in it.
 */
export function immersedFraction(radiusMillimetres: number, levelMillimetres: number): number {
  if (!(levelMillimetres > -radiusMillimetres)) return 0
  if (levelMillimetres >= radiusMillimetres) return 1
  return 0.5 + arcSine(levelMillimetres / radiusMillimetres) / Math.PI
}
