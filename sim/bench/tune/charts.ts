/** The pictures of a tuning: programmes against each other, and the map of the film before and after. Pure. */
import { filmMaps } from '../../report/page/filmMap.ts'
import type { Chart, Table } from '../../report/page/page.ts'
import type { MappedEvening } from './maps.ts'
import type { Programme, TuneReport } from './result.ts'
import { nameOf, sayMeasure } from './sayFigures.ts'
import type { Candidate } from './search.ts'
import { isDriven, type Measure } from './wishes.ts'

/** More dots of programmes that were only tried nobody tells apart. */
const TRIED_AT_MOST = 500

export interface Shown {
  report: TuneReport
  tried: Candidate[]
}

/** How a measure is drawn along an axis. */
interface Along {
  measure: Measure
  name: string
  scale: number
  format: string
}

const UNEVEN: Along = { measure: 'immersionCv', name: 'unevenness, %', scale: 100, format: '@fixed:2: %' }
const ENERGY: Along = { measure: 'joules', name: 'energy of the bath, J', scale: 1, format: '@fixed:0:' }
const ONE_WAY: Along = {
  measure: 'oneWaySeconds',
  name: 'longest time in one direction, s',
  scale: 1,
  format: '@fixed:0:',
}

export function energyChart(shown: Shown): Chart {
  return scatter(shown, 'tune-energy', ENERGY, 'Unevenness of wetting against the energy of the bath')
}

export function reversalsChart(shown: Shown): Chart {
  return scatter(shown, 'tune-reversals', ONE_WAY, 'Unevenness of wetting against the time between reversals')
}

interface Dot {
  name: string
  value: [number, number]
}

function shortName(one: { rpm: number; legTurns: number }): string {
  return `${one.rpm} rpm, ${one.legTurns} turns`
}

function scatter({ report, tried }: Shown, name: string, along: Along, what: string): Chart {
  const dot = (figures: Programme | Candidate['figures'], called: string): Dot => ({
    name: called,
    value: [rounded(figures[along.measure] * along.scale), rounded(figures.immersionCv * UNEVEN.scale)],
  })
  const of = (one: Programme): Dot => dot(one, shortName(one))
  const driven = tried.filter(one => isDriven(one.figures) && one.figures.immersionCv > 0)
  const every = Math.max(1, Math.ceil(driven.length / TRIED_AT_MOST))
  const only = driven.filter((_, i) => i % every === 0).map(one => dot(one.figures, shortName(one.agitation)))
  const limit = report.wishes.find(wish => wish.measure === 'immersionCv')?.limit
  const series = (label: string, data: Dot[], more: object = {}): object => ({
    type: 'scatter',
    name: label,
    data,
    tooltip: { valueFormatter: UNEVEN.format },
    ...more,
  })
  return {
    name,
    says:
      `${what}: each dot is a programme. Advised: ${shortName(report.advised)}, ${sayMeasure('immersionCv', report.advised)} at ` +
      `${sayMeasure(along.measure, report.advised)}; equal legs leave ${sayMeasure('immersionCv', report.equalLegs)}. ` +
      'The scale of unevenness is logarithmic; the line is the limit that was wished for.',
    height: 420,
    option: {
      xAxis: { type: 'value', name: along.name, scale: true, axisLabel: { formatter: along.format } },
      yAxis: {
        type: 'log',
        min: leastShown([...only, ...report.front.map(of)]),
        name: UNEVEN.name,
        axisLabel: { formatter: '@fixed:1:' },
      },
      tooltip: { trigger: 'item' },
      series: [
        series('tried', only, { color: '@quiet', symbol: 'circle', symbolSize: 3, itemStyle: { opacity: 0.4 } }),
        series('front, breaks a wish', report.front.filter(one => !one.meetsWishes).map(of), { symbolSize: 7 }),
        series('front, keeps the wishes', report.front.filter(one => one.meetsWishes).map(of), {
          symbolSize: 8,
          ...(limit !== undefined && {
            markLine: { symbol: 'none', label: { show: false }, data: [{ yAxis: 100 * limit }] },
          }),
        }),
        series('as the recipe has it', [of(report.asItStands)], { symbolSize: 12 }),
        series('equal legs', [of(report.equalLegs)], { symbolSize: 12 }),
        // Round and centred: where the mark lies is where the value is.
        series('advised', [of(report.advised)], {
          symbolSize: 15,
          symbol: 'circle',
          itemStyle: { borderColor: '@ink', borderWidth: 2 },
          z: 5,
        }),
      ],
    },
    data: dotsTable(report, along),
  }
}

/** Where an axis of powers of ten begins: a round figure below the least. */
function leastShown(dots: Dot[]): number {
  const least = Math.min(...dots.map(one => one.value[1]))
  const power = 10 ** Math.floor(Math.log10(least))
  return Number(((least / power >= 5 ? 5 : least / power >= 2 ? 2 : 1) * power).toPrecision(1))
}

function dotsTable(report: TuneReport, along: Along): Table {
  const row = (what: string, one: Programme): string[] => [
    what,
    shortName(one),
    sayMeasure(along.measure, one),
    sayMeasure('immersionCv', one),
  ]
  return {
    head: ['', 'programme', nameOf(along.measure), nameOf('immersionCv')],
    rows: [
      row('advised', report.advised),
      row('equal legs', report.equalLegs),
      row('as the recipe has it', report.asItStands),
      ...report.front.map(one => row('front', one)),
    ],
    caption: `Those that were only tried, ${report.tried} in all, are left out.`,
  }
}

function rounded(value: number): number {
  return Number(value.toFixed(3))
}

/** [file name, what it is, one evening] */
export type NamedMap = [name: string, what: string, evening: MappedEvening]

/** The maps of several programmes with the same rings, to be held against each other. */
export function mapCharts(maps: NamedMap[]): Chart[] {
  return filmMaps(
    maps.map(([name, what, { shares, immersionCv }]) => {
      return { name, what, shares, varies: `this evening it varies by ${(100 * immersionCv).toFixed(2)} %.` }
    }),
  )
}
