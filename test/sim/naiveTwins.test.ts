/**
 * The figures that everything rests on, a second time and the slow way: progress, evenness and charge of whole sessions,
 * reckoned from what the plant was like at each tenth of a second, beside what plant and firmware keep on the way.
 */
import { expect, test } from 'vitest'
import { defaultBase } from '../../firmware/defaultBase.ts'
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { findRecipe } from '../../firmware/recipe/shipped/shipped.ts'
import { defaultTank } from '../../firmware/tank/defaultTank.ts'
import { liquidLevelMillimetres } from '../../firmware/tank/geometry.ts'
import { runByPlan } from '../../sim/bench/defaults.ts'
import { type Bench, runSession } from '../../sim/bench/run.ts'
import type { BathReport } from '../../sim/bench/runReport.ts'
import { immersedHalfAngle } from '../../sim/plant/immersion.ts'
import { naiveEvenness } from './plant/evennessNaive.ts'

const DT = 0.1
const SEEDS = [3, 14, 15, 92]
const RECIPES = ['colour-negative', 'bw-negative'] as const

/** What one bath was like, a value for each tenth of a second. */
interface BathLog {
  celsius: number[]
  turnsWhenFull: number[]
}

interface SessionLog {
  baths: BathLog[]
  packCoulombs: number
  bench: Bench
  reports: BathReport[]
  agitation: { immersionCv: number; longestDrySeconds: number; exchangesPerMinute: number }[]
}

function logged(recipe: Recipe, seed: number): SessionLog {
  const baths: BathLog[] = []
  let packCoulombs = 0
  let kept: Bench | undefined
  const { baths: reports, agitation } = runSession({
    ...runByPlan({ seed, recipe, base: defaultBase, roomCelsius: 14 + (seed % 15), startCharge: 0.9 }),
    perfectProbe: { calibration: true, lag: true },
    watch: bench => {
      kept = bench
      const { plant } = bench
      const { bath, motor, pack } = plant
      packCoulombs += (motor.packAmps + plant.electronicsWatts / pack.packVolts) * DT
      if (plant.bathIndex < 0) return
      baths[plant.bathIndex] ??= { celsius: [], turnsWhenFull: [] }
      const log = baths[plant.bathIndex] as BathLog
      if (bath.phase !== 'empty') log.celsius.push(bath.bathCelsius)
      if (bath.phase === 'full') log.turnsWhenFull.push(plant.rollers.tankTurns)
    },
  })
  return { baths, packCoulombs, bench: kept as Bench, reports, agitation }
}

/** The time of a bath at a temperature, by the line through the two rows beside it: ln(seconds) over 1/T. */
function sheetSeconds(rows: [number, number][], celsius: number): number {
  let above = rows.findIndex(row => row[0] >= celsius)
  if (above < 1) above = above === 0 ? 1 : rows.length - 1
  const [[coldC, coldSeconds], [warmC, warmSeconds]] = [rows[above - 1]!, rows[above]!]
  const inverse = (c: number): number => 1 / (c + 273.15)
  const part = (inverse(celsius) - inverse(coldC)) / (inverse(warmC) - inverse(coldC))
  return Math.exp(Math.log(coldSeconds) + part * (Math.log(warmSeconds) - Math.log(coldSeconds)))
}

const SESSIONS = RECIPES.flatMap(name =>
  SEEDS.map(seed => ({ name, seed, log: logged(findRecipe(name) as Recipe, seed) })),
)

test('progress: adding up every tenth of a second gives what the film got, and what the firmware counted is near', () => {
  let compared = 0
  for (const { name, seed, log } of SESSIONS) {
    const { recipe } = log.bench.options
    recipe.baths.forEach((bath, index) => {
      const celsius = log.baths[index]?.celsius ?? []
      const inside = (c: number): boolean => c >= bath.rows![0]![0] && c <= bath.rows!.at(-1)![0]
      // Beyond the rows another slope holds, and reuse or a push another time: those have checks of their own.
      if (bath.kind !== 'developed' || bath.rows === undefined || !celsius.every(inside)) return
      let twin = 0
      for (const c of celsius) twin += DT / (sheetSeconds(bath.rows, c) * (bath.timeFactor ?? 1))
      const { trueProgress, progress } = log.reports[index] as BathReport
      const label = `${name}, seed ${seed}, ${bath.name}`
      // Either way a tenth of a second may be counted at each end.
      expect(Math.abs(trueProgress - twin) * sheetSeconds(bath.rows, celsius[0]!), label).toBeLessThan(0.25)
      expect(Math.abs(progress / twin - 1), label).toBeLessThan(0.012)
      compared++
    })
  }
  expect(compared).toBeGreaterThanOrEqual(SEEDS.length)
})

test('evenness: following 360 places in small steps gives what is kept in bins on the way', () => {
  const tank = defaultTank
  for (const { name, seed, log } of SESSIONS.filter(one => one.seed < 15)) {
    log.baths.forEach((bath, index) => {
      const first = bath.turnsWhenFull.findIndex((turns, i) => turns !== bath.turnsWhenFull[i + 1])
      const path = bath.turnsWhenFull.slice(Math.max(0, first))
      if (path.length < 300 || path.length > 3000) return
      const level = liquidLevelMillimetres(tank, log.reports[index]!.millilitres)
      const radii = [tank.filmInnerDiameterMillimetres / 2, tank.filmOuterDiameterMillimetres / 2]
      const halves = [radii[0]!, (radii[0]! + radii[1]!) / 2, radii[1]!].map(r => immersedHalfAngle(r, level))
      const twins = halves.map(half => naiveEvenness(path, DT, half, 4))
      const driest = twins[halves.indexOf(Math.min(...halves))]!
      const quick = log.agitation[index]!
      const label = `${name}, seed ${seed}, bath ${index + 1}`
      const worst = Math.max(...twins.map(twin => twin.immersionCv))
      expect(Math.abs(quick.immersionCv - worst), label).toBeLessThan(0.003 + 0.02 * worst)
      expect(Math.abs(quick.longestDrySeconds - driest.longestDrySeconds), label).toBeLessThan(0.25)
      expect(Math.abs(quick.exchangesPerMinute / driest.exchangesPerMinute - 1), label).toBeLessThan(0.02)
    })
  }
})

test('charge: counting every coulomb from the start gives what is left, and the firmware believes it within 4 points', () => {
  for (const { name, seed, log } of SESSIONS) {
    const { pack, evening } = log.bench.plant
    const twin = evening.startCharge - log.packCoulombs * pack.chargePerCoulomb
    const label = `${name}, seed ${seed}`
    expect(Math.abs(pack.charge - twin), label).toBeLessThan(0.0005)
    expect(Math.abs(log.bench.base.energy.view.charge - twin), label).toBeLessThan(0.04)
  }
})
