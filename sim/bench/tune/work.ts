/** What a worker does: programmes in, their figures out. The same in every process. */
import type { Agitation } from '../../../firmware/recipe/recipe.ts'
import { type EveningFigures, turnEvening } from './evening.ts'
import { type Figures, figuresOver } from './figures.ts'
import type { TuneSetup } from './setup.ts'

/** Evenings of the search, and of the proof, which sees others. More than 20, so that a percentile is not the worst. */
export const SEARCH_EVENINGS = 8
export const PROOF_EVENINGS = 40

export interface WorkOrder {
  /** Where its figures go. */
  place: number
  stage: 'search' | 'proof'
  agitations: Agitation[]
}

export interface WorkDone {
  place: number
  figures: Figures[]
}

export function doWork(setup: TuneSetup, order: WorkOrder): WorkDone {
  return { place: order.place, figures: order.agitations.map(one => figuresAt(setup, one, order.stage)) }
}

export function figuresAt(setup: TuneSetup, agitation: Agitation, stage: 'search' | 'proof'): Figures {
  const evenings = stage === 'search' ? SEARCH_EVENINGS : PROOF_EVENINGS
  const first = stage === 'search' ? 0 : SEARCH_EVENINGS
  const all: EveningFigures[] = []
  for (let i = 0; i < evenings; i++) all.push(turnEvening(setup, agitation, i, evenings, first))
  return figuresOver(all)
}
