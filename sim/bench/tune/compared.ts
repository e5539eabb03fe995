/** What programmes are compared by, in the order in which it is shown. */
import type { Measure } from './wishes.ts'

export const COMPARED: Measure[] = [
  'immersionCv',
  'longestDrySeconds',
  'oneWaySeconds',
  'exchangesPerMinute',
  'reversals',
  'joules',
  'peakAmps',
  'foamMillimetresPerSecond',
]
