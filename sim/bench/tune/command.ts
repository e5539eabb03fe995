/** The `tune` command: searches the programmes for one bath, and says which to take. */
import { existsSync } from 'node:fs'
import { availableParallelism } from 'node:os'
import { openReport, type ReportOptions } from '../../report/page/files.ts'
import { loadAll } from '../options.ts'
import type { NamedMap } from './charts.ts'
import { mapProgramme } from './maps.ts'
import { tunePage } from './page.ts'
import { openPool, PROGRAMMES_AT_A_TIME } from './pool.ts'
import { tuneProgress } from './progress.ts'
import { type Question, type QuestionOptions, questionFrom } from './question.ts'
import { type TuneOutcome, tune } from './result.ts'
import { tuneText } from './text.ts'
import { checkTarget, writeProgramme } from './writeRecipe.ts'

type Say = (line: string) => void

export interface TuneOptions extends QuestionOptions, ReportOptions {
  tries?: number
  wear: number
  jobs?: number
  write?: string
  json?: boolean
}

/** Twenty seconds of one core or so; longer baths are evener and take longer to try, so that fewer do. Assumed. */
const USUAL_TRIES = 2500
const LEAST_TRIES = 300
const USUAL_SECONDS = 480

const DONE = 0
/** A wish that cannot be met is a promise that cannot be kept. */
const WISH_UNMET = 3

/** Carries it out. Throws `InputError` for what cannot be used; returns the exit code. */
export async function tuneCommand(options: TuneOptions, out: Say, words: Say): Promise<number> {
  const loadout = loadAll(options, words)
  const question = questionFrom(options, loadout, words)
  if (options.write !== undefined) checkTarget(options.write, question.bath.name)
  const files = openReport(options)
  const tries = options.tries ?? usualTries(question.setup.turningSeconds)
  const jobs = Math.min(options.jobs ?? availableParallelism(), Math.ceil(tries / PROGRAMMES_AT_A_TIME))
  const progress = tuneProgress(tries)
  const pool = openPool(question.setup, jobs, progress.done)
  try {
    const outcome = await tune(question, { tries, wearJoules: options.wear }, pool.evaluate)
    const { report } = outcome
    progress.end()
    out(options.json === true ? JSON.stringify(report, null, 2) : tuneText(report))
    if (options.json === true) for (const line of report.unmet) words(line)
    files?.write(tunePage(outcome, mapsOf(question, outcome)), words)
    if (options.write !== undefined) words(written(options.write, question, outcome))
    return report.meetsWishes ? DONE : WISH_UNMET
  } finally {
    progress.end()
    pool.close()
  }
}

function usualTries(turningSeconds: number): number {
  const fewer = Math.round((USUAL_TRIES * USUAL_SECONDS) / turningSeconds)
  return Math.max(LEAST_TRIES, Math.min(USUAL_TRIES, fewer))
}

/** A programme that breaks a wish is shown, not written. */
function written(file: string, { recipe, bath }: Question, { report, agitation }: TuneOutcome): string {
  if (report.meetsWishes) return writeProgramme(file, recipe, bath.name, agitation)
  return `${file}: ${existsSync(file) ? 'left as it is' : 'not written'}, for no programme keeps to all wishes`
}

/** Before and after: the film as the recipe has it, with equal legs, and as advised. */
function mapsOf({ setup, agitation }: Question, { agitation: advised }: TuneOutcome): NamedMap[] {
  return [
    ['map-advised', 'advised', mapProgramme(setup, advised)],
    ['map-equal-legs', 'equal legs at the same speed', mapProgramme(setup, { ...advised, stagger: false })],
    ['map-as-it-stands', 'as the recipe has it', mapProgramme(setup, agitation)],
  ]
}
