/**
 * The temperatures of a bath, for the panel and the record: against its sheet, its usable range, and over its time.
 * A bath that is being poured is not judged, nor one without a temperature.
 */
import type { Clock } from './clockState.ts'

/** Outside a sheet or a range only counts beyond this: a sheet's end row is poured at, and a probe scatters (assumed). */
const OUTSIDE_CELSIUS = 0.1

/** Where the bath's temperature stands against its sheet and its usable range, and its mean, low and high. */
export function judgeTemperature(clock: Clock, celsius: number, stepSeconds: number): void {
  if (clock.contents === 'filling' || isNaN(celsius)) return
  const view = clock.view
  const rate = clock.rate
  if (rate !== undefined) {
    view.outsideSheet =
      celsius < rate.sheetLowCelsius - OUTSIDE_CELSIUS || celsius > rate.sheetHighCelsius + OUTSIDE_CELSIUS
    if (view.outsideSheet) view.outsideSheetSeconds += stepSeconds
  }
  if (celsius < clock.usableLowCelsius - OUTSIDE_CELSIUS) view.usable = 'tooCold'
  else if (celsius > clock.usableHighCelsius + OUTSIDE_CELSIUS) view.usable = 'tooWarm'
  else view.usable = 'within'
  clock.sumCelsiusSeconds += celsius * stepSeconds
  clock.sumSeconds += stepSeconds
  view.meanCelsius = clock.sumSeconds > 0 ? clock.sumCelsiusSeconds / clock.sumSeconds : celsius
  if (!(celsius >= view.lowCelsius)) view.lowCelsius = celsius
  if (!(celsius <= view.highCelsius)) view.highCelsius = celsius
}
