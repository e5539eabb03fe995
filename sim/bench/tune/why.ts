/** Why this programme: the rule, what it kept to, what it cost beside equal legs and the programme as it stands. */

import type { Programme, TuneReport } from './result.ts'
import { nameOf, sayMeasure, sayValue } from './sayFigures.ts'
import type { Measure } from './wishes.ts'

/** `12 % less`, `as much`. */
export function compared(value: number, other: number): string {
  if (!(other > 0)) return value > other ? 'more' : 'as much'
  const percent = Math.round(100 * (value / other - 1))
  return percent === 0 ? 'as much' : `${Math.abs(percent)} % ${percent > 0 ? 'more' : 'less'}`
}

/** Sentences. */
export function whySentences(report: TuneReport): string[] {
  const { advised, wishes, wearJoules } = report
  const kept = wishes
    .map(
      wish =>
        `${nameOf(wish.measure as Measure)} ${wish.atLeast ? 'at least' : 'at most'} ${sayValue(wish.measure as Measure, wish.limit)}`,
    )
    .join(', ')
  const rule =
    `Of all programmes that keep to the wishes (${kept}) it costs least: energy and wear together, a reversal counted ` +
    `like ${wearJoules} J.`
  const nearest = 'No programme keeps to all wishes; this one misses by least.'
  return [report.meetsWishes ? rule : nearest, ...comparisons(report), onSpeed(advised)]
}

function comparisons({ advised, equalLegs, asItStands }: TuneReport): string[] {
  const pair = (other: Programme): string =>
    `${compared(advised.joules, other.joules)} energy and ${compared(advised.reversals, other.reversals)} reversals`
  return [
    `Equal legs, at the same speed and with the same turns, leave ${sayMeasure('immersionCv', equalLegs)} of unevenness where ` +
      `this leaves ${sayMeasure('immersionCv', advised)}; it takes ${pair(equalLegs)}.`,
    `Beside the programme as the recipe has it (${sayMeasure('immersionCv', asItStands)}), it takes ${pair(asItStands)}.`,
  ]
}

function onSpeed(advised: Programme): string {
  return (
    `Film goes through the surface at ${sayMeasure('foamMillimetresPerSecond', advised)} (outermost turn, root mean square ` +
    'over the bath): the less, the less foam. That this speed tells foam is assumed.'
  )
}
