/** What commands have in common: their options, read and checked, each with a message that says what is allowed. */
import { InvalidArgumentError } from 'commander'
import type { BaseFile } from '../../firmware/baseFile.ts'
import { defaultBase } from '../../firmware/defaultBase.ts'
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { defaultTank } from '../../firmware/tank/defaultTank.ts'
import type { Tank } from '../../firmware/tank/tank.ts'
import { reportLines } from './check.ts'
import { DECIMAL_HINT, hasDecimalComma, pointed } from './decimalComma.ts'
import { InputError } from './inputError.ts'
import { type Loaded, loadBase, loadRecipe, loadTank } from './loadFile.ts'

/** A reader of numbers from `low` to `high` for an option. */
export function numberFrom(low: number, high: number, unit: string): (text: string) => number {
  return text => {
    const value = text.trim() === '' ? NaN : Number(text)
    if (!(value >= low && value <= high)) {
      const hint = hasDecimalComma(text) ? ` (${pointed(text)})` : ''
      throw new InvalidArgumentError(`Allowed: a number from ${low} to ${high}${unit}${hint}.`)
    }
    return value
  }
}

/** A reader of whole numbers from `low` to `high`. */
export function wholeFrom(low: number, high: number): (text: string) => number {
  return text => {
    const value = /^\d+$/.test(text.trim()) ? Number(text) : NaN
    if (!(value >= low && value <= high))
      throw new InvalidArgumentError(`Allowed: a whole number from ${low} to ${high}.`)
    return value
  }
}

/** After a comma a single figure, or one that begins with 0: what follows is rather a decimal than a value of its own. */
const LIKE_DECIMAL = /(?:^|,)\s*(\d+),\s*(\d|0\d+)\s*(?=,|$)/

/**
 * A reader of one number for all baths, or one for each, separated by commas. A list that looks like a number with a
 * decimal comma is refused, for it would be obeyed as what nobody meant; who does mean 5 writes 5.0.
 */
export function numbersFrom(low: number, high: number, unit: string): (text: string) => number[] {
  const one = numberFrom(low, high, unit)
  return text => {
    const like = LIKE_DECIMAL.exec(text)
    if (like !== null) {
      const [, whole, part] = like
      throw new InvalidArgumentError(
        `Commas separate the baths; decimals take a point: ${whole}.${part} (a bath of its own: ${part}.0).`,
      )
    }
    return text.split(',').map(one)
  }
}

/** The seed and the files that most commands take. */
export interface CommonOptions {
  recipe: string
  tank?: string
  base?: string
}

export interface Loadout {
  recipe: Recipe
  tank: Tank
  base: BaseFile
}

/** Loads what the options name. Throws `InputError` with the problems of all files at once; `warn` gets the warnings. */
export function loadAll(options: CommonOptions, warn: (line: string) => void): Loadout {
  const problems: string[] = []
  const take = <T>(loaded: Loaded<T>): T | undefined => {
    if (loaded.value === undefined) problems.push(...reportLines(loaded.report))
    else if (loaded.report.problems.length > 0) for (const line of reportLines(loaded.report)) warn(line)
    return loaded.value
  }
  const recipe = take(loadRecipe(options.recipe))
  const tank = options.tank === undefined ? defaultTank : take(loadTank(options.tank))
  const base = options.base === undefined ? defaultBase : take(loadBase(options.base))
  if (recipe === undefined || tank === undefined || base === undefined) throw new InputError(problems)
  return { recipe, tank, base }
}

/** One value for each bath, from one for all or one for each. Throws `InputError` when the count fits neither. */
export function forEachBath(name: string, values: number[], recipe: Recipe): number[] {
  const baths = recipe.baths.length
  if (values.length === 1) return recipe.baths.map(() => values[0] as number)
  if (values.length === baths) return values
  throw new InputError([
    `${name}: ${values.length} values; allowed: one for all, or ${baths}, one for each bath (${DECIMAL_HINT})`,
  ])
}
