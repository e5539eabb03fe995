/**
 * What a page shows of a session, kept while it runs: the time series that the charts need, the moments of each bath,
 * and the map of immersion, which the plant forgets when the next bath is poured.
 *
 * Every tick is kept up to some hours; of a longer session every second, then every fourth, and so on: memory has a limit.
 */

import type { Bench } from '../../../bench/run.ts'
import { type ColumnName, columnNamed } from '../../../bench/timeSeries.ts'
import { immersedShares } from '../../../plant/immersion.ts'
import { FILM_TURNS } from '../filmMap.ts'

/** At 10 Hz, 5.5 hours. */
const ROWS_AT_MOST = 200_000

const KEPT = [
  'trueBathCelsius',
  'probeCelsius',
  'bathCelsius',
  'bathSigmaCelsius',
  'trueProgress',
  'progress',
  'boundPercent',
  'trueTankTurns',
  'tankTurns',
  'trueTankRpm',
  'targetRpm',
  'trueCharge',
  'charge',
] as const satisfies ColumnName[]

export type Kept = (typeof KEPT)[number]

/** Seconds from the first contact of all; NaN for what did not come. */
export interface BathMoments {
  contactSeconds: number
  drainSeconds: number
  endSeconds: number
  /** The share of the time, 0 to 1, that each of 360 places was immersed, by turn of the film; empty before the drain. */
  shares: Float64Array[]
}

export interface SessionRecord {
  /** From the first contact of all. Strictly rising. */
  seconds: number[]
  columns: Record<Kept, number[]>
  baths: BathMoments[]
}

export interface SessionRecorder {
  record: SessionRecord
  /** To be called after every tick. */
  watch(bench: Bench): void
}

export function recordSession(): SessionRecorder {
  const record: SessionRecord = { seconds: [], columns: emptyColumns(), baths: [] }
  const readers = KEPT.map(name => [record.columns[name], columnNamed(name)] as const)
  let ticks = 0
  let stride = 1
  return {
    record,
    watch(bench) {
      const { plant } = bench
      if (isNaN(plant.firstContactSeconds)) return
      noteBaths(record, bench)
      if (ticks++ % stride !== 0) return
      record.seconds.push(plant.pins.seconds - plant.firstContactSeconds)
      for (const [column, read] of readers) column.push(read(bench))
      if (!baseHasBath(bench)) forget(record, ['bathCelsius', 'bathSigmaCelsius', 'progress', 'boundPercent'])
      else if (!clockIsOfThisBath(bench)) forget(record, ['progress', 'boundPercent'])
      if (record.seconds.length < ROWS_AT_MOST) return
      stride *= 2
      for (const column of [record.seconds, ...Object.values(record.columns)]) keepEverySecond(column)
    },
  }
}

/** The clock's view is written once a second; until then it still shows the bath before. */
function clockIsOfThisBath({ base }: Bench): boolean {
  const { session, clock, estimates } = base
  return clock.view.elapsedSeconds <= estimates.nowSeconds - session.contactSeconds + 0.05
}

/** Between two baths the base reckons what the next one would be; that is of no bath. */
function baseHasBath({ base }: Bench): boolean {
  const { state } = base.session
  return state !== 'planned' && state !== 'ready' && state !== 'finished' && state !== 'abandoned'
}

function forget({ columns }: SessionRecord, names: Kept[]): void {
  for (const name of names) columns[name][columns[name].length - 1] = NaN
}

function emptyColumns(): Record<Kept, number[]> {
  return Object.fromEntries(KEPT.map(name => [name, [] as number[]])) as Record<Kept, number[]>
}

function keepEverySecond(column: number[]): void {
  for (let i = 0; 2 * i < column.length; i++) column[i] = column[2 * i] as number
  column.length = Math.ceil(column.length / 2)
}

function noteBaths(record: SessionRecord, { plant }: Bench): void {
  const { records, firstContactSeconds, evenness } = plant
  // Presses and pours are minutes apart: only the newest bath and the one before it can have changed.
  for (let i = Math.max(0, records.length - 2); i < records.length; i++) {
    const truth = records[i]!
    record.baths[i] ??= { contactSeconds: NaN, drainSeconds: NaN, endSeconds: NaN, shares: [] }
    const noted = record.baths[i] as BathMoments
    noted.contactSeconds = truth.contactSeconds - firstContactSeconds
    noted.endSeconds = truth.endSeconds - firstContactSeconds
    if (isNaN(noted.drainSeconds) && !isNaN(truth.drainSeconds)) {
      noted.drainSeconds = truth.drainSeconds - firstContactSeconds
      if (evenness === undefined) continue
      noted.shares = FILM_TURNS.map((_, turn) =>
        immersedShares(evenness.seconds, evenness.sweptSeconds, evenness.halfTurns[turn] as number),
      )
    }
  }
}

/** A reversal: when, and at which angle of the tank, 0 to 1 turn. */
export interface TurnedBack {
  seconds: number
  angleTurns: number
}

/** Turning back by less than this is no reversal (assumed, 7 degrees), as `evenness.ts` counts. */
const LEAST_BACK_TURNS = 0.02

/** Where the tank turned back in a bath, from its true angle over time. */
export function turningPoints(record: SessionRecord, bath: BathMoments): TurnedBack[] {
  const { seconds } = record
  const turns = record.columns.trueTankTurns
  const found: TurnedBack[] = []
  const first = seconds.findIndex(now => now >= bath.contactSeconds)
  let direction = 0
  let furthest = first
  for (let i = first; i >= 0 && i < turns.length && !((seconds[i] as number) > bath.drainSeconds); i++) {
    const way = (turns[i] as number) - (turns[furthest] as number)
    if (direction === 0) {
      if (Math.abs(way) > LEAST_BACK_TURNS) direction = Math.sign(way)
    } else if (-way * direction > LEAST_BACK_TURNS) {
      const atTurns = turns[furthest] as number
      found.push({ seconds: seconds[furthest] as number, angleTurns: atTurns - Math.floor(atTurns) })
      direction = -direction
      furthest = i
    }
    if (((turns[i] as number) - (turns[furthest] as number)) * direction >= 0) furthest = i
  }
  return found
}
