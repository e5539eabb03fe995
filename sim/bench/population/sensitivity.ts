/**
 * Which input of an evening moves its errors: the design of a sensitivity study over a population, and its figures.
 *
 * Two seeds stand for the two samples of a row; an input is exchanged by drawing it, and all that belongs to it, from the
 * other seed. Sessions end after the first developer: nothing later changes its error.
 */

import { runSession } from '../run.ts'
import type { PopulationSetup } from './draw.ts'
import { drawRun } from './draw.ts'
import { INPUTS, type InputName } from './inputs.ts'
import { type Outcome, outcomeOf } from './outcome.ts'
import { type Row, type Sensitivity, sensitivityOf } from './sobol.ts'
import { known } from './summary.ts'

/** Sessions of one row: both samples, and one for each input. */
export const SESSIONS_A_ROW = INPUTS.length + 2
/** Fewer tell nothing. */
export const ROWS_AT_LEAST = 20
/** The other sample's seeds: half of all seeds away. */
const OTHER_SAMPLE = 2_147_483_648
const SEEDS = 4_294_967_296

export const OUTPUTS = ['clockErrorPercent', 'totalErrorPercent'] as const
export type OutputName = (typeof OUTPUTS)[number]

/** The outputs of one row; `undefined` where one of its sessions has none. */
export type RowOutputs = { seed: number; rows: { [output in OutputName]: Row } | undefined }

/** Seeds of first samples in, rows out. */
export async function startRows(setup: PopulationSetup): Promise<(seeds: number[]) => RowOutputs[]> {
  const short = { ...setup, onlyDeveloper: true }
  return seeds => seeds.map(seed => rowOf(short, seed))
}

function rowOf(setup: PopulationSetup, seed: number): RowOutputs {
  const other = (seed + OTHER_SAMPLE) % SEEDS
  const a = evening(setup, () => seed)
  const b = evening(setup, () => other)
  const mixed = INPUTS.map(({ name }) => evening(setup, input => (input === name ? other : seed)))
  const output = (key: OutputName): Row => {
    const of = (outcome: Outcome): number => outcome.developed[0]?.[key] ?? NaN
    return { a: of(a), b: of(b), mixed: mixed.map(of) }
  }
  const rows = { clockErrorPercent: output('clockErrorPercent'), totalErrorPercent: output('totalErrorPercent') }
  const isWhole = OUTPUTS.every(key => ![rows[key].a, rows[key].b, ...rows[key].mixed].some(isNaN))
  return { seed, rows: isWhole ? rows : undefined }
}

function evening(setup: PopulationSetup, seedOf: (input: InputName) => number): Outcome {
  const run = drawRun(setup, seedOf)
  return outcomeOf(runSession(run), run.recipe, false)
}

type Known = number | null

export interface InputFigures {
  name: InputName
  words: string
  /** Part of the variance that it makes alone, and with everything that it has a hand in. */
  first: Known
  firstInterval: [Known, Known]
  total: Known
  totalInterval: [Known, Known]
}

export interface OutputFigures {
  /** Of the error with its sign, in percent. */
  mean: Known
  deviation: Known
  /** 95 of 100 evenings are within this. */
  p95: Known
  /** By their total, the greatest first. */
  inputs: InputFigures[]
  /** What no input makes alone. */
  together: Known
}

export interface SensitivityDocument {
  recipe: string
  title: string
  population: string
  seed: number
  sessions: number
  rows: number
  /** Rows of which a session had no developer to judge. */
  dropped: number
  outputs: { [output in OutputName]: OutputFigures }
}

export function sensitivityDocument(setup: PopulationSetup, seed: number, all: RowOutputs[]): SensitivityDocument {
  // Whichever process was first: rows stand by their seeds.
  const sorted = [...all].sort((a, b) => a.seed - b.seed)
  const rows = sorted.flatMap(row => (row.rows === undefined ? [] : [row.rows]))
  const outputs = {} as SensitivityDocument['outputs']
  for (const key of OUTPUTS)
    outputs[key] = outputFigures(
      rows.map(row => row[key]),
      seed,
    )
  return {
    recipe: setup.recipe.name,
    title: setup.recipe.title,
    population: setup.distribution.name,
    seed,
    sessions: all.length * SESSIONS_A_ROW,
    rows: all.length,
    dropped: all.length - rows.length,
    outputs,
  }
}

function outputFigures(rows: Row[], seed: number): OutputFigures {
  const sensitivity: Sensitivity = sensitivityOf(rows, seed)
  const inputs = INPUTS.map(({ name, words }, i): InputFigures => {
    const index = sensitivity.indices[i]
    const both = (pair: [number, number] | undefined): [Known, Known] => [
      known(pair?.[0] ?? NaN),
      known(pair?.[1] ?? NaN),
    ]
    return {
      name,
      words,
      first: known(index?.first ?? NaN),
      firstInterval: both(index?.firstInterval),
      total: known(index?.total ?? NaN),
      totalInterval: both(index?.totalInterval),
    }
  })
  const alone = sensitivity.indices.reduce((sum, index) => sum + index.first, 0)
  const sizes = rows.flatMap(row => [Math.abs(row.a), Math.abs(row.b)]).sort((a, b) => a - b)
  return {
    mean: known(sensitivity.mean),
    deviation: known(sensitivity.deviation),
    p95: known(sizes[Math.max(0, Math.ceil(0.95 * sizes.length) - 1)] ?? NaN),
    inputs: inputs.sort((a, b) => (b.total ?? 0) - (a.total ?? 0)),
    together: known(1 - alone),
  }
}
