/**
 * The plan of a session, before anything is mixed: how much solution, how warm to pour it, how long it all takes, whether
 * the pack lasts, and whether the solutions are still good.
 *
 * Assumes checked files. Options that are left out or not numbers get the defaults stated beside them; a plan is always
 * made, and what is doubtful about it stands among its cautions.
 */
import type { BaseFile } from '../../firmware/baseFile.ts'
import { assumeCharge, budgetSession, HANDLING_SECONDS, sessionsLeft } from '../../firmware/energy/budget.ts'
import { expectedSeconds, processCelsius } from '../../firmware/energy/duration.ts'
import { createEnergy } from '../../firmware/energy/energy.ts'
import type { Bath, Recipe } from '../../firmware/recipe/recipe.ts'
import {
  daysStillKept,
  filmsPerLitre,
  filmsStillTaken,
  type SolutionKind,
  solutionLife,
} from '../../firmware/shelf/shelf.ts'
import type { Tank } from '../../firmware/tank/tank.ts'
import {
  advisedMillilitres,
  chemistryMillilitres,
  innermostImmersedFraction,
  leastMillilitres,
  mostLyingMillilitres,
  standingMillilitres,
  wettingMillilitres,
} from '../../firmware/tank/volume.ts'
import { endCelsius, mixedForMean, type PourHeat, pourForMixed, pourHeat } from './pourHeat.ts'

/** Mixing nothing, but setting up, the first bottle, closing the tank: before first contact (assumed). */
const SETTING_UP_SECONDS = 60
/** Hotter than this nobody pours, and plastic reels dislike it (assumed). */
const HOTTEST_POUR_CELSIUS = 55
/** A bottle that stood in the room is at the room's temperature, or within this of it. */
const ROOM_WARM_CELSIUS = 1
/** How far from its one temperature a bath with a coefficient is planned, where it names no range (assumed). */
const COEFFICIENT_REACH = 2
const USUAL_ROOM_CELSIUS = 20

/** A solution that is already mixed. */
export interface PlannedSolution {
  /** Name of a bath of the recipe. */
  bath: string
  /** Days since it was mixed, and how much of it there is: 1000 mL when left out. */
  mixedDays?: number
  millilitres?: number
  /** Films that already went through it: the plan's `filmsThrough` when left out. */
  filmsThrough?: number
  /** Its bottle is kept full, not half empty: false when left out, the cautious side. */
  full?: boolean
  kind?: SolutionKind
}

export interface PlanOptions {
  /** Films in the tank this time: one on each reel in use when left out. */
  films?: number
  /** Reels in the tank: all that fit when left out. */
  reelsInUse?: number
  /** The room, the tank and the air between: 20 C when left out. */
  roomCelsius?: number
  /** 0 to 1: full when left out. */
  startCharge?: number
  /** Films already through one litre of the developed baths' solutions: 0 when left out. */
  filmsThrough?: number
  solutions?: PlannedSolution[]
}

/** How one bath is to be poured. Temperatures of the bottle; NaN never: `null` where the recipe names no range. */
export interface PlannedBath {
  name: string
  kind: string
  seconds: number
  /** What the chemistry of this bath needs at least. */
  leastMillilitres: number
  /** Of tank, reels and film when this bath comes. */
  tankCelsius: number
  pourCelsius: [number, number] | null
  aimPourCelsius: number
}

export interface PlannedShelf {
  bath: string
  /** `null` where the sheet states no end, or the age is not known. */
  filmsLeft: number | null
  daysLeft: number | null
  source: string
}

export interface Plan {
  recipe: string
  title: string
  films: number
  roomCelsius: number
  leastMillilitres: number
  leastBecause: 'film' | 'chemistry'
  /** The bath whose chemistry asks for it; `null` when it is the film. */
  leastBath: string | null
  advisedMillilitres: number
  standingMillilitres: number
  /** 1 - advised / standing, never below 0; and the same with the least volume. */
  savedFraction: number
  savedAtLeastFraction: number
  /** Part of each turn that the innermost turn of film is in the advised volume. */
  innermostImmersedFraction: number
  /** From setting up to the end of the last drain, handling between baths counted in. */
  seconds: number
  /** Fractions of the full pack: what the session takes, and what is left after it. */
  chargeNeeded: number
  chargeLeft: number
  /** Sessions like this one that the pack gives after this one; and from full to empty. */
  sessionsLeft: number
  sessionsPerCharge: number
  neededJoules: number
  /** What to pour for the first developed bath, [low, high] at the bottle, as the tank is when it comes; and where to aim. */
  pourCelsius: [number, number]
  aimPourCelsius: number
  baths: PlannedBath[]
  shelf: PlannedShelf[]
  cautions: string[]
}

