/** The `plan` command: what a session takes, before anything is mixed. */
import type { Bath } from '../../firmware/recipe/recipe.ts'
import { leastMillilitres } from '../../firmware/tank/volume.ts'
import { InputError } from './inputError.ts'
import { type CommonOptions, type Loadout, loadAll } from './options.ts'
import { type PlannedSolution, planSession } from './plan.ts'
import { planText } from './planText.ts'
import { brimMillilitres, filmsSaid, mostFilmsLying } from './planVolume.ts'

export interface PlanCommandOptions extends CommonOptions {
  room: number
  films: number
  load?: number
  charge?: number
  age?: number
  json?: boolean
}

/** Whose age matters and is published: developers and fixers. Water does not age, and of bleaches no sheet was found. */
function isKept(bath: Bath): boolean {
  return bath.kind === 'developed' || /fixer$/.test(bath.name)
}

/** What does not go into the tank is no plan. */
function refuseOverBrim(films: number, { recipe, tank }: Loadout): void {
  const least = leastMillilitres(tank, films, recipe)
  const brim = brimMillilitres(tank)
  if (least.millilitres <= brim) return
  const fit = mostFilmsLying(recipe, tank, tank.reels, films)
  throw new InputError([
    `--load: ${filmsSaid(films)} need ${Math.ceil(least.millilitres)} mL, and the tank holds ${brim} mL full to the brim; ` +
      `allowed: ${fit > 0 ? `at most ${filmsSaid(fit)} (lying)` : 'fewer films, in a larger tank'}`,
  ])
}

/** Carries it out. Throws `InputError` for what cannot be used; returns the exit code. */
export function planCommand(
  options: PlanCommandOptions,
  out: (text: string) => void,
  warn: (text: string) => void,
): number {
  const loadout = loadAll(options, warn)
  const { recipe, tank, base } = loadout
  const { age } = options
  refuseOverBrim(options.load ?? tank.reels, loadout)
  // Of what films went through or what was mixed some days ago, it matters how long it still serves.
  const solutions: PlannedSolution[] =
    age === undefined && options.films === 0
      ? []
      : recipe.baths.filter(isKept).map(bath => ({ bath: bath.name, ...(age !== undefined && { mixedDays: age }) }))
  const plan = planSession(recipe, tank, base, {
    roomCelsius: options.room,
    filmsThrough: options.films,
    solutions,
    ...(options.load !== undefined && { films: options.load }),
    ...(options.charge !== undefined && { startCharge: options.charge / 100 }),
  })
  out(options.json === true ? JSON.stringify(plan, null, 2) : planText(plan))
  return 0
}
