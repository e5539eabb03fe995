/** The lying tank's geometry against printed tables of partly filled circles; figures in `figures/geometry.json`. */
import { expect, test } from 'vitest'
import { defaultTank } from '../../firmware/tank/defaultTank.ts'
import { millilitresAtLevel } from '../../firmware/tank/geometry.ts'
import { areaBelow, widthAt } from '../../firmware/tank/segment.ts'
import figures from './figures/geometry.json'

const [hydraulic, percent] = figures.map(one => one.rows as (number | null)[][])

test('area and top width of a partly filled circle (after Chow 1959, Table 2-2): to the last printed figure', () => {
  for (const [depth, area, , width] of hydraulic as number[][]) {
    expect(Math.abs(areaBelow(0.5, depth - 0.5) - area)).toBeLessThan(1e-6)
    if (width !== null) expect(Math.abs(widthAt(0.5, depth - 0.5) - width)).toBeLessThan(1e-6)
  }
})

test('percent of volume at percent of depth of a lying cylinder (tankvolumecalc.com): within its rounding of 0.1', () => {
  const plain = {
    ...defaultTank,
    innerDiameterMillimetres: 100,
    innerLengthMillimetres: 100,
    coreDiameterMillimetres: 0,
    reelMillilitres: 0,
  }
  const full = millilitresAtLevel(plain, 50)
  for (const [depth, volume] of percent as number[][]) {
    expect(Math.abs((100 * millilitresAtLevel(plain, depth - 50)) / full - volume)).toBeLessThan(0.0505)
  }
})
