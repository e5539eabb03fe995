/** What was learned comes back as it went; what cannot be is left out and said to be. */
import { expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { createEnergy } from '../../../firmware/energy/energy.ts'
import { exportLearned, importLearned, type LearnedEnergy } from '../../../firmware/energy/learned.ts'

function learnedBy(): LearnedEnergy {
  const learned = exportLearned(createEnergy(defaultBase))
  return { ...learned, charge: 0.6, chargeSigma: 0.05, correlation: 0, speeds: [[45, 1.5, 3]] }
}

test('what was learned is taken whole', () => {
  const energy = createEnergy(defaultBase)
  expect(importLearned(energy, learnedBy())).toBe(true)
  expect(exportLearned(energy).speeds).toEqual([[45, 1.5, 3]])
})

test('without any spread nothing is correlated', () => {
  const energy = createEnergy(defaultBase)
  energy.charge.chargeVariance = 0
  energy.charge.crossVariance = 0
  expect(exportLearned(energy).correlation).toBe(0)
})

test('a figure that cannot be is refused', () => {
  const wrong: Partial<LearnedEnergy>[] = [
    { resistanceOhms: NaN },
    { capacityCoulombs: -1 },
    { capacitySpread: 2 },
    { charge: 1.5 },
    { chargeSigma: -0.1 },
    { correlation: 3 },
    { sessionFactor: 99 },
    { sessions: NaN },
    { speeds: 7 as never },
    { speeds: [3 as never] },
    { speeds: [[45, -1, 3]] },
    { speeds: Array.from({ length: 40 }, (_, i) => [10 + i, 1, 1]) },
  ]
  for (const one of wrong) {
    expect(importLearned(createEnergy(defaultBase), { ...learnedBy(), ...one }), JSON.stringify(one)).toBe(false)
  }
})
