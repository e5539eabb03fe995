/** What the tank and the base checker refuse and warn of. */
import { expect, test } from 'vitest'
import { checkBase } from '../../../firmware/baseFileCheck.ts'
import { baseSpec } from '../../../firmware/baseFileFields.ts'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import type { Problem } from '../../../firmware/recipe/check.ts'
import { defaultTank } from '../../../firmware/tank/defaultTank.ts'
import { checkTank, tankSpec } from '../../../firmware/tank/tankFile.ts'

type Loose = Record<string, unknown>

const { points: _points, ...bareProbe } = defaultBase.probe

function short(problems: Problem[]): string[] {
  return problems.map(problem => `${problem.severity} ${problem.place}`)
}

function tank(parts: Loose): string[] {
  return short(checkTank({ ...defaultTank, ...parts }))
}

function base(parts: Loose): string[] {
  return short(checkBase({ ...defaultBase, ...parts }))
}

test('every measure of the tank is required, and has a range', () => {
  for (const field of tankSpec.fields) {
    const { [field.key]: _left, ...rest } = defaultTank as unknown as Loose
    expect(short(checkTank(rest)), field.key).toEqual(field.required ? [`refused ${field.key}`] : [])
    expect(tank({ [field.key]: -1 })[0], field.key).toBe(`refused ${field.key}`)
    expect(tank({ [field.key]: Number.NaN })[0], field.key).toBe(`refused ${field.key}`)
  }
})

test('every part of the base is required but the room thermistor, note and source', () => {
  const optional = baseSpec.fields.filter(field => !field.required).map(field => field.key)
  expect(optional).toEqual(['room', 'note', 'source'])
  for (const field of baseSpec.fields) {
    const { [field.key]: _left, ...rest } = defaultBase as unknown as Loose
    expect(short(checkBase(rest)), field.key).toEqual(field.required ? [`refused ${field.key}`] : [])
    expect(base({ [field.key]: false })[0], field.key).toBe(`refused ${field.key}`)
  }
})

test('core, film and tank must fit into each other', () => {
  expect(tank({ filmOuterDiameterMillimetres: 95 })).toEqual(['refused innerDiameterMillimetres'])
  expect(tank({ filmInnerDiameterMillimetres: 80 })).toEqual(['refused filmOuterDiameterMillimetres'])
  expect(tank({ coreDiameterMillimetres: 40 })).toContain('refused filmInnerDiameterMillimetres')
  expect(tank({ reels: 4, standingMillilitres: 550 })).toContain('refused reels')
})

test('the standing volume fits into the tank, and is warned of when it does not cover the film', () => {
  expect(tank({ standingMillilitres: 900 })).toEqual(['refused standingMillilitres'])
  expect(tank({ standingMillilitres: 300 })).toEqual(['warning standingMillilitres'])
})

test('a thermistor is described in exactly one way', () => {
  const beta = { ohmsAt25: 10000, kelvin: 3977 }
  expect(base({ probe: bareProbe })).toEqual(['refused probe'])
  expect(base({ probe: { ...defaultBase.probe, beta } })).toEqual(['refused probe'])
  expect(base({ probe: { ...bareProbe, beta } })).toEqual([])
  // BetaTherm 10K3, as published for the Campbell Scientific 109 probe.
  const steinhartHart = [1.129241e-3, 2.341077e-4, 8.775468e-8]
  expect(base({ probe: { ...bareProbe, steinhartHart } })).toEqual([])
  expect(base({ probe: { ...bareProbe, steinhartHart: [1.129241e-4, 2.341077e-4, 8.775468e-8] } })).toEqual([
    'refused probe.steinhartHart',
  ])
})

test('the points of a thermistor rise in temperature and fall in resistance', () => {
  const points = [
    [10, 19896.9],
    [50, 8055.96],
    [30, 9000],
  ]
  expect(base({ probe: { ...bareProbe, points } })).toEqual([
    'refused probe.points[2][0]',
    'refused probe.points[2][1]',
  ])
  expect(base({ probe: { ...bareProbe, points: points.slice(0, 2) } })).toEqual(['refused probe.points'])
})

test('the curve of a cell rises from empty to full, and the end of discharge lies below its top', () => {
  const pack = (parts: Loose): string[] => base({ pack: { ...defaultBase.pack, ...parts } })
  expect(
    pack({
      restingCellVolts: [
        [0.1, 3],
        [0.5, 2.9],
        [0.9, 4.1],
      ],
    }),
  ).toEqual([
    'refused pack.restingCellVolts[1][1]',
    'refused pack.restingCellVolts[0][0]',
    'refused pack.restingCellVolts[2][0]',
  ])
  expect(
    pack({
      emptyCellVolts: 3.9,
      restingCellVolts: [
        [0, 3],
        [1, 3.8],
      ],
    }),
  ).toEqual(['refused pack.emptyCellVolts'])
})

test('a disc that would interrupt the board more than fifty times a second is refused', () => {
  expect(base({ rotation: { edgesPerShaftTurn: 12, magnetsOnTank: 1 } })).toEqual([
    'refused rotation.edgesPerShaftTurn',
  ])
  expect(base({ rotation: { edgesPerShaftTurn: 0, magnetsOnTank: 0 } })).toEqual(['warning rotation'])
  expect(base({ drive: { ...defaultBase.drive, leastRpm: 60, mostRpm: 50 } })).toEqual(['refused drive.leastRpm'])
})
