/** The temperature of the baths: over the session, and close by for each developed bath, with the clock that follows it. */
import type { Chart } from '../page.ts'
import {
  bathAreas,
  bathNumbers,
  cueLines,
  inBath,
  milliseconds,
  recorded,
  type Shown,
  sourceOf,
  spanOf,
  type Wanted,
} from './chartData.ts'
import { band, line, time, wholeTime } from './lines.ts'
import type { SessionRecord } from './record.ts'

/** So many standard deviations hold 95 of 100 (normal distribution). */
const BAND_SIGMAS = 1.96

const TRUE_BATH = 'bath, true'
const RECKONED_BATH = 'bath, as the base reckons'
const PROBE = 'probe'

/** The columns of a temperature chart, thinned to `tolerance`. */
function temperatures(record: SessionRecord, tolerance: number): Record<string, Wanted> {
  const reckoned = record.columns.bathCelsius
  const sigma = record.columns.bathSigmaCelsius
  const low = (row: number): number => (reckoned[row] as number) - BAND_SIGMAS * (sigma[row] as number)
  const width = (row: number): number => 2 * BAND_SIGMAS * (sigma[row] as number)
  return {
    truth: recorded(record, 'trueBathCelsius', 2, tolerance),
    reckoned: inBath(record, recorded(record, 'bathCelsius', 2, tolerance)),
    probe: recorded(record, 'probeCelsius', 2, tolerance),
    low: inBath(record, { digits: 2, tolerance, value: low }),
    width: inBath(record, { digits: 2, tolerance, value: width }),
  }
}

function temperatureLines(more: object = {}): object[] {
  return [
    line(TRUE_BATH, 'truth', '@fixed:2: °C', more),
    line(RECKONED_BATH, 'reckoned', '@fixed:2: °C'),
    line(PROBE, 'probe', '@fixed:2: °C', { lineStyle: { width: 1.2 } }),
    ...band('reckoned', 'low', 'width', '@2'),
  ]
}

export function temperatureChart(shown: Shown): Chart {
  const { record, report } = shown
  const { trueBathCelsius, probeCelsius } = record.columns
  const alarms = report.alarms.map(({ number, name, atSeconds }) => ({
    name: `${number} ${name}`,
    value: [milliseconds(atSeconds), celsiusAt(record, atSeconds)],
  }))
  const marks = {
    type: 'scatter',
    name: 'alarm',
    data: alarms,
    color: '@5',
    symbol: 'pin',
    symbolSize: 18,
    tooltip: { trigger: 'item', formatter: '{b}' },
  }
  return {
    name: 'temperature',
    says:
      `Temperature over the session. True bath, the base's own reckoning with the band that should hold the truth 95 times ` +
      `in 100, and its probe. Shaded and numbered: ${bathNumbers(shown)}. Dashed upright lines: the calls to pour out.`,
    height: 360,
    option: {
      dataset: sourceOf(record, temperatures(record, 0.04)),
      xAxis: wholeTime(),
      yAxis: {
        name: '°C',
        ...celsiusRange([trueBathCelsius, probeCelsius], rowsIn(record, 0, Infinity)),
      },
      dataZoom: [{}],
      tooltip: { trigger: 'axis' },
      series: [
        ...temperatureLines({ markArea: bathAreas(shown), markLine: cueLines(shown) }),
        ...(alarms.length > 0 ? [marks] : []),
      ],
    },
  }
}

/** So long after its first contact the bath has taken up most of the tank's heat: close by, what lies before is cut off (assumed). */
const SETTLED_SECONDS = 5

/** The clock is read once a second: a difference to it is taken then and stands until the next time. */
function heldWhenRead(read: number[], difference: (row: number) => number): number[] {
  let held = NaN
  return read.map((now, row) => {
    if (isNaN(now)) held = NaN
    else if (now !== read[row - 1]) held = difference(row)
    return held
  })
}

