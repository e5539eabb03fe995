import fc from 'fast-check'
import { expect, test } from 'vitest'
import { defaultTank } from '../../../firmware/tank/defaultTank.ts'
import { liquidLevelMillimetres, millilitresAtLevel } from '../../../firmware/tank/geometry.ts'
import { arcSine, areaBelow, immersedFraction } from '../../../firmware/tank/segment.ts'
import type { Tank } from '../../../firmware/tank/tank.ts'

/** The naive way: the section cut into thin layers, each as wide as the circles are there. */
function naiveMillilitres(tank: Tank, level: number, reels: number): number {
  const half = (diameter: number, y: number): number => Math.sqrt(Math.max(0, (diameter / 2) ** 2 - y * y))
  const layers = 40_000
  const radius = tank.innerDiameterMillimetres / 2
  const thick = (level + radius) / layers
  const ring = (Math.PI / 4) * (tank.filmOuterDiameterMillimetres ** 2 - tank.filmInnerDiameterMillimetres ** 2)
  const reelDepth = (reels * tank.reelMillilitres * 1000) / ring
  let cubic = 0
  for (let i = 0; i < layers; i++) {
    const y = -radius + (i + 0.5) * thick
    const open = 2 * (half(tank.innerDiameterMillimetres, y) - half(tank.coreDiameterMillimetres, y))
    const reel = 2 * (half(tank.filmOuterDiameterMillimetres, y) - half(tank.filmInnerDiameterMillimetres, y))
    cubic += (open * tank.innerLengthMillimetres - reel * reelDepth) * thick
  }
  return cubic / 1000
}

test('the volume under a level is what thin layers add up to, core and reels taken off', () => {
  for (const level of [-45, -30, -20, -12, -3, 0, 8, 25, 46]) {
    const exact = millilitresAtLevel(defaultTank, level, 2)
    expect(Math.abs(exact - naiveMillilitres(defaultTank, level, 2))).toBeLessThan(0.01)
  }
})

test('a level found from a volume gives that volume back, whatever the tank', () => {
  const tanks = fc.record({
    diameter: fc.double({ min: 40, max: 200, noNaN: true }),
    length: fc.double({ min: 40, max: 400, noNaN: true }),
    core: fc.double({ min: 0, max: 0.3, noNaN: true }),
    reel: fc.double({ min: 0, max: 20, noNaN: true }),
    filled: fc.double({ min: 0.001, max: 0.999, noNaN: true }),
  })
  fc.assert(
    fc.property(tanks, one => {
      const tank: Tank = {
        ...defaultTank,
        innerDiameterMillimetres: one.diameter,
        innerLengthMillimetres: one.length,
        coreDiameterMillimetres: one.core * one.diameter,
        filmInnerDiameterMillimetres: 0.4 * one.diameter,
        filmOuterDiameterMillimetres: 0.85 * one.diameter,
        reelMillilitres: one.reel,
      }
      const millilitres = one.filled * millilitresAtLevel(tank, one.diameter)
      const level = liquidLevelMillimetres(tank, millilitres)
      expect(Math.abs(level)).toBeLessThanOrEqual(one.diameter / 2)
      expect(Math.abs(millilitresAtLevel(tank, level) - millilitres)).toBeLessThan(1e-3)
    }),
  )
})

test('more liquid never stands lower, and fewer reels never stand higher', () => {
  let before = -Infinity
  for (let millilitres = 0; millilitres <= 700; millilitres += 7) {
    const level = liquidLevelMillimetres(defaultTank, millilitres)
    expect(level).toBeGreaterThanOrEqual(before)
    expect(liquidLevelMillimetres(defaultTank, millilitres, 1)).toBeLessThanOrEqual(level + 1e-9)
    before = level
  }
})

test('no volume, too much volume and rubbish all give a level inside the tank', () => {
  const radius = defaultTank.innerDiameterMillimetres / 2
  expect(liquidLevelMillimetres(defaultTank, 0)).toBe(-radius)
  expect(liquidLevelMillimetres(defaultTank, -5)).toBe(-radius)
  expect(liquidLevelMillimetres(defaultTank, NaN)).toBe(-radius)
  expect(liquidLevelMillimetres(defaultTank, 1e9)).toBe(radius)
  expect(liquidLevelMillimetres(defaultTank, Infinity)).toBe(radius)
  expect(liquidLevelMillimetres(defaultTank, 300, NaN)).toBe(liquidLevelMillimetres(defaultTank, 300))
  expect(millilitresAtLevel(defaultTank, NaN)).toBe(0)
})

test('the arc sine needs no arc tangent beyond 0.42, where small boards lose it', () => {
  for (let x = -1; x <= 1.0001; x += 0.01) {
    const bounded = Math.min(1, x)
    expect(arcSine(bounded)).toBeCloseTo(Math.asin(bounded), 13)
  }
})

test('at the axis every turn of film is in the bath for half of each turn', () => {
  for (const radius of [19, 28, 38]) expect(immersedFraction(radius, 0)).toBeCloseTo(0.5, 12)
  expect(immersedFraction(19, -19)).toBe(0)
  expect(immersedFraction(19, 25)).toBe(1)
  expect(areaBelow(10, NaN)).toBe(0)
})
