/** How the measures of a programme are called and written for people: one place for terminal and page. */
import type { Agitation } from '../../../firmware/recipe/recipe.ts'
import type { Figures } from './figures.ts'
import type { Measure, Wish } from './wishes.ts'

const NAMES: Record<Measure, string> = {
  immersionCv: 'unevenness',
  longestDrySeconds: 'longest dry spell',
  oneWaySeconds: 'longest time in one direction',
  exchangesPerMinute: 'exchanges a minute',
  reversals: 'reversals',
  joules: 'energy',
  peakAmps: 'peak current',
  foamMillimetresPerSecond: 'surface speed',
}

export function nameOf(measure: Measure): string {
  return NAMES[measure]
}

/** A value with its unit. */
export function sayValue(measure: Measure, value: number): string {
  switch (measure) {
    case 'immersionCv':
      return `${(100 * value).toFixed(2)} %`
    case 'longestDrySeconds':
    case 'oneWaySeconds':
      return `${value.toFixed(1)} s`
    case 'exchangesPerMinute':
      return value.toFixed(1)
    case 'reversals':
      return value.toFixed(0)
    case 'joules':
      return `${value.toFixed(0)} J`
    case 'peakAmps':
      return `${value.toFixed(2)} A`
    case 'foamMillimetresPerSecond':
      return `${value.toFixed(0)} mm/s`
  }
}

export function sayMeasure(measure: Measure, figures: Figures): string {
  return sayValue(measure, figures[measure])
}

/** `--cv (unevenness at most 1.00 %)` */
export function sayWish(wish: Wish): string {
  return `${wish.option} (${nameOf(wish.measure)} ${wish.atLeast ? 'at least' : 'at most'} ${sayValue(wish.measure, wish.limit)})`
}

/** `38 rpm, legs of 4.3 turns, …` */
export function sayProgramme(agitation: Agitation): string {
  const { rpm, legTurns, restSeconds, rampSeconds, stagger, opening } = agitation
  const legs = `${rpm} rpm in ${stagger ? 'staggered' : 'equal'} legs of ${legTurns} turns`
  const begin = opening === undefined ? 'no opening spell' : `after ${opening.seconds} s one way at ${opening.rpm} rpm`
  return `${legs}, resting ${restSeconds} s, ramps of ${rampSeconds} s, ${begin}`
}
