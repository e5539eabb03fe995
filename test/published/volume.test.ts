/** How much solution: the chemistry's floor, kits, life and capacity against their sheets; figures in `figures/volume.json`. */
import { expect, test } from 'vitest'
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { daysStillKept, filmsStillTaken, mostFilmsPerLitre, solutionLife } from '../../firmware/shelf/shelf.ts'
import { defaultTank } from '../../firmware/tank/defaultTank.ts'
import { advisedMillilitres, leastMillilitres, standingMillilitres } from '../../firmware/tank/volume.ts'
import figures from './figures/volume.json'

function rowsOf(id: string): Record<string, number | string>[] {
  const found = figures.find(one => one.id === id)
  if (found === undefined) throw new Error(`no figures for ${id}`)
  return found.rows as unknown as Record<string, number | string>[]
}

function xtol(millilitresPerFilm: number): Recipe {
  return {
    name: 'xtol',
    title: 'XTOL',
    pour: { fillSeconds: 8, drainSeconds: 10 },
    baths: [{ name: 'developer', kind: 'timed', seconds: 420, millilitresPerFilm, agitation: 'even' }],
    agitations: { even: { rpm: 45, legTurns: 2, restSeconds: 0.4, rampSeconds: 0.6, stagger: true } },
  }
}

test('KODAK J-109, page 2: 100 mL of stock a film, 200 mL at 1:1, 800 mL for four, even if the tube would turn with less', () => {
  const [stock, oneToOne, four] = rowsOf('E-volume')
  const long = { ...defaultTank, innerLengthMillimetres: 220, reels: 4, standingMillilitres: 1140 }
  expect(leastMillilitres(defaultTank, 4, xtol(stock.stock_mL_per_roll as number)).millilitres).toBe(400)
  const least = leastMillilitres(long, 4, xtol(oneToOne.working_mL_per_roll as number))
  expect(least).toEqual({ millilitres: four.working_mL, because: 'chemistry', bathIndex: 0 })
  // Turned in a tank that would wet its film with half of it.
  expect(leastMillilitres(long, 4, xtol(0)).millilitres).toBeLessThan(0.6 * (four.working_mL as number))
})

test('KODAK TI2443, one-shot E-6: lying down, two films need less than the smallest volume its sheet offers, 350 mL', () => {
  const smallest = 350
  expect(figures.find(one => one.id === 'C-E6-oneshot-mixing')?.note).toContain(
    `volumes offered start at ${smallest} mL`,
  )
  const advised = advisedMillilitres(defaultTank, 2, xtol(125))
  expect(advised).toBeLessThan(smallest)
  // What 500 mL take of the seven concentrates, in all; two films lying take so much less of each.
  const all = rowsOf('C-E6-oneshot-mixing').reduce((sum, row) => sum + (row.concentrate_mL as number), 0)
  expect(all).toBeCloseTo(432.3, 6)
  expect((all * advised) / 500).toBeLessThan(0.81 * ((all * smallest) / 500))
})

test('life of solutions: full and half-full bottles as ILFORD and KODAK print them', () => {
  const rows = rowsOf('E-life')
  const tmax = rows[2]
  expect(solutionLife('liquidDeveloper').fullDays).toBe(30 * (tmax.months_full as number))
  expect(solutionLife('liquidDeveloper').halfDays).toBe(30 * (tmax.months_half as number))
  const powder = rows[3]
  expect(solutionLife('powderStock').fullDays).toBe(30 * (powder.months_full as number))
  expect(solutionLife('powderStock').halfDays).toBe(30 * (powder.months_half as number))
  expect(solutionLife('diluted').fullDays).toBe((rows[4].hours as number) / 24)
  const fixer = rows[5]
  expect(solutionLife('fixer').fullDays).toBe(30 * (fixer.months_full as number))
  expect(solutionLife('fixer').halfDays).toBe(30 * (fixer.months_half as number))
  expect(daysStillKept(solutionLife('fixer'), 200, true)).toBe(-20)
})

test('films that a litre takes: XTOL 15 (J-109), T-MAX 48 a US gallon (J-86), ILFORD states no last one', () => {
  const bands = rowsOf('E-reuse-XTOL').map(row => [row.rolls_max, row.factor] as [number, number])
  expect(mostFilmsPerLitre({ factors: bands })).toBe(rowsOf('E-volume')[3].rolls_per_litre)
  expect(filmsStillTaken({ factors: bands }, 5, 600)).toBeCloseTo(4, 9)
  const gallon = 3.785411784
  const added = rowsOf('E-reuse-TMAX').map(
    row => [(row.rolls_max as number) / gallon, 60 * (row.add_minutes as number)] as [number, number],
  )
  expect(mostFilmsPerLitre({ addSeconds: added })).toBeCloseTo(48 / gallon, 9)
  expect(mostFilmsPerLitre({ perFilm: 0.1 })).toBeNaN()
})

test('common practice, no source: lying down, a two-reel tank needs about a third less; here more is saved, and why', () => {
  const standing = standingMillilitres(defaultTank)
  const advised = advisedMillilitres(defaultTank, 2, xtol(125))
  const saved = 1 - advised / standing
  console.log(
    `two reels, lying ${advised} mL, standing ${standing} mL: ${Math.round(100 * saved)} % saved (36 % is quoted). ` +
      'Makers fill to the axis and above, so that all turns get the same; a third of each turn for the innermost is taken ' +
      'as enough here, and the chemistry for two films.',
  )
  expect(saved).toBeGreaterThan(0.25)
  expect(saved).toBeLessThan(0.65)
})
