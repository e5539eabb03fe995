/**
 * Black-and-white negative film in one developer, from rows that its maker printed for rotary tubes. For another film,
 * copy the recipe and put that film's rows in.
 */
import type { Recipe } from '../recipe.ts'
import { evenAgitation, gentleAgitation } from './agitations.ts'

const ED_BWF = 'KODAK ED-BWF, 2016'

export function makeBwNegative(): Recipe {
  return {
    name: 'bw-negative',
    title: 'B/W negative',
    note: 'For KODAK TRI-X 400 at EI 400/800 in XTOL stock. Other films and developers: put their rows in.',
    source: 'KODAK J-109 (2018), Table 2, and ' + ED_BWF,
    // Drain 10 s: ILFORD, developer poured out 10 s before the end of the time. Filling: 7 to 20 s by hand (KODAK J-109).
    pour: { fillSeconds: 8, drainSeconds: 10 },
    baths: [
      {
        name: 'developer',
        kind: 'developed',
        rows: [
          [18.33, 480],
          [20, 420],
          [21.11, 375],
          [23.89, 285],
        ],
        rowsFor: 'rotary',
        usableCelsius: [18, 26.7],
        reuse: {
          factors: [
            [5, 1],
            [10, 1.15],
            [15, 1.3225],
          ],
        },
        millilitresPerFilm: 100,
        note: 'Contrast index 0.56, fresh stock. Up to 15 films through one litre. Up to 26.7 C with care (US Army SS0509).',
        source: 'KODAK J-109 (2018), Table 2, page 8; reuse and 100 mL of stock for a film: page 2',
        agitation: 'even',
      },
      { name: 'stop', kind: 'atLeast', seconds: 30, usableCelsius: [18, 24], source: ED_BWF, agitation: 'even' },
      {
        name: 'fixer',
        kind: 'atLeast',
        seconds: 240,
        note: '120 to 240 s in fixer from liquid concentrate.',
        source: ED_BWF,
        agitation: 'even',
      },
      { name: 'rinse', kind: 'atLeast', seconds: 30, source: ED_BWF, agitation: 'even' },
      { name: 'wash aid', kind: 'atLeast', seconds: 120, note: '60 to 120 s', source: ED_BWF, agitation: 'even' },
      { name: 'wash', kind: 'atLeast', seconds: 300, note: 'After the wash aid.', source: ED_BWF, agitation: 'even' },
      { name: 'wetting agent', kind: 'atLeast', seconds: 30, source: ED_BWF, agitation: 'gentle' },
    ],
    agitations: { even: evenAgitation(), gentle: gentleAgitation() },
  }
}