function rowsIn({ seconds }: SessionRecord, fromSeconds: number, toSeconds: number): number[] {
  return seconds.flatMap((now, row) => (now >= fromSeconds && now <= toSeconds ? [row] : []))
}

/** An axis for these columns in those rows. The band is cut where it is wider: while pouring it is many degrees. */
function celsiusRange(columns: number[][], rows: number[]): { min: number; max: number } | { scale: true } {
  let low = Infinity
  let high = -Infinity
  for (const row of rows) {
    for (const column of columns) {
      const value = column[row] as number
      if (value < low) low = value
      if (value > high) high = value
    }
  }
  if (!(high >= low)) return { scale: true }
  const step = high - low > 10 ? 5 : high - low > 2.5 ? 1 : 0.5
  return { min: step * Math.floor(low / step), max: step * Math.ceil(high / step) }
}

/** Where an alarm is drawn: on the bath, or on the probe between two baths. */
function celsiusAt(record: SessionRecord, seconds: number): number {
  const after = record.seconds.findIndex(now => now >= seconds)
  const row = after < 0 ? record.seconds.length - 1 : after
  const bath = record.columns.trueBathCelsius[row] as number
  return isNaN(bath) ? (record.columns.probeCelsius[row] as number) : bath
}

/** One developed bath: temperature, and how far the base's clock was from what the film got. */
export function closeChart(shown: Shown, index: number): Chart {
  const { record, report, recipe } = shown
  const bath = record.baths[index]!
  const span = spanOf(record, bath)
  const { progress, trueProgress, boundPercent, trueBathCelsius } = record.columns
  const bound = (row: number): number => (progress[row] as number) * (boundPercent[row] as number)
  const off = heldWhenRead(progress, row => 100 * ((progress[row] as number) - (trueProgress[row] as number)))
  const columns = {
    ...temperatures(record, 0.015),
    off: inBath(record, { digits: 2, tolerance: 0.01, value: row => off[row] as number }),
    boundLow: inBath(record, { digits: 2, tolerance: 0.01, value: row => -bound(row) }),
    boundWidth: inBath(record, { digits: 2, tolerance: 0.01, value: row => 2 * bound(row) }),
  }
  const settled = rowsIn(record, span.fromSeconds + SETTLED_SECONDS, span.toSeconds)
  const sheet = recipe.baths[index]?.usableCelsius
  const name = report.baths[index]!.name
  const cue = report.baths[index]!.pourOutSeconds
  const calls = cue === null ? [] : [{ xAxis: milliseconds(cue) }]
  const marked = { markLine: { label: { show: false }, data: calls } }
  return {
    name: `bath-${index + 1}`,
    says:
      `${name} close by. Above: the temperature, with the base's band${sheet ? ` (its recipe calls ${sheet[0]} to ${sheet[1]} °C usable)` : ''}. ` +
      `Below: how far the base's clock was ahead of what the film had got, in percent of the bath, with the bound that the base ` +
      `states. Dashed upright line: the call to pour out.`,
    height: 430,
    option: {
      dataset: sourceOf(record, columns, span),
      grid: [{ height: 200 }, { height: 100 }],
      xAxis: [
        { type: 'time', min: 0, gridIndex: 0, axisLabel: { formatter: '@clock' } },
        time({ min: 0, gridIndex: 1, name: 'minutes from the first contact of this bath' }),
      ],
      yAxis: [
        { name: '°C', gridIndex: 0, ...celsiusRange([trueBathCelsius], settled) },
        { name: 'clock ahead, %', gridIndex: 1, splitNumber: 3 },
      ],
      axisPointer: { link: [{ xAxisIndex: 'all' }] },
      dataZoom: [{}],
      tooltip: { trigger: 'axis' },
      series: [
        ...temperatureLines(marked),
        line('clock ahead', 'off', '@fixed:2: %', { xAxisIndex: 1, yAxisIndex: 1, ...marked }),
        ...band('bound', 'boundLow', 'boundWidth', '@4', { xAxisIndex: 1, yAxisIndex: 1 }),
      ],
    },
  }
}
