/** The pictures of a population: error against bound, distributions, what moves the error. Data for the page, no colours. */
import type { Chart } from '../../report/page/page.ts'
import { stepsBetween } from './bars.ts'
import type { Point } from './points.ts'
import type { OutputFigures } from './sensitivity.ts'
import { countsBetween, quantile, type Sketch } from './sketch.ts'

/** Bars of a distribution, over all but its last half percent on each side; those go into the end bars. */
const STEPS = 31
const SMALL_STEPS = 16
const BEYOND = 0.005

/** What was really off against what the base said it might be, for a sample of the evenings. */
export function errorAgainstBound(sample: Point[], bath: string): Chart {
  const data = sample.map(point => [digits(point.boundPercent, 2), digits(Math.abs(point.clockErrorPercent), 2)])
  const most = Math.ceil(Math.max(0.5, ...data.flat()) * 2) / 2
  const beyond = data.filter(([bound, error]) => (error as number) > (bound as number)).length
  return {
    name: 'error-against-bound',
    says:
      `Error of the clock against the bound that the base stated, ${bath}: ${data.length} evenings, a dot each. Dots above ` +
      `the line, ${beyond} of them, lay beyond their bound.`,
    height: 380,
    option: {
      xAxis: { type: 'value', name: 'stated bound, %', min: 0, max: most },
      yAxis: { name: 'error of the clock, %', min: 0, max: most },
      tooltip: { trigger: 'item' },
      series: [
        { type: 'scatter', name: 'an evening', symbolSize: 5, data },
        {
          type: 'line',
          name: 'error as large as the bound',
          data: [
            [0, 0],
            [most, most],
          ],
          tooltip: { show: false },
        },
      ],
    },
  }
}

/** Errors of the clock and of the film, with their signs, in the same steps. */
export function errorDistribution(clock: Sketch, film: Sketch): Chart {
  const reach = Math.max(0.1, ...[clock, film].flatMap(one => [-quantile(one, BEYOND), quantile(one, 1 - BEYOND)]))
  const edges = stepsBetween(-reach, reach, STEPS)
  return {
    name: 'errors',
    says:
      'How often the film got so many percent less (-) or more than the clock believed, and than its sheet asks (the ' +
      "operator's hand included). The outermost bars hold all that lies beyond.",
    height: 320,
    option: bars(edges, '%', [
      ['clock: than it believed', clock],
      ['film: than its sheet asks', film],
    ]),
  }
}

/** One quantity, small; `factor` brings it to the unit that is shown. */
export function smallDistribution(name: string, says: string, sketch: Sketch, factor: number, unit: string): Chart {
  const [low, high] = [quantile(sketch, BEYOND), quantile(sketch, 1 - BEYOND)]
  const edges = stepsBetween(low, high > low ? high : low + Math.max(1e-3, Math.abs(low)), SMALL_STEPS)
  return { name, says, height: 230, option: bars(edges, unit, [[unit, sketch]], factor) }
}

function bars(edges: number[], unit: string, shown: [string, Sketch][], factor = 1): object {
  const middles = edges.slice(1).map((edge, i) => ((edge + (edges[i] as number)) / 2) * factor)
  const step = ((edges[1] as number) - (edges[0] as number)) * factor
  const places = Math.max(0, Math.min(4, Math.ceil(-Math.log10(step))))
  return {
    xAxis: { type: 'category', name: unit, data: middles.map(middle => noMinus(middle.toFixed(places))) },
    yAxis: { name: '% of evenings', min: 0 },
    tooltip: { trigger: 'axis' },
    series: shown.map(([name, sketch]) => ({
      type: 'bar',
      name,
      barCategoryGap: '15%',
      data: countsBetween(sketch, edges).map(count => digits((100 * count) / sketch.count, 3)),
      tooltip: { valueFormatter: '@fixed:1: %' },
    })),
  }
}

/** What moves an error: parts of its spread, the greatest on top. */
export function sensitivityChart(name: string, of: string, { inputs }: OutputFigures): Chart {
  const shown = inputs.filter(input => (input.total ?? 0) >= 0.005).reverse()
  const share = (value: number | null): number => digits(100 * Math.max(0, value ?? 0), 1)
  const bar = (title: string, values: number[]): object => ({
    type: 'bar',
    name: title,
    data: values,
    tooltip: { valueFormatter: '@fixed:0: %' },
  })
  return {
    name,
    says: `Part of the spread of ${of} that each input makes: alone, and with all that it has a hand in.`,
    height: 110 + 34 * shown.length,
    option: {
      grid: [{ left: 230 }],
      xAxis: { type: 'value', name: '% of the spread', min: 0 },
      yAxis: { type: 'category', data: shown.map(input => input.words) },
      tooltip: { trigger: 'axis' },
      series: [
        bar(
          'alone',
          shown.map(input => share(input.first)),
        ),
        bar(
          'with others',
          shown.map(input => share(input.total)),
        ),
      ],
    },
  }
}

function digits(value: number, places: number): number {
  return Number(value.toFixed(places))
}

function noMinus(text: string): string {
  return Number(text) === 0 ? text.replace('-', '') : text
}
