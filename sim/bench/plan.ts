/**
 * The plan of a session, before anything is mixed: how much solution, how warm to pour it, how long it all takes, whether
 * the pack lasts, and whether the solutions are still good.
 *
 * Assumes checked files. Options that are left out or not numbers get the defaults stated beside them; a plan is always
 * made, and what is doubtful about it stands among its cautions.
 */
import type { BaseFile } from '../../firmware/baseFile.ts'
import { assumeCharge, budgetSession, HANDLING_SECONDS, sessionsLeft } from '../../firmware/energy/budget.ts'
import { processCelsius } from '../../firmware/energy/duration.ts'
import { createEnergy } from '../../firmware/energy/energy.ts'
import type { Bath, Recipe } from '../../firmware/recipe/recipe.ts'
import { primarySeconds, reuseExhausted, reuseFactor } from '../../firmware/recipe/reuse.ts'
import {
  daysStillKept,
  filmsPerLitre,
  filmsStillTaken,
  mostFilmsPerLitre,
  type SolutionKind,
  solutionLife,
} from '../../firmware/shelf/shelf.ts'
import type { Tank } from '../../firmware/tank/tank.ts'
import {
  advisedMillilitres,
  innermostImmersedFraction,
  leastMillilitres,
  mostLyingMillilitres,
  standingMillilitres,
  wettingMillilitres,
} from '../../firmware/tank/volume.ts'
import { planBaths } from './planBaths.ts'
import type { Plan, PlannedShelf, PlanOptions } from './planShapes.ts'
import { crowdedReels, filmsSaid, liesLow, mostFilmsLying } from './planVolume.ts'
import { pourHeat } from './pourHeat.ts'
import { recordWear } from './recordWear.ts'

export type { Plan, PlannedBath, PlannedShelf, PlannedSolution, PlanOptions } from './planShapes.ts'
export { planText } from './planText.ts'

/** Mixing nothing, but setting up, the first bottle, closing the tank: before first contact (assumed). */
const SETTING_UP_SECONDS = 60
/** Hotter than this nobody pours, and plastic reels dislike it (assumed). */
const HOTTEST_POUR_CELSIUS = 55
/** A developer that reuse lengthens by more than this, and whose sheet states no last film, is doubtful (assumed). */
const MOST_STRETCH = 1.2
/** A bottle that stood in the room is at the room's temperature, or within this of it. */
const ROOM_WARM_CELSIUS = 1
const USUAL_ROOM_CELSIUS = 20

function usable(value: number | undefined, fallback: number, least: number, most: number): number {
  return value !== undefined && value >= least && value <= most ? value : fallback
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
  const mostLying = Math.floor(mostLyingMillilitres(tank, reels))
  const graduated = advisedMillilitres(tank, films, recipe, reels)
  // Rounding up to what a graduate shows must not lift it over the axis where the least does not stand there already.
  const advised = liesLow(recipe, tank, reels, films) ? Math.min(graduated, mostLying) : graduated
  const standing = standingMillilitres(tank, reels)
  const baths = planBaths(recipe, pourHeat(tank, advised), roomCelsius, films, through)
  const pack = planPack(recipe, base, roomCelsius, startCharge)
  const shelf = planShelf(recipe, options, films, cautions)
  const developed = baths.find(one => one.kind === 'developed') ?? baths[0]
  const aim = developed.aimPourCelsius
  const seconds = Math.round(
    baths.reduce((sum, bath) => sum + bath.seconds, SETTING_UP_SECONDS + HANDLING_SECONDS * (baths.length - 1)),
  )
  const wear = recordWear(seconds, baths.length)
  const plan: Plan = {
    recipe: recipe.name,
    title: recipe.title,
    films,
    roomCelsius,
    leastMillilitres: Math.ceil(least.millilitres - 1e-9),
    leastBecause: least.because,
    leastBath: least.bathIndex < 0 ? null : recipe.baths[least.bathIndex].name,
    advisedMillilitres: advised,
    mostLyingMillilitres: mostLying,
    standingMillilitres: standing,
    savedFraction: Math.max(0, 1 - advised / standing),
    savedAtLeastFraction: Math.max(0, 1 - least.millilitres / standing),
    innermostImmersedFraction: innermostImmersedFraction(tank, advised, reels),
    seconds,
    recordBytes: wear.bytesOfSession,
    recordYears: wear.years,
    ...pack,
    pourCelsius: developed.pourCelsius ?? [aim, aim],
    aimPourCelsius: aim,
    baths,
    shelf,
    cautions,
  }
  addCautions(plan, recipe, tank, reels, through)
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

function tooMuchLying(plan: Plan, recipe: Recipe, tank: Tank, reels: number): string {
  const fit = mostFilmsLying(recipe, tank, reels, plan.films)
  return (
    `The tank holds ${plan.mostLyingMillilitres} mL lying, up to the middle of its lid; ${plan.leastMillilitres} mL would stand ` +
    `above it. ${fit > 0 ? `Develop ${filmsSaid(fit)} at a time` : 'Take a larger tank'}: run does not pour this much.`
  )
}

function addCautions(plan: Plan, recipe: Recipe, tank: Tank, reels: number, through: number): void {
  const cautions = plan.cautions
  for (const bath of recipe.baths) {
    if (reuseExhausted(bath.reuse, through)) {
      cautions.push(`${bath.name}: its sheet has no time for ${through} films through a litre. Mix anew.`)
    }
    const stretch = reuseFactor(bath.reuse, primarySeconds(bath), through)
    if (isNaN(mostFilmsPerLitre(bath.reuse)) && stretch > MOST_STRETCH) {
      cautions.push(
        `${bath.name}: ${through} films through a litre make it ${Math.round(100 * (stretch - 1))} % longer, and its recipe ` +
          'states no last film: it may be exhausted. Mix anew, or try a strip first.',
      )
    }
  }
  if (/^colour/.test(recipe.name)) {
    cautions.push(
      'Away from the process temperature the film still gets its full extent, not its colour balance: pour near the aim.',
    )
  }
  if (plan.leastMillilitres > plan.mostLyingMillilitres) cautions.push(tooMuchLying(plan, recipe, tank, reels))
  if (plan.advisedMillilitres >= plan.standingMillilitres) {
    cautions.push('Lying down saves nothing here: the chemistry needs as much as the standing tank takes.')
  }
  if (plan.films > reels) cautions.push(crowdedReels(plan.films, reels))
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
