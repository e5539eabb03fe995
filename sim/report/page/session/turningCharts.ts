/** How the tank turned: legs, the places where it turned back, and how evenly each bath wetted the film. */
import { filmMaps } from '../filmMap.ts'
import type { Chart } from '../page.ts'
import { bathAreas, bathNumbers, milliseconds, recorded, type Shown, sourceOf } from './chartData.ts'
import { turningPoints } from './record.ts'

/** What of the legs is shown at first: some fifteen of them, and so much of the one before. */
const FIRST_SECONDS = 60
const BEFORE_SECONDS = 4

/** Speed and way of the tank over the whole session; at first the first legs of the first developed bath, or of the first. */
export function legsChart(shown: Shown): Chart {
  const { record, report } = shown
  const developed = report.baths.findIndex(bath => bath.kind === 'developed')
  const first = record.baths[Math.max(0, developed)]!
  const turned = turningPoints(record, first)[0]?.seconds ?? first.contactSeconds
  const startValue = milliseconds(Math.max(first.contactSeconds, turned - BEFORE_SECONDS))
  const line = (name: string, y: string, formatter: string, axis: number, more: object = {}): object => ({
    type: 'line',
    name,
    encode: { x: 'ms', y },
    xAxisIndex: axis,
    yAxisIndex: axis,
    tooltip: { valueFormatter: formatter },
    ...more,
  })
  const time = { type: 'time', axisLabel: { formatter: '@clock' } }
  const bathName = report.baths[Math.max(0, developed)]?.name ?? ''
  return {
    name: 'legs',
    says:
      `The turning of the tank, at first the first legs of ${bathName}. Above: its speed, forth above zero and back below, beside the ` +
      `speed asked for. Below: its way in turns; the tops and bottoms are the reversals, and that they never come at the same height is ` +
      `the stagger.`,
    height: 430,
    option: {
      dataset: sourceOf(record, {
        asked: recorded(record, 'targetRpm', 1, 0.5),
        rpm: recorded(record, 'trueTankRpm', 1, 0.8),
        turns: recorded(record, 'trueTankTurns', 2, 0.02),
        seen: recorded(record, 'tankTurns', 2, 0.05),
      }),
      grid: [{ height: 150 }, { height: 150 }],
      xAxis: [
        { ...time, gridIndex: 0 },
        { ...time, gridIndex: 1, name: 'minutes from first contact' },
      ],
      yAxis: [
        { name: 'turns a minute', gridIndex: 0 },
        { name: 'turns', gridIndex: 1, scale: true },
      ],
      axisPointer: { link: [{ xAxisIndex: 'all' }] },
      dataZoom: [{ startValue, endValue: startValue + 1000 * FIRST_SECONDS }],
      tooltip: { trigger: 'axis' },
      series: [
        line('tank, true', 'rpm', '@fixed:1: rpm', 0, { markArea: bathAreas(shown) }),
        line('asked for', 'asked', '@fixed:1: rpm', 0, { lineStyle: { width: 1.2 } }),
        line('tank, true', 'turns', '@fixed:2: turns', 1),
        line('as the base sees it', 'seen', '@fixed:2: turns', 1, { lineStyle: { width: 1.2 } }),
      ],
    },
  }
}

export function reversalsChart(shown: Shown): Chart {
  const { record } = shown
  const data = record.baths
    .flatMap(bath => turningPoints(record, bath))
    .map(({ seconds, angleTurns }) => [milliseconds(seconds), Math.round(360 * angleTurns)])
  return {
    name: 'reversals',
    says:
      `Where the tank turned back: each dot is a reversal, at its time and at the angle of the tank. Dots that lie in rows would mean ` +
      `that film at some places rests longer than at others. Numbers: ${bathNumbers(shown)}.`,
    height: 300,
    option: {
      xAxis: { type: 'time', name: 'minutes from first contact', min: 0, axisLabel: { formatter: '@clock' } },
      yAxis: { name: 'angle of the tank, degrees', min: 0, max: 360, interval: 90 },
      dataZoom: [{}],
      tooltip: { trigger: 'item', valueFormatter: '@fixed:0:°' },
      series: [
        {
          type: 'scatter',
          name: 'turned back at',
          symbolSize: 5,
          data,
          markArea: bathAreas(shown),
        },
      ],
    },
  }
}

/** A map for each bath that turned: how long each place round the film lay in the liquid. */
export function immersionCharts({ record, report }: Shown): Chart[] {
  return filmMaps(
    report.baths.flatMap((bath, index) => {
      const { shares } = record.baths[index]!
      if (shares.length === 0) return []
      const varies = `it varies by ${(100 * report.agitation[index]!.immersionCv).toFixed(1)} %.`
      return [{ name: `immersion-${index + 1}`, what: `${index + 1} ${bath.name}`, varies, shares }]
    }),
  )
}
