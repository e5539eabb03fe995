/** What a population's options name: distributions, and what a population is compared with. Throws `InputError`. */
import { existsSync, statSync } from 'node:fs'
import { resolve } from 'node:path'
import { findRecipe } from '../../../firmware/recipe/shipped/shipped.ts'
import { reportLines } from '../check.ts'
import { InputError } from '../inputError.ts'
import { checkFile, type FileReport } from '../loadFile.ts'
import { shippedRecipes } from '../shippedRecipes.ts'
import { DISTRIBUTIONS, type Distribution, findDistribution } from './distribution.ts'
import type { PopulationSetup } from './draw.ts'
import type { WorkSetup } from './work.ts'

type Say = (line: string) => void

/** A distribution by name, or a file; what the file leaves out is as in `usual`. */
export function loadDistribution(nameOrFile: string, warn: Say): Distribution {
  const named = findDistribution(nameOrFile)
  if (named !== undefined) return named
  const report = checkFile(nameOrFile, 'population')
  const [first] = report.problems
  if (first?.found === 'no such file') {
    first.allowed = `a population file, or one of ${DISTRIBUTIONS.map(one => one.name).join(', ')}`
  }
  return completed(accepted<Partial<Distribution>>(report, warn))
}

function completed(said: Partial<Distribution>): Distribution {
  const { note: _note, source: _source, ...usual } = findDistribution('usual') as Distribution
  return { ...usual, ...said }
}

function accepted<T>(report: FileReport, warn: Say): T {
  if (!report.accepted) throw new InputError(reportLines(report))
  if (report.problems.length > 0) for (const line of reportLines(report)) warn(line)
  return report.value as T
}

/**
 * The other side: a shipped recipe or distribution by name, a recipe, tank, base or population file, or the folder of
 * another checkout, whose bench and firmware then run the same evenings.
 */
export function loadOther(
  other: string,
  setup: PopulationSetup,
  warn: Say,
): { work: WorkSetup['other']; words: string } {
  const recipe = findRecipe(other)
  if (recipe !== undefined) return { work: { setup: { ...setup, recipe } }, words: `the recipe ${other}` }
  const distribution = findDistribution(other)
  if (distribution !== undefined)
    return { work: { setup: { ...setup, distribution } }, words: `the population "${other}"` }
  if (existsSync(other) && statSync(other).isDirectory()) return checkoutAt(other, setup)
  const report = checkFile(other)
  const [first] = report.problems
  if (first?.found === 'no such file') {
    const names = [...shippedRecipes, ...DISTRIBUTIONS].map(one => one.name)
    first.allowed = `a recipe, tank, base or population file, the folder of another checkout, or one of ${names.join(', ')}`
  }
  const value = accepted<never>(report, warn)
  const changed: Partial<PopulationSetup> =
    report.kind === 'population' ? { distribution: completed(value) } : { [report.kind as string]: value }
  return { work: { setup: { ...setup, ...changed } }, words: `the ${report.kind} of ${other}` }
}

function checkoutAt(folder: string, setup: PopulationSetup): { work: WorkSetup['other']; words: string } {
  const checkout = resolve(folder)
  if (!existsSync(`${checkout}/sim/bench/run.ts`)) {
    throw new InputError([
      `${folder}: no bench in it; allowed: the top folder of another checkout, with sim/bench/run.ts`,
    ])
  }
  if (!existsSync(`${checkout}/node_modules`)) {
    throw new InputError([`${folder}: nothing installed in it; run npm ci there first`])
  }
  return { work: { setup, checkout }, words: `the firmware of ${folder}` }
}
