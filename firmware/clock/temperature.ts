/**
 * The temperatures of a bath, for the panel and the record: against its sheet, its usable range, and over its time.
 * A bath that is being poured is not judged, nor one without a temperature.
 */
import type { Clock } from './clockState.ts'

/** Outside a sheet or a range only counts beyond this: a sheet's end row is poured at, and a probe scatters (assumed). */
const OUTSIDE_CELSIUS = 0.1
/**
 * From here it is worth an alarm (assumed). Published rows past an end are missed by 4.4 % rms at steps of 1.5 to 3
 * degrees, so that half a degree of extrapolation costs about as much as the probe's calibration.
 */
const FAR_OUTSIDE_CELSIUS = 0.5

/** Where the bath's temperature stands against its sheet and its usable range, and its mean, low and high. */
export function judgeTemperature(clock: Clock, celsius: number, stepSeconds: number): void {
  if (clock.contents === 'filling' || isNaN(celsius)) return
  const view = clock.view
  const rate = clock.rate
  if (rate !== undefined) {
    const outsideCelsius = Math.max(rate.sheetLowCelsius - celsius, celsius - rate.sheetHighCelsius)
    view.outsideSheet = outsideCelsius > OUTSIDE_CELSIUS
    view.farOutsideSheet = outsideCelsius > FAR_OUTSIDE_CELSIUS
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
