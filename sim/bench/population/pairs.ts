/**
 * Two settings on the same evenings: the difference evening by evening (the other's figure less this one's), which shows
 * what two separate populations would hide in their spread. Constant memory, as a tally.
 */
import type { DevelopedOutcome, Outcome } from './outcome.ts'
import {
  addSketch,
  addValue,
  createSketch,
  type Sketch,
  type SketchRecord,
  sketchFrom,
  sketchRecord,
} from './sketch.ts'

/** What is compared, of the first developed bath where it is one of a bath. Errors by their size. */
export const PAIRED = [
  'clockErrorPercent',
  'totalErrorPercent',
  'boundPercent',
  'immersionCv',
  'sessionsPerCharge',
  'seconds',
] as const

export type PairedName = (typeof PAIRED)[number]

export interface Pairs {
  differences: { [name in PairedName]: Sketch }
  /** Evenings on which the other's clock was nearer to the truth, and this one's. */
  otherNearer: number
  thisNearer: number
  /** Evenings that only one of the two finished. */
  onlyThisFinished: number
  onlyOtherFinished: number
}

export function createPairs(): Pairs {
  const differences = {} as Pairs['differences']
  for (const name of PAIRED) differences[name] = createSketch()
  return { differences, otherNearer: 0, thisNearer: 0, onlyThisFinished: 0, onlyOtherFinished: 0 }
}

export function addPair(pairs: Pairs, one: Outcome, other: Outcome): void {
  for (const name of PAIRED) addValue(pairs.differences[name], figure(other, name) - figure(one, name))
  const difference = figure(other, 'clockErrorPercent') - figure(one, 'clockErrorPercent')
  if (difference < 0) pairs.otherNearer++
  if (difference > 0) pairs.thisNearer++
  if (one.finished && !other.finished) pairs.onlyThisFinished++
  if (other.finished && !one.finished) pairs.onlyOtherFinished++
}

function figure(outcome: Outcome, name: PairedName): number {
  if (name === 'sessionsPerCharge') return outcome.sessionsPerCharge
  if (name === 'seconds') return outcome.finished ? outcome.seconds : NaN
  const first: DevelopedOutcome | undefined = outcome.developed[0]
  return first === undefined ? NaN : Math.abs(first[name])
}

export function addPairs(pairs: Pairs, more: Pairs): void {
  for (const name of PAIRED) addSketch(pairs.differences[name], more.differences[name])
  pairs.otherNearer += more.otherNearer
  pairs.thisNearer += more.thisNearer
  pairs.onlyThisFinished += more.onlyThisFinished
  pairs.onlyOtherFinished += more.onlyOtherFinished
}

export type PairsRecord = Omit<Pairs, 'differences'> & { differences: { [name in PairedName]: SketchRecord } }

export function pairsRecord(pairs: Pairs): PairsRecord {
  const differences = {} as PairsRecord['differences']
  for (const name of PAIRED) differences[name] = sketchRecord(pairs.differences[name])
  return { ...pairs, differences }
}

export function pairsFrom(record: PairsRecord): Pairs {
  const differences = {} as Pairs['differences']
  for (const name of PAIRED) differences[name] = sketchFrom(record.differences[name])
  return { ...record, differences }
}
