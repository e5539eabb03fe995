/** What one evening of a population came to: a few numbers of a session's report. NaN for what was never known. */
import type { Recipe } from '../../../firmware/recipe/recipe.ts'
import type { RunReport } from '../runReport.ts'

export interface DevelopedOutcome {
  name: string
  /** trueProgress / progress − 1, and trueProgress − 1; in percent. */
  clockErrorPercent: number
  totalErrorPercent: number
  boundPercent: number
  outsideSheetSeconds: number
  immersionCv: number
}

export interface Outcome {
  finished: boolean
  /** Empty when it was finished. */
  because: string
  seconds: number
  developed: DevelopedOutcome[]
  /** Numbers, each once. */
  alarms: number[]
  /** What a full pack of this kind would carry, by what this session took from it; NaN for a session cut short. */
  sessionsPerCharge: number
}

/** `whole` is false where the recipe was cut, so that its charge says nothing of a session. */
export function outcomeOf(report: RunReport, recipe: Recipe, whole: boolean): Outcome {
  const { startCharge, endCharge } = report.pack
  const developed: DevelopedOutcome[] = []
  report.baths.forEach((bath, i) => {
    if (recipe.baths[i]?.kind !== 'developed') return
    const known = bath.progress > 0 && report.baths[i] !== undefined && !isNaN(bath.boundPercent)
    developed.push({
      name: bath.name,
      clockErrorPercent: known ? (bath.trueProgress / bath.progress - 1) * 100 : NaN,
      totalErrorPercent: known ? (bath.trueProgress - 1) * 100 : NaN,
      boundPercent: known ? bath.boundPercent : NaN,
      outsideSheetSeconds: known ? bath.outsideSheetSeconds : NaN,
      immersionCv: known ? (report.agitation[i]?.immersionCv ?? NaN) : NaN,
    })
  })
  return {
    finished: report.finished,
    because: report.because ?? '',
    seconds: report.seconds,
    developed,
    alarms: [...new Set(report.alarms.map(alarm => alarm.number))],
    sessionsPerCharge: report.finished && whole ? 1 / (startCharge - endCharge) : NaN,
  }
}