function usable(value: number | undefined, fallback: number, least: number, most: number): number {
  return value !== undefined && value >= least && value <= most ? value : fallback
}

/** The range in which a bath works: what its recipe calls usable, else what its sheet covers; `null` where nothing is said. */
export function bestCelsius(bath: Bath): [number, number] | null {
  if (bath.usableCelsius !== undefined) return bath.usableCelsius
  const rows = bath.rows
  if (rows !== undefined && rows.length > 0) return [rows[0][0], rows[rows.length - 1][0]]
  return bath.atCelsius === undefined ? null : [bath.atCelsius - COEFFICIENT_REACH, bath.atCelsius + COEFFICIENT_REACH]
}

/** Where to aim: the process temperature of a developed bath, the nearest usable one of any other. */
function aimCelsius(bath: Bath, process: number): number {
  const own = processCelsius(bath)
  if (!isNaN(own)) return own
  const range = bestCelsius(bath)
  return range === null ? process : Math.min(range[1], Math.max(range[0], process))
}

function tenth(value: number): number {
  return Math.round(value * 10) / 10
}

/** Every bath in turn, each poured where it should be: what it finds, what to pour, what it leaves. */
function planBaths(recipe: Recipe, heat: PourHeat, roomCelsius: number, films: number, through: number): PlannedBath[] {
  let process = roomCelsius
  for (let i = recipe.baths.length - 1; i >= 0; i--) {
    const own = processCelsius(recipe.baths[i])
    if (!isNaN(own)) process = own
  }
  let tankCelsius = roomCelsius
  return recipe.baths.map((bath, index) => {
    const aim = aimCelsius(bath, process)
    const seconds = expectedSeconds(bath, aim, bath.kind === 'developed' ? through : 0, recipe.pour.fillSeconds)
    const range = bestCelsius(bath)
    const wanted = mixedForMean(heat, aim, roomCelsius, seconds)
    const mixed = range === null ? wanted : Math.min(wanted, range[1])
    let pour: [number, number] | null = null
    if (range !== null) {
      // Warmest right after mixing, coldest on the average of the bath: neither may leave the range.
      const low = pourForMixed(heat, mixedForMean(heat, range[0], roomCelsius, seconds), tankCelsius)
      const high = pourForMixed(heat, range[1], tankCelsius)
      pour = [tenth(Math.min(low, high)), tenth(Math.max(low, high))]
    }
    const planned: PlannedBath = {
      name: bath.name,
      kind: bath.kind,
      seconds: tenth(seconds),
      leastMillilitres: chemistryMillilitres(recipe, index, films),
      tankCelsius: tenth(tankCelsius),
      pourCelsius: pour,
      aimPourCelsius: tenth(pourForMixed(heat, mixed, tankCelsius)),
    }
    tankCelsius = endCelsius(heat, mixed, roomCelsius, seconds + HANDLING_SECONDS)
    return planned
  })
}

function guessKind(bath: Bath): SolutionKind {
  if (bath.kind !== 'developed') return 'fixer'
  return processCelsius(bath) > 30 ? 'colourDeveloper' : 'powderStock'
}

function planShelf(recipe: Recipe, options: PlanOptions, films: number, cautions: string[]): PlannedShelf[] {
  const shelf: PlannedShelf[] = []
  for (const solution of options.solutions ?? []) {
    const bath = recipe.baths.find(one => one.name === solution.bath)
    if (bath === undefined) {
      cautions.push(`No bath of this recipe is called "${solution.bath}": its solution was left out.`)
      continue
    }
    const millilitres = usable(solution.millilitres, 1000, 1, 1e6)
    const through = usable(
      solution.filmsThrough,
      usable(options.filmsThrough, 0, 0, 1e6) * (millilitres / 1000),
      0,
      1e6,
    )
    const life = solutionLife(solution.kind ?? guessKind(bath))
    const filmsLeft = filmsStillTaken(bath.reuse, through, millilitres)
    const daysLeft =
      solution.mixedDays === undefined ? NaN : daysStillKept(life, solution.mixedDays, solution.full === true)
    if (filmsLeft < films)
      cautions.push(`${bath.name}: takes ${Math.floor(filmsLeft)} more films, not ${films}. Mix anew.`)
    if (daysLeft < 0)
      cautions.push(`${bath.name}: ${Math.ceil(-daysLeft)} days over its time (${life.source}). Mix anew.`)
    shelf.push({
      bath: bath.name,
      filmsLeft: isNaN(filmsLeft) ? null : filmsLeft,
      daysLeft: isNaN(daysLeft) ? null : daysLeft,
      source: life.source,
    })
  }
  return shelf
}

