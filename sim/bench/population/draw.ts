/**
 * One evening of a population: from a distribution and seeds to what the bench runs. Each part is drawn with the seed of
 * its input, so that one input can be exchanged and all others kept.
 *
 * Assumes checked files. Nothing here fails: what a distribution asks for beyond what the tank holds gets the nearest.
 */
import { processCelsius } from '../../../firmware/energy/duration.ts'
import type { Bath, Recipe } from '../../../firmware/recipe/recipe.ts'
import { advisedMillilitres, mostLyingMillilitres } from '../../../firmware/tank/volume.ts'
import { drawBathTruth } from '../../plant/bathTruth.ts'
import { type Evening, STREAM } from '../../plant/evening.ts'
import { drawPackTruth } from '../../plant/pack.ts'
import { drawProbeTruth } from '../../plant/probe.ts'
import { createRandom, uniform } from '../../plant/random.ts'
import type { Loadout } from '../options.ts'
import { bestCelsius, planBaths } from '../planBaths.ts'
import { pourHeat } from '../pourHeat.ts'
import type { RunOptions } from '../run.ts'
import type { Distribution } from './distribution.ts'
import { BATH_STREAM_STEP, QUANTITIES, type QuantityName, type SeedOf } from './inputs.ts'
import { drawValue, isFixed, type Spread } from './spread.ts'

export interface PopulationSetup extends Loadout {
  distribution: Distribution
  /** Leave out what comes after the first developer, which cannot change its error. */
  onlyDeveloper: boolean
}

/** Of a pack at the end of its life: makers' usual end is 80 % of the capacity; twice the resistance. Both from memory. */
const OLD_CAPACITY_LOST = 0.2
const OLD_RESISTANCE_ADDED = 1
/** A probe's lag, whatever its file says of the spread: as the plant keeps it. */
const LAG_SECONDS: [number, number] = [3, 15]

export function drawRun(setup: PopulationSetup, seedOf: SeedOf): RunOptions {
  const { distribution, tank, base } = setup
  const value = (key: SpreadName): number => drawValue(distribution[key], streamOf(key, seedOf))
  const happens = (key: ShareName): boolean => uniform(streamOf(key, seedOf)) < distribution[key]
  const developer = firstDeveloper(setup.recipe)
  const from = happens('withoutPrewet') ? developer : 0
  const recipe = cut(setup.recipe, from, setup.onlyDeveloper ? developer + 1 : setup.recipe.baths.length)
  const roomCelsius = value('roomCelsius')
  const filmsInTank = Math.max(1, Math.min(tank.reels, Math.ceil(value('reelsLoaded') * tank.reels)))
  const filmsThrough = Math.round(value('filmsThrough'))
  const least = advisedMillilitres(tank, filmsInTank, setup.recipe)
  const most = Math.max(least, mostLyingMillilitres(tank))
  const millilitres = least + (most - least) * value('volumeFraction')
  const aims = happens('pourByPlan')
    ? planBaths(recipe, pourHeat(tank, millilitres), roomCelsius, filmsInTank, filmsThrough).map(
        bath => bath.aimPourCelsius,
      )
    : sheetCelsius(recipe)
  // Baths are counted from the developer, so that its pour is the same with a prewet and without.
  const off = recipe.baths.map((_, bath) =>
    drawValue(distribution.pourOffCelsius, streamOf('pourOffCelsius', seedOf, from + bath - developer)),
  )
  const jug = recipe.baths.map((_, bath) =>
    drawValue(distribution.jugError, streamOf('jugError', seedOf, from + bath - developer)),
  )
  const poured = aims.map((celsius, bath) => Math.min(60, Math.max(0, celsius + (off[bath] as number))))
  const truth = partsOf(setup, seedOf, roomCelsius)
  return {
    recipe,
    tank,
    base,
    seed: seedOf('machine'),
    filmsInTank,
    filmsThrough,
    roomCelsius,
    millilitres: recipe.baths.map(() => millilitres),
    pourCelsius: aims,
    startCharge: value('startCharge'),
    perfectProbe: { calibration: isExact(distribution.probeCalibration), lag: isExact(distribution.probeLag) },
    evening: drawn => ({
      ...drawn,
      ...truth,
      pourCelsius: poured,
      millilitres: jug.map(error => millilitres * (1 + error)),
    }),
  }
}

