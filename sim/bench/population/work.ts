/**
 * What one process of a population does: evenings in, their tally out. The same in every process.
 *
 * The other side of a comparison may be another checkout: its own bench and firmware are loaded from there.
 */
import { pathToFileURL } from 'node:url'
import { InputError } from '../inputError.ts'
import { type RunOptions, runSession } from '../run.ts'
import type { RunReport } from '../runReport.ts'
import { drawRun, type PopulationSetup } from './draw.ts'
import { type Outcome, outcomeOf } from './outcome.ts'
import { addPair, addPairs, createPairs, type Pairs, type PairsRecord, pairsFrom, pairsRecord } from './pairs.ts'
import { addPoints, type Point, type Points, pointsOf } from './points.ts'
import { addOutcome, addTally, createTally, type Tally, type TallyRecord, tallyFrom, tallyRecord } from './tally.ts'

export interface WorkSetup {
  setup: PopulationSetup
  /** What it is compared with, on the same evenings. */
  other?: { setup: PopulationSetup; checkout?: string }
}

export interface Counted {
  tally: Tally
  points: Points
  other?: { tally: Tally; pairs: Pairs }
}

export interface CountedRecord {
  tally: TallyRecord
  points: Points
  other?: { tally: TallyRecord; pairs: PairsRecord }
}

type Bench = (options: RunOptions) => RunReport

/** Seeds in, counts out. Throws `InputError` for a checkout that cannot be compared with. */
export async function startWork(work: WorkSetup): Promise<(seeds: number[]) => CountedRecord> {
  const otherBench = work.other?.checkout === undefined ? runSession : await benchOf(work.other.checkout)
  return seeds => {
    const counted = emptyCount(work.other !== undefined)
    const points: Point[] = []
    for (const seed of seeds) {
      const outcome = runEvening(work.setup, seed)
      addOutcome(counted.tally, outcome)
      points.push(...pointOf(seed, outcome))
      if (counted.other === undefined || work.other === undefined) continue
      const other = runEvening(work.other.setup, seed, otherBench)
      addOutcome(counted.other.tally, other)
      addPair(counted.other.pairs, outcome, other)
    }
    addPoints(counted.points, pointsOf(points))
    return countedRecord(counted)
  }
}

function pointOf(seed: number, { developed: [first] }: Outcome): Point[] {
  if (first === undefined || isNaN(first.clockErrorPercent)) return []
  const { clockErrorPercent, totalErrorPercent, boundPercent } = first
  const digits = (value: number): number => Math.round(value * 1e4) / 1e4
  return [
    {
      seed,
      clockErrorPercent: digits(clockErrorPercent),
      totalErrorPercent: digits(totalErrorPercent),
      boundPercent: digits(boundPercent),
    },
  ]
}

/** One evening of the population. */
export function runEvening(setup: PopulationSetup, seed: number, bench: Bench = runSession): Outcome {
  const run = drawRun(setup, () => seed)
  return outcomeOf(bench(run), run.recipe, !setup.onlyDeveloper)
}

/** Another checkout's bench; one that draws evenings by itself would not meet the same ones. */
async function benchOf(checkout: string): Promise<Bench> {
  const theirs = (await import(pathToFileURL(`${checkout}/sim/bench/run.ts`).href)) as { runSession: Bench }
  let asked = false
  return options => {
    const report = theirs.runSession({
      ...options,
      evening: drawn => {
        asked = true
        return options.evening === undefined ? drawn : options.evening(drawn)
      },
    })
    if (!asked) throw new InputError([`${checkout}: its bench is older than populations; allowed: a newer checkout`])
    return report
  }
}

export function emptyCount(compared: boolean): Counted {
  const points = { sample: [], furthest: [] }
  return { tally: createTally(), points, ...(compared && { other: { tally: createTally(), pairs: createPairs() } }) }
}

export function addCount(counted: Counted, more: Counted): void {
  addTally(counted.tally, more.tally)
  addPoints(counted.points, more.points)
  if (counted.other === undefined || more.other === undefined) return
  addTally(counted.other.tally, more.other.tally)
  addPairs(counted.other.pairs, more.other.pairs)
}

export function countedRecord({ tally, points, other }: Counted): CountedRecord {
  return {
    tally: tallyRecord(tally),
    points,
    ...(other && { other: { tally: tallyRecord(other.tally), pairs: pairsRecord(other.pairs) } }),
  }
}

export function countedFrom({ tally, points, other }: CountedRecord): Counted {
  return {
    tally: tallyFrom(tally),
    points,
    ...(other && { other: { tally: tallyFrom(other.tally), pairs: pairsFrom(other.pairs) } }),
  }
}
