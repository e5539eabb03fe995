/**
 * A population as it is counted: sketches and counts, in memory that does not grow with the number of evenings. Tallies of
 * parts add up to the tally of the whole, byte for byte, whoever counted which evening.
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

/** Of one developed bath. */
export interface BathTally {
  clockErrorPercent: Sketch
  totalErrorPercent: Sketch
  boundPercent: Sketch
  immersionCv: Sketch
  outsideSheetSeconds: Sketch
  /** How often the truth lay within the bound that the base stated, and how often it lay beyond it to either side. */
  held: number
  outsideSheet: number
}

export interface Tally {
  sessions: number
  finished: number
  /** Why sessions were not finished, and how often. */
  unfinished: Map<string, number>
  /** In tenths of a second, so that sums stay whole. */
  tenths: number
  /** By the name of the bath, in the order of the recipe. */
  baths: Map<string, BathTally>
  sessionsPerCharge: Sketch
  /** In how many sessions an alarm of this number was raised. */
  alarms: Map<number, number>
  /** Sessions with any alarm. */
  alarmed: number
}

export const BATH_SKETCHES = [
  'clockErrorPercent',
  'totalErrorPercent',
  'boundPercent',
  'immersionCv',
  'outsideSheetSeconds',
] as const satisfies (keyof BathTally & keyof DevelopedOutcome)[]

/** Reasons are few: what a broken firmware might invent beyond them is counted as one. */
const REASONS_AT_MOST = 50

export function createTally(): Tally {
  return {
    sessions: 0,
    finished: 0,
    unfinished: new Map(),
    tenths: 0,
    baths: new Map(),
    sessionsPerCharge: createSketch(),
    alarms: new Map(),
    alarmed: 0,
  }
}

function createBathTally(): BathTally {
  return {
    clockErrorPercent: createSketch(),
    totalErrorPercent: createSketch(),
    boundPercent: createSketch(),
    immersionCv: createSketch(),
    outsideSheetSeconds: createSketch(),
    held: 0,
    outsideSheet: 0,
  }
}

export function addOutcome(tally: Tally, outcome: Outcome): void {
  tally.sessions++
  tally.tenths += Math.round(outcome.seconds * 10)
  if (outcome.finished) tally.finished++
  else more(tally.unfinished, outcome.because, 1)
  for (const developed of outcome.developed) addDeveloped(bathOf(tally, developed.name), developed)
  addValue(tally.sessionsPerCharge, outcome.sessionsPerCharge)
  for (const number of outcome.alarms) more(tally.alarms, number, 1)
  if (outcome.alarms.length > 0) tally.alarmed++
}

function addDeveloped(bath: BathTally, developed: DevelopedOutcome): void {
  for (const key of BATH_SKETCHES) addValue(bath[key], developed[key])
  if (Math.abs(developed.clockErrorPercent) <= developed.boundPercent) bath.held++
  if (developed.outsideSheetSeconds > 0) bath.outsideSheet++
}

function bathOf(tally: Tally, name: string): BathTally {
  let bath = tally.baths.get(name)
  if (bath === undefined) {
    bath = createBathTally()
    tally.baths.set(name, bath)
  }
  return bath
}

function more<Key>(counts: Map<Key, number>, key: Key, count: number): void {
  const known = counts.has(key) || counts.size < REASONS_AT_MOST || typeof key === 'number'
  const counted = known ? key : ('something else' as Key)
  counts.set(counted, (counts.get(counted) ?? 0) + count)
}

export function addTally(tally: Tally, other: Tally): void {
  tally.sessions += other.sessions
  tally.finished += other.finished
  tally.tenths += other.tenths
  tally.alarmed += other.alarmed
  for (const [reason, count] of other.unfinished) more(tally.unfinished, reason, count)
  for (const [number, count] of other.alarms) more(tally.alarms, number, count)
  addSketch(tally.sessionsPerCharge, other.sessionsPerCharge)
  for (const [name, from] of other.baths) {
    const bath = bathOf(tally, name)
    for (const key of BATH_SKETCHES) addSketch(bath[key], from[key])
    bath.held += from.held
    bath.outsideSheet += from.outsideSheet
  }
}

/** A tally as it travels between processes and files. */
export interface TallyRecord {
  sessions: number
  finished: number
  unfinished: { [reason: string]: number }
  tenths: number
  alarms: { [number: string]: number }
  alarmed: number
  sessionsPerCharge: SketchRecord
  baths: BathRecord[]
}

export type BathRecord = { name: string; held: number; outsideSheet: number } & {
  [key in (typeof BATH_SKETCHES)[number]]: SketchRecord
}

/** Sorted, so that the same tally gives the same bytes. */
export function tallyRecord(tally: Tally): TallyRecord {
  const numbers = [...tally.alarms].sort(([a], [b]) => a - b)
  const reasons = [...tally.unfinished].sort(([a], [b]) => (a < b ? -1 : 1))
  return {
    sessions: tally.sessions,
    finished: tally.finished,
    unfinished: Object.fromEntries(reasons),
    tenths: tally.tenths,
    alarms: Object.fromEntries(numbers),
    alarmed: tally.alarmed,
    sessionsPerCharge: sketchRecord(tally.sessionsPerCharge),
    baths: [...tally.baths].map(([name, bath]) => ({
      name,
      held: bath.held,
      outsideSheet: bath.outsideSheet,
      clockErrorPercent: sketchRecord(bath.clockErrorPercent),
      totalErrorPercent: sketchRecord(bath.totalErrorPercent),
      boundPercent: sketchRecord(bath.boundPercent),
      immersionCv: sketchRecord(bath.immersionCv),
      outsideSheetSeconds: sketchRecord(bath.outsideSheetSeconds),
    })),
  }
}

export function tallyFrom(record: TallyRecord): Tally {
  const tally = createTally()
  const { sessions, finished, tenths, alarmed } = record
  Object.assign(tally, { sessions, finished, tenths, alarmed })
  for (const [reason, count] of Object.entries(record.unfinished)) tally.unfinished.set(reason, count)
  for (const [number, count] of Object.entries(record.alarms)) tally.alarms.set(Number(number), count)
  tally.sessionsPerCharge = sketchFrom(record.sessionsPerCharge)
  for (const from of record.baths) {
    const bath = bathOf(tally, from.name)
    for (const key of BATH_SKETCHES) bath[key] = sketchFrom(from[key])
    bath.held = from.held
    bath.outsideSheet = from.outsideSheet
  }
  return tally
}
