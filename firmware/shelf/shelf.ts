/**
 * A solution on the shelf: how many films it still takes, and whether it is too old.
 *
 * Assumes that whoever mixed it says when and how full its bottle is kept. Figures of days are those of published data
 * sheets; where the kit's own sheet says otherwise, that comes first. An age or count that is not a number counts as
 * fresh and unused: the caller says that it does not know.
 */
import type { Reuse } from '../recipe/recipe.ts'

/** Kinds of solution whose life is published or, where it says so, known from memory. */
export type SolutionKind = 'powderStock' | 'diluted' | 'liquidDeveloper' | 'fixer' | 'colourDeveloper'

export interface SolutionLife {
  /** Days in a full bottle and in one half full. */
  fullDays: number
  halfDays: number
  source: string
}

const MONTH_DAYS = 30

/** How long a solution keeps, by its kind. */
export function solutionLife(kind: SolutionKind): SolutionLife {
  if (kind === 'powderStock') {
    return {
      fullDays: 6 * MONTH_DAYS,
      halfDays: MONTH_DAYS,
      source: 'ILFORD powder developers, technical information 2010',
    }
  }
  if (kind === 'diluted') return { fullDays: 1, halfDays: 1, source: 'ILFORD powder developers 2010 and DD-X 2019' }
  if (kind === 'liquidDeveloper') {
    return { fullDays: 6 * MONTH_DAYS, halfDays: 2 * MONTH_DAYS, source: 'KODAK J-86 and J-109' }
  }
  if (kind === 'fixer') return { fullDays: 6 * MONTH_DAYS, halfDays: MONTH_DAYS, source: 'ILFORD RAPID FIXER 2002' }
  return { fullDays: 42, halfDays: 28, source: 'from memory: working colour developers keep about six weeks' }
}

/** Films already through one litre; 0 where nothing is known. */
export function filmsPerLitre(filmsThrough: number, millilitres: number): number {
  if (!(filmsThrough > 0) || !(millilitres > 0)) return 0
  return (filmsThrough * 1000) / millilitres
}

/** Films that one litre takes before its sheet says discard: the end of the last band. NaN where the sheet states none. */
export function mostFilmsPerLitre(reuse: Reuse | undefined): number {
  if (reuse === undefined || 'perFilm' in reuse) return NaN
  const bands = 'factors' in reuse ? reuse.factors : reuse.addSeconds
  return bands.length > 0 ? bands[bands.length - 1][0] : NaN
}

/** Films that a bottle of so many millilitres still takes after `filmsThrough`; NaN where the sheet states no end. */
export function filmsStillTaken(reuse: Reuse | undefined, filmsThrough: number, millilitres: number): number {
  const most = (mostFilmsPerLitre(reuse) * millilitres) / 1000
  const left = most - (filmsThrough > 0 ? filmsThrough : 0)
  return left < 0 ? 0 : left
}

/** Days that a solution mixed `ageDays` ago still keeps, negative when it is over its time. `full`: its bottle is kept full. */
export function daysStillKept(life: SolutionLife, ageDays: number, full: boolean): number {
  return (full ? life.fullDays : life.halfDays) - (ageDays > 0 ? ageDays : 0)
}
