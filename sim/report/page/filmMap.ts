/** Maps of the film: how long each place round it lay in the liquid, at the inner, middle and outer turn. Pure. */
import type { Chart } from './page.ts'

/** Of the 360 places round the film every so-manieth is drawn. */
const PLACES_STEP = 2
/** From ring to ring. */
const RING_PERCENT = 20
/** Turns of the film on the reel for which immersion is kept. */
export const FILM_TURNS = ['inner', 'middle', 'outer'] as const

/** One map: for each turn of the film the share of the time in the liquid, by degrees (360 values from 0 to 1). */
export interface FilmMap {
  /** File name. */
  name: string
  /** What it is of: before the colon of what it says. */
  what: string
  /** What it says of the unevenness, behind "in percent". */
  varies: string
  shares: ArrayLike<number>[]
}

/** The maps with the same rings, to be held against each other. */
export function filmMaps(maps: FilmMap[]): Chart[] {
  const most = Math.max(0, ...maps.flatMap(map => map.shares.map(turn => Math.max(...Array.from(turn)))))
  const max = RING_PERCENT * Math.max(1, Math.ceil((100 * most) / RING_PERCENT))
  return maps.map(map => chartOf(map, max))
}

function chartOf({ name, what, varies, shares }: FilmMap, max: number): Chart {
  const degrees: number[] = []
  for (let place = 0; place <= 360; place += PLACES_STEP) degrees.push(place)
  const source: Record<string, number[]> = { degrees }
  FILM_TURNS.forEach((turn, i) => {
    source[turn] = degrees.map(place => Number((100 * (shares[i]![place % 360] as number)).toFixed(2)))
  })
  return {
    name,
    says: `${what}: share of the time in the liquid round the film, in percent; ${varies}`,
    height: 268,
    option: {
      dataset: { source },
      polar: {},
      angleAxis: {
        type: 'value',
        min: 0,
        max: 360,
        interval: 90,
        startAngle: 90,
        axisLabel: { formatter: '@fixed:0:°' },
      },
      radiusAxis: { type: 'value', min: 0, max, interval: RING_PERCENT, axisLabel: { formatter: '@fixed:0:' } },
      tooltip: { trigger: 'axis' },
      series: FILM_TURNS.map(turn => ({
        type: 'line',
        name: turn,
        coordinateSystem: 'polar',
        encode: { radius: turn, angle: 'degrees' },
        tooltip: { valueFormatter: '@fixed:1: %' },
      })),
    },
  }
}
