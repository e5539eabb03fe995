/**
 * The page of a tuning: what the terminal says, and beside it the programmes against each other and the film before and
 * after. Every figure in it is of the document that lies in the page. Pure.
 */
import type { Agitation } from '../../../firmware/recipe/recipe.ts'
import type { Page, Table } from '../../report/page/page.ts'
import { CAUTIONS, clockTime } from '../../report/words.ts'
import { energyChart, mapCharts, type NamedMap, reversalsChart, type Shown } from './charts.ts'
import { COMPARED } from './compared.ts'
import { pastings } from './fragment.ts'
import type { Programme, TuneReport } from './result.ts'
import { nameOf, sayMeasure, sayProgramme, sayValue } from './sayFigures.ts'
import { isAdvised } from './text.ts'
import { whySentences } from './why.ts'
import type { Measure } from './wishes.ts'

export function tunePage(shown: Shown, maps: NamedMap[]): Page {
  const { report } = shown
  const { advised } = report
  return {
    title: `Turning the ${report.bath} of ${report.recipe}`,
    lead: [`Advised: ${sayProgramme(advised)}.`, ...(report.meetsWishes ? [] : report.unmet)],
    figures: [
      ['unevenness of wetting', sayMeasure('immersionCv', advised)],
      ['with equal legs', sayMeasure('immersionCv', report.equalLegs)],
      ['longest dry spell', sayMeasure('longestDrySeconds', advised)],
      ['reversals', sayMeasure('reversals', advised)],
      ['energy of the bath', sayMeasure('joules', advised)],
    ],
    sections: [
      {
        heading: 'Why this programme',
        words: [...whySentences(report), ...report.remarks],
        table: wishesTable(report),
      },
      { heading: 'What it costs', words: [], table: comparedTable(report) },
      {
        heading: 'All programmes',
        words: [
          'A front holds those programmes that no other beats in everything at once: ' +
            `${report.objectives.map(one => nameOf(one as Measure)).join(', ')}. Its figures are those that 19 of 20 evenings ` +
            'keep to (energy and reversals: means), on evenings that the search had not seen.',
        ],
        chart: energyChart(shown),
      },
      { heading: 'How often to turn back', words: [], chart: reversalsChart(shown) },
      {
        heading: 'The film before and after',
        words: [
          'Round each map goes the film; outwards goes the share of the time that it lay in the liquid, at the inner, the middle ' +
            'and the outer turn of the reel. A circle is even. One evening, the same base and tank for each.',
        ],
        charts: mapCharts(maps),
      },
      { heading: 'The front', words: [], table: frontTable(report) },
      {
        heading: 'Into the recipe',
        words: [...pasteLines(report), question(report)],
      },
      { heading: 'Before you develop', words: CAUTIONS },
    ],
    json: report,
  }
}

/** What `--write` would write, each part on one line, with room for the eye, after where it belongs. */
function pasteLines({ place, bath, fragment }: TuneReport): string[] {
  const { steps, others } = pastings(place, bath, fragment.agitations[place.key] as Agitation)
  const lines = steps.flatMap(({ where, name, value }) => {
    const inside = JSON.stringify(value, null, 1).replace(/\n */g, ' ')
    return [where, `${JSON.stringify(name)}: ${inside}`]
  })
  return [...lines, others]
}

function question(report: TuneReport): string {
  return (
    `For ${clockTime(report.seconds)}, of which the tank turns ${clockTime(report.turningSeconds)}, in ` +
    `${Math.round(report.millilitres)} mL. ${report.tried} programmes were tried, seed ${report.seed}.`
  )
}

function wishesTable(report: TuneReport): Table {
  return {
    head: ['wish', 'limit', 'advised', 'kept'],
    rows: report.wishes.map(({ measure, limit, atLeast }) => {
      const value = report.advised[measure as Measure]
      const name = nameOf(measure as Measure)
      const kept = atLeast ? value >= limit : value <= limit
      return [
        name,
        `${atLeast ? 'at least' : 'at most'} ${sayValue(measure as Measure, limit)}`,
        sayMeasure(measure as Measure, report.advised),
        kept ? 'yes' : 'no',
      ]
    }),
  }
}

function comparedTable(report: TuneReport): Table {
  const programmes = [report.advised, report.equalLegs, report.asItStands]
  return {
    head: ['', 'advised', 'equal legs', 'as the recipe has it'],
    rows: COMPARED.map(measure => [nameOf(measure), ...programmes.map(one => sayMeasure(measure, one))]),
  }
}

function frontTable(report: TuneReport): Table {
  const row = (one: Programme): string[] => [
    isAdvised(one, report) ? 'advised' : one.meetsWishes ? '' : 'breaks a wish',
    String(one.rpm),
    `${one.legTurns}${one.stagger ? '' : ', equal'}`,
    one.restSeconds.toFixed(1),
    one.rampSeconds.toFixed(1),
    one.opening === undefined ? 'none' : `${one.opening.seconds} s at ${one.opening.rpm}`,
    ...FRONT_MEASURES.map(measure => sayMeasure(measure, one)),
  ]
  return {
    head: [
      '',
      'rpm',
      'turns',
      'rest, s',
      'ramp, s',
      'opening',
      'uneven',
      'dry',
      'one way',
      'back',
      'energy',
      'surface',
    ],
    // What keeps the wishes first; within each the cheapest first, as the document has them.
    rows: [...report.front.filter(one => one.meetsWishes), ...report.front.filter(one => !one.meetsWishes)].map(row),
  }
}

const FRONT_MEASURES: Measure[] = [
  'immersionCv',
  'longestDrySeconds',
  'oneWaySeconds',
  'reversals',
  'joules',
  'foamMillimetresPerSecond',
]
