/**
 * Colour reversal film by its standard process. The steps up to the fixer are those of the maker's table; what is
 * known only from memory says so. Away from 38 C the extent of development is promised, not the colour balance.
 */
import type { Recipe } from '../recipe.ts'
import { evenAgitation, gentleAgitation } from './agitations.ts'

const Z119 = 'KODAK Z-119 (secondary transcription)'
const PER_DEGREE = 'About 10 % a degree as for black-and-white developers, from memory: the kit sheet comes first.'

export function makeColourReversal(): Recipe {
  return {
    name: 'colour-reversal',
    title: 'Colour reversal',
    note: "The kit's own sheet comes first. Push by one stop: timeFactor 1.333 in the first developer (480 s, E-4000).",
    source: Z119,
    // Drain within each step 10 s: US Army SS0514. Filling: 7 to 20 s by hand (KODAK J-109).
    pour: { fillSeconds: 8, drainSeconds: 10 },
    baths: [
      {
        name: 'prewet',
        kind: 'timed',
        seconds: 60,
        note: 'Warms tank and film, so that the first developer stays in its narrow range. Leave it out where the sheet advises against it.',
        source: 'from memory',
        agitation: 'even',
      },
      {
        name: 'first developer',
        kind: 'developed',
        seconds: 360,
        atCelsius: 38,
        coefficientPer10C: 2.7,
        usableCelsius: [36, 39],
        millilitresPerFilm: 125,
        note: PER_DEGREE + ' Volume from memory.',
        source: '360 s at 38 C: ' + Z119 + '. All else: from memory',
        agitation: 'even',
      },
      {
        name: 'first wash',
        kind: 'timed',
        seconds: 120,
        usableCelsius: [36, 39],
        note: 'Its time and temperature affect the colour too (US Army SS0514).',
        source: Z119,
        agitation: 'even',
      },
      {
        name: 'reversal bath',
        kind: 'atLeast',
        seconds: 120,
        usableCelsius: [24, 39],
        note: 'No wash after it.',
        source: Z119,
        agitation: 'even',
      },
      {
        name: 'colour developer',
        kind: 'developed',
        seconds: 360,
        atCelsius: 38,
        coefficientPer10C: 2.7,
        usableCelsius: [36, 39],
        millilitresPerFilm: 125,
        note: PER_DEGREE + ' Volume from memory.',
        source: '360 s at 38 C: ' + Z119 + '. All else: from memory',
        agitation: 'even',
      },
      { name: 'pre-bleach', kind: 'atLeast', seconds: 120, usableCelsius: [24, 39], source: Z119, agitation: 'even' },
      { name: 'bleach', kind: 'atLeast', seconds: 360, usableCelsius: [33, 39], source: Z119, agitation: 'even' },
      { name: 'fixer', kind: 'atLeast', seconds: 240, usableCelsius: [33, 39], source: Z119, agitation: 'even' },
      {
        name: 'wash',
        kind: 'atLeast',
        seconds: 240,
        usableCelsius: [24, 39],
        source: 'from memory',
        agitation: 'even',
      },
      { name: 'final rinse', kind: 'atLeast', seconds: 60, source: 'from memory', agitation: 'gentle' },
    ],
    agitations: { even: evenAgitation(), gentle: gentleAgitation() },
  }
}
