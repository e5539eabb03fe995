/**
 * Colour negative film by its standard process. The steps are those of the maker's table; what is known only from
 * memory says so. Away from 37.8 C the extent of development is promised, not the colour balance between the layers.
 */
import type { Recipe } from '../recipe.ts'
import { evenAgitation, gentleAgitation } from './agitations.ts'

const Z131 = 'KODAK Z-131, table 2-1 (secondary transcription)'

export function makeColourNegative(): Recipe {
  return {
    name: 'colour-negative',
    title: 'Colour negative',
    note: "The kit's own sheet comes first. Push: timeFactor 1.154 (225 s) one stop, 1.308 (255 s) two, in the developer.",
    source: Z131,
    // Drain within each step 10 s: US Army SS0514. Filling: 7 to 20 s by hand (KODAK J-109).
    pour: { fillSeconds: 8, drainSeconds: 10 },
    baths: [
      {
        name: 'prewet',
        kind: 'timed',
        seconds: 60,
        note: 'Warms tank and film. Makers disagree on prewetting: leave it out where the sheet advises against it.',
        source: 'from memory',
        agitation: 'even',
      },
      {
        name: 'developer',
        kind: 'developed',
        rows: [
          [30, 480],
          [37.8, 195],
        ],
        usableCelsius: [30, 39],
        reuse: { perFilm: 0.02 },
        millilitresPerFilm: 125,
        note: "30 C, reuse and volume from memory: the kit's own sheet comes first. Below 37.8 C the extent is right, not the colour balance.",
        source: '195 s at 37.8 C: ' + Z131 + '. All else: from memory',
        agitation: 'even',
      },
      {
        name: 'bleach',
        kind: 'atLeast',
        seconds: 390,
        usableCelsius: [35, 41],
        note: '260 to 390 s',
        source: Z131,
        agitation: 'even',
      },
      { name: 'bleach wash', kind: 'atLeast', seconds: 65, usableCelsius: [24, 41], source: Z131, agitation: 'even' },
      { name: 'fixer', kind: 'atLeast', seconds: 260, usableCelsius: [35, 41], source: Z131, agitation: 'even' },
      { name: 'fixer wash', kind: 'atLeast', seconds: 195, usableCelsius: [24, 41], source: Z131, agitation: 'even' },
      { name: 'final rinse', kind: 'atLeast', seconds: 65, usableCelsius: [24, 41], source: Z131, agitation: 'gentle' },
    ],
    agitations: { even: evenAgitation(), gentle: gentleAgitation() },
  }
}
