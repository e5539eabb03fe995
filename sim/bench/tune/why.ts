/** Why this programme: the rule, what it kept to, what it cost beside equal legs and the programme as it stands. */

import type { Programme, TuneReport } from './result.ts'
import { SAME_COST } from './rule.ts'
import { nameOf, sayMeasure, sayValue } from './sayFigures.ts'
import type { Measure } from './wishes.ts'

/** `12 % less energy`, `as many reversals`: `words` for less, more and the same. */
export function compared(value: number, other: number, words: [string, string, string]): string {
  const percent = other > 0 ? Math.round(100 * (value / other - 1)) : 0
  return percent === 0 ? words[2] : `${Math.abs(percent)} % ${percent > 0 ? words[1] : words[0]}`
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
    `Of all programmes that keep to the wishes (${kept}) it is the most even of the cheapest (all within ` +
    `${100 * SAME_COST} % of the least energy and wear, a reversal counted like ${wearJoules} J).`
  const nearest = 'No programme keeps to all wishes; this one misses by least.'
  return [report.meetsWishes ? rule : nearest, ...comparisons(report), onSpeed(advised)]
}

function comparisons({ advised, equalLegs, asItStands }: TuneReport): string[] {
  const pair = (other: Programme): string =>
    `${compared(advised.joules, other.joules, ['less energy', 'more energy', 'as much energy'])} and ` +
    compared(advised.reversals, other.reversals, ['fewer reversals', 'more reversals', 'as many reversals'])
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
