/** What the baths did: their progress with the calls to pour out, and the charge they took. */
import type { Chart } from '../page.ts'
import {
  bathAreas,
  bathAt,
  bathNumbers,
  cueLines,
  inBath,
  isDeveloped,
  recorded,
  type Shown,
  sourceOf,
  type Wanted,
} from './chartData.ts'
import { line, wholeTime } from './lines.ts'

const FILM_GOT = 'what the film got'
const BASE_SAYS = 'what the base says'

export function progressChart(shown: Shown): Chart {
  const { record, recipe } = shown
  const inDeveloped = (wanted: Wanted): Wanted => ({
    ...wanted,
    value: row => (isDeveloped(recipe, bathAt(record, record.seconds[row] as number)) ? wanted.value(row) : NaN),
  })
  return {
    name: 'progress',
    says:
      `How far each bath had acted: 100 % when it has done what the recipe asks. For a developer, what the film really got ` +
      `lies beside what the base says. Numbers: ${bathNumbers(shown)}. Dashed upright lines: the calls to pour out.`,
    height: 300,
    option: {
      dataset: sourceOf(record, {
        base: inBath(record, recorded(record, 'progress', 1, 0.3, 100)),
        film: inBath(record, inDeveloped(recorded(record, 'trueProgress', 1, 0.3, 100))),
      }),
      xAxis: wholeTime(),
      yAxis: { name: '%', min: 0, axisLabel: { formatter: '@fixed:0:' } },
      dataZoom: [{}],
      tooltip: { trigger: 'axis' },
      series: [
        line(FILM_GOT, 'film', '@fixed:1: %', { markArea: bathAreas(shown), markLine: cueLines(shown) }),
        line(BASE_SAYS, 'base', '@fixed:1: %'),
      ],
    },
  }
}

export function chargeChart(shown: Shown): Chart {
  const { record } = shown
  return {
    name: 'charge',
    says: `What was left in the pack: truly, and by the base's reckoning. Numbers: ${bathNumbers(shown)}.`,
    height: 260,
    option: {
      dataset: sourceOf(record, {
        truth: recorded(record, 'trueCharge', 2, 0.04, 100),
        base: recorded(record, 'charge', 2, 0.04, 100),
      }),
      xAxis: wholeTime(),
      yAxis: { name: '% of what the pack can give', scale: true },
      dataZoom: [{}],
      tooltip: { trigger: 'axis' },
      series: [
        line('charge, true', 'truth', '@fixed:1: %', { markArea: bathAreas(shown) }),
        line('charge, as the base reckons', 'base', '@fixed:1: %'),
      ],
    },
  }
}
