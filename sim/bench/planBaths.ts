/**
 * Every bath of a plan in turn: what tank it finds, how warm to pour it, what it leaves behind.
 *
 * Assumes that each bath is poured where the plan aims; then the next one finds the tank where this one left it.
 */
import { HANDLING_SECONDS } from '../../firmware/energy/budget.ts'
import { expectedSeconds, processCelsius } from '../../firmware/energy/duration.ts'
import type { Bath, Recipe } from '../../firmware/recipe/recipe.ts'
import { chemistryMillilitres } from '../../firmware/tank/volume.ts'
import type { PlannedBath } from './planShapes.ts'
import { beginForEnd, endCelsius, mixedForMean, type PourHeat, pourForMixed } from './pourHeat.ts'

/** How far from its one temperature a bath with a coefficient is planned, where it names no range (assumed). */
const COEFFICIENT_REACH = 2

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

/**
 * The warmest that a bath should be aimed at: right after mixing it may leave neither its usable range nor, if it
 * develops, its sheet. A cooler developer only takes longer; what a warmer one does no sheet says.
 */
function warmestAim(bath: Bath, range: [number, number] | null): number {
  const usable = range === null ? Infinity : range[1]
  if (bath.kind !== 'developed' || bath.rows === undefined) return usable
  return Math.min(usable, bath.rows[bath.rows.length - 1][0])
}

/** What keeps the bath from being aimed warmer is the end of its sheet, not what its recipe calls usable. */
function endsAtSheet(bath: Bath, warmest: number): boolean {
  return bath.kind === 'developed' && bath.rows !== undefined && warmest === bath.rows[bath.rows.length - 1][0]
}

/** A bottle is off by about this: aimed so far inside its range, most baths stay in it (assumed). */
const INSIDE_CELSIUS = 1

/**
 * `wanted`, kept inside the range where it is wide enough; a developer may begin at the very end of its sheet, because its
 * process temperature often is that end. In a range too narrow for the bath's cooling, the warm end.
 */
function within(wanted: number, coolest: number, warmest: number, atSheetEnd: boolean): number {
  if (coolest >= warmest) return warmest
  const margin = Math.min(INSIDE_CELSIUS, (warmest - coolest) / 2)
  const low = coolest + margin
  const high = atSheetEnd ? warmest : warmest - margin
  return Math.min(Math.max(wanted, low), high)
}

function tenth(value: number): number {
  return Math.round(value * 10) / 10
}

/** Every bath in turn, each poured where it should be: what it finds, what to pour, what it leaves. */
export function planBaths(
  recipe: Recipe,
  heat: PourHeat,
  roomCelsius: number,
  films: number,
  through: number,
): PlannedBath[] {
  let process = roomCelsius
  for (let i = recipe.baths.length - 1; i >= 0; i--) {
    const own = processCelsius(recipe.baths[i])
    if (!isNaN(own)) process = own
  }
  let tankCelsius = roomCelsius
  return recipe.baths.map((bath, index) => {
    const aim = aimCelsius(bath, process)
    const expected = (meanCelsius: number): number =>
      expectedSeconds(bath, meanCelsius, bath.kind === 'developed' ? through : 0, recipe.pour.fillSeconds)
    const range = bestCelsius(bath)
    const wanted = mixedForMean(heat, aim, roomCelsius, expected(aim))
    const warmest = warmestAim(bath, range)
    const coolest = range === null ? -Infinity : beginForEnd(heat, range[0], roomCelsius, expected(aim))
    const mixed = within(wanted, coolest, warmest, endsAtSheet(bath, warmest))
    // Aimed cooler than the process, a developer takes longer: its mean from the time it would take there is near enough.
    const seconds = expected(aim - (wanted - mixed))
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