type ShareName = 'withoutPrewet' | 'pourByPlan'
type SpreadName = Exclude<QuantityName, ShareName>

function streamOf(key: QuantityName, seedOf: SeedOf, bath = 0) {
  const { input, stream } = QUANTITIES[key]
  return createRandom(seedOf(input), stream + BATH_STREAM_STEP * bath)
}

/** What is the same every evening, and right, the base is told that it knows. */
function isExact(spread: Spread): boolean {
  return isFixed(spread) && spread.is === 0
}

/** Probe, tank, pack and person, each from the seed of its input. */
function partsOf(setup: PopulationSetup, seedOf: SeedOf, roomCelsius: number): Partial<Evening> {
  const { distribution, tank, base } = setup
  const value = (key: SpreadName): number => drawValue(distribution[key], streamOf(key, seedOf))
  const heat = tank.heatJoulesPerKelvin * Math.exp(tank.heatSpread * value('tankHeat'))
  const flow = drawBathTruth(createRandom(seedOf('heatFlow'), STREAM.bath), tank, 1)
  const shellFraction = flow.shellJoulesPerKelvin / flow.bodyJoulesPerKelvin
  const lag = base.probe.lagSeconds * Math.exp(base.probe.lagSpread * value('probeLag'))
  const pack = drawPackTruth(createRandom(seedOf('pack'), STREAM.pack), base, roomCelsius)
  const age = value('packAge')
  const aged = 1 + OLD_RESISTANCE_ADDED * age
  return {
    bath: { ...flow, bodyJoulesPerKelvin: heat, shellJoulesPerKelvin: shellFraction * heat },
    probe: {
      ...drawProbeTruth(createRandom(seedOf('mounting'), STREAM.probe), base.probe, 0, 0),
      lagSeconds: lag === base.probe.lagSeconds ? lag : Math.min(LAG_SECONDS[1], Math.max(LAG_SECONDS[0], lag)),
      errorCelsius: base.probe.calibrationSigmaCelsius * value('probeCalibration'),
    },
    pack: {
      ...pack,
      capacityCoulombs: pack.capacityCoulombs * (1 - OLD_CAPACITY_LOST * age),
      resistanceOhms: pack.resistanceOhms * aged,
      quickOhms: pack.quickOhms * aged,
      slowOhms: pack.slowOhms * aged,
    },
    handsSeed: seedOf('hands'),
    habits: {
      reactionSeconds: value('reactionSeconds'),
      reactionSigmaSeconds: value('reactionSigmaSeconds'),
      handSpread: value('handSpread'),
      changeSeconds: value('changeSeconds'),
      pressSigmaSeconds: value('pressSigmaSeconds'),
    },
  }
}

/** The first developed bath; the first of all where there is none. */
export function firstDeveloper(recipe: Recipe): number {
  return Math.max(
    0,
    recipe.baths.findIndex(bath => bath.kind === 'developed'),
  )
}

function cut(recipe: Recipe, from: number, to: number): Recipe {
  return from === 0 && to === recipe.baths.length ? recipe : { ...recipe, baths: recipe.baths.slice(from, to) }
}

/** What the sheet asks of each bath: the process temperature, or the nearest to it that the bath may have. */
function sheetCelsius(recipe: Recipe): number[] {
  const process = recipe.baths.map(processCelsius).find(celsius => !isNaN(celsius)) ?? 20
  return recipe.baths.map((bath: Bath) => {
    const own = processCelsius(bath)
    const range = bestCelsius(bath)
    if (!isNaN(own)) return own
    return range === null ? process : Math.min(range[1], Math.max(range[0], process))
  })
}
