/** A short recipe for sessions that are carried out many times. */
import type { Recipe } from '../../../firmware/recipe/recipe.ts'
import { evenAgitation } from '../../../firmware/recipe/shipped/agitations.ts'

/** Its developer's rows: two, so that a plain formula says what lies between. */
export const DEVELOPER_ROWS: [number, number][] = [
  [20, 300],
  [30, 150],
]

export const developerAndStop: Recipe = {
  name: 'developer-and-stop',
  title: 'Developer and stop',
  pour: { fillSeconds: 5, drainSeconds: 6 },
  baths: [
    { name: 'developer', kind: 'developed', rows: DEVELOPER_ROWS, rowsFor: 'rotary', agitation: 'even' },
    { name: 'stop', kind: 'timed', seconds: 30, agitation: 'even' },
  ],
  agitations: { even: evenAgitation() },
}

/** The same with another developer. */
export function withDeveloper(changed: Partial<Recipe['baths'][number]>): Recipe {
  const [developer, stop] = developerAndStop.baths
  return { ...developerAndStop, baths: [{ ...developer!, ...changed }, stop!] }
}