/** Everything that can be said before anything is mixed. */
export function planSession(recipe: Recipe, tank: Tank, base: BaseFile, options: PlanOptions): Plan {
  const cautions: string[] = []
  const reels = usable(options.reelsInUse, tank.reels, 1, tank.reels)
  const films = usable(options.films, reels, 1, 100)
  const roomCelsius = usable(options.roomCelsius, USUAL_ROOM_CELSIUS, -20, 45)
  const startCharge = usable(options.startCharge, 1, 0, 1)
  const through = filmsPerLitre(usable(options.filmsThrough, 0, 0, 1e6), 1000)
  const least = leastMillilitres(tank, films, recipe, reels)
  const advised = advisedMillilitres(tank, films, recipe, reels)
  const standing = standingMillilitres(tank, reels)
  const baths = planBaths(recipe, pourHeat(tank, advised), roomCelsius, films, through)
  const pack = planPack(recipe, base, roomCelsius, startCharge)
  const shelf = planShelf(recipe, options, films, cautions)
  const developed = baths.find(one => one.kind === 'developed') ?? baths[0]
  const aim = developed.aimPourCelsius
  const plan: Plan = {
    recipe: recipe.name,
    title: recipe.title,
    films,
    roomCelsius,
    leastMillilitres: Math.ceil(least.millilitres - 1e-9),
    leastBecause: least.because,
    leastBath: least.bathIndex < 0 ? null : recipe.baths[least.bathIndex].name,
    advisedMillilitres: advised,
    standingMillilitres: standing,
    savedFraction: Math.max(0, 1 - advised / standing),
    savedAtLeastFraction: Math.max(0, 1 - least.millilitres / standing),
    innermostImmersedFraction: innermostImmersedFraction(tank, advised, reels),
    seconds: Math.round(
      baths.reduce((sum, bath) => sum + bath.seconds, SETTING_UP_SECONDS + HANDLING_SECONDS * (baths.length - 1)),
    ),
    ...pack,
    pourCelsius: developed.pourCelsius ?? [aim, aim],
    aimPourCelsius: aim,
    baths,
    shelf,
    cautions,
  }
  addCautions(plan, tank, reels)
  return plan
}

type PlannedPack = Pick<Plan, 'chargeNeeded' | 'chargeLeft' | 'sessionsLeft' | 'sessionsPerCharge' | 'neededJoules'>

/** By the same budget that the base makes, on the base file's figures: a base that has learned knows better. */
function planPack(recipe: Recipe, base: BaseFile, roomCelsius: number, startCharge: number): PlannedPack {
  const energy = createEnergy(base)
  assumeCharge(energy, roomCelsius, 1)
  const sessionsPerCharge = sessionsLeft(energy, recipe)
  assumeCharge(energy, roomCelsius, startCharge)
  budgetSession(energy, recipe, undefined, 0, NaN)
  const neededJoules = energy.view.neededJoules
  const sessions = sessionsLeft(energy, recipe)
  const chargeNeeded = sessionsPerCharge > 0 ? 1 / sessionsPerCharge : 1
  return {
    chargeNeeded,
    chargeLeft: Math.max(0, startCharge - chargeNeeded),
    sessionsLeft: Math.max(0, sessions - 1),
    sessionsPerCharge,
    neededJoules,
  }
}

function addCautions(plan: Plan, tank: Tank, reels: number): void {
  const cautions = plan.cautions
  if (plan.leastMillilitres > mostLyingMillilitres(tank, reels)) {
    cautions.push(
      'The least volume stands above the middle of the lid: develop fewer films at a time, or trust the seal.',
    )
  }
  if (plan.advisedMillilitres >= plan.standingMillilitres) {
    cautions.push('Lying down saves nothing here: the chemistry needs as much as the standing tank takes.')
  }
  if (plan.films > reels) cautions.push(`${plan.films} films on ${reels} reels: more than one film on a reel.`)
  if (wettingMillilitres(tank, reels) > plan.standingMillilitres) {
    cautions.push('The tank file says that standing takes less than wets the film lying: check its measures.')
  }
  if (plan.sessionsLeft <= 0) cautions.push('The pack may not last: charge it first.')
  if (plan.aimPourCelsius > HOTTEST_POUR_CELSIUS) {
    cautions.push(`To be warm enough it would have to be poured at ${plan.aimPourCelsius} C: prewarm the tank instead.`)
  }
  if (Math.abs(plan.baths[0].aimPourCelsius - plan.roomCelsius) > ROOM_WARM_CELSIUS) {
    cautions.push(
      'Film, tank and reels take heat from the first bath: have a thermometer in the bottle, not only on it.',
    )
  }
}

export { planText } from './planText.ts'
