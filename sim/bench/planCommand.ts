/** The `plan` command: what a session takes, before anything is mixed. */
import type { Bath } from '../../firmware/recipe/recipe.ts'
import { type CommonOptions, loadAll } from './options.ts'
import { type PlannedSolution, planSession } from './plan.ts'
import { planText } from './planText.ts'

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

/** Carries it out. Throws `InputError` for what cannot be used; returns the exit code. */
export function planCommand(
  options: PlanCommandOptions,
  out: (text: string) => void,
  warn: (text: string) => void,
): number {
  const { recipe, tank, base } = loadAll(options, warn)
  const { age } = options
  const solutions: PlannedSolution[] =
    age === undefined ? [] : recipe.baths.filter(isKept).map(bath => ({ bath: bath.name, mixedDays: age }))
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
