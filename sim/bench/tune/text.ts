/** A tuning as a person reads it in the terminal: the front, the programme advised and why, and what to paste. */
import type { Agitation } from '../../../firmware/recipe/recipe.ts'
import { clockTime, wrapped } from '../../report/words.ts'
import { COMPARED } from './compared.ts'
import { pastings } from './fragment.ts'
import { spreadOver } from './pareto.ts'
import type { Programme, TuneReport } from './result.ts'
import { nameOf, sayMeasure, sayProgramme } from './sayFigures.ts'
import { type Mark, scatterLines } from './scatter.ts'
import { whySentences } from './why.ts'

/** More rows nobody compares. */
const ROWS_AT_MOST = 12
const KEEPING_AT_MOST = 8
const MARGIN = 9

/** Lines of at most 80 characters. `file` is where the programme was written, if it was. */
export function tuneText(report: TuneReport): string {
  return [
    ...headLines(report),
    '',
    ...frontTable(report),
    '',
    ...scatterLines(
      marksOf(report),
      'J of a bath',
      'unevenness (A advised, o keeps the wishes, + does not)',
      value => `${(100 * value).toFixed(2)} %`,
    ),
    '',
    ...paragraph('Advised', `${sayProgramme(report.advised)}.`),
    ...paragraph('Why', whySentences(report).join(' ')),
    ...report.unmet.flatMap((sentence, i) => paragraph(i === 0 ? 'NOT MET' : '', sentence)),
    ...report.remarks.flatMap(remark => paragraph('Mind', remark)),
    '',
    ...comparison(report),
    '',
    ...pasteLines(report),
  ].join('\n')
}

function headLines(report: TuneReport): string[] {
  const { recipe, bath, seconds, turningSeconds, millilitres, levelMillimetres, tried, seed } = report
  const level = `${Math.abs(levelMillimetres)} mm ${levelMillimetres < 0 ? 'below' : 'above'} the axis`
  return wrapped(
    `${bath} of ${recipe}: ${clockTime(seconds)}, of which the tank turns ${clockTime(turningSeconds)}; ` +
      `${Math.round(millilitres)} mL stand ${level}. ${tried} programmes tried, seed ${seed}. ` +
      'Unevenness: how much the time in the bath differs round the film (deviation over mean), at the worst of the ' +
      'inner, middle and outer turn. 19 evenings in 20 keep to each figure; energy, reversals and exchanges are means.',
    0,
  )
}

/** One paragraph: its subject in the margin, its sentences beside it. */
function paragraph(subject: string, sentences: string): string[] {
  const [first, ...rest] = wrapped(`${'x'.repeat(MARGIN)}${sentences}`, MARGIN)
  return [subject.padEnd(MARGIN) + (first as string).slice(MARGIN), ...rest]
}

/** [heading, width, cell] */
type Column = [string, number, (programme: Programme) => string]

const COLUMNS: Column[] = [
  ['rpm', 5, one => String(one.rpm)],
  ['turns', 8, one => `${one.legTurns.toFixed(1)}${one.stagger ? ' ' : '='}`],
  ['rest', 5, one => one.restSeconds.toFixed(1)],
  ['ramp', 5, one => one.rampSeconds.toFixed(1)],
  ['opening', 9, one => (one.opening === undefined ? '-' : `${one.opening.seconds}s @${one.opening.rpm}`)],
  ['uneven', 8, one => sayMeasure('immersionCv', one)],
  ['dry', 6, one => `${one.longestDrySeconds.toFixed(1)} s`],
  ['one way', 8, one => `${one.oneWaySeconds.toFixed(1)} s`],
  ['back', 5, one => one.reversals.toFixed(0)],
  ['energy', 7, one => sayMeasure('joules', one)],
  ['surface', 9, one => sayMeasure('foamMillimetresPerSecond', one)],
]

/** At most `ROWS_AT_MOST` of the front, spread over it, the advised one marked. */
export function tableRows(report: TuneReport): Programme[] {
  const all = report.front.map(one => ({ figures: one }))
  const advised = all.filter(one => isAdvised(one.figures, report))
  // Most rows for what keeps to the wishes; the others show what it would cost to give one up.
  const keeping = all.filter(one => one.figures.meetsWishes)
  const others = all.filter(one => !one.figures.meetsWishes)
  const kept = spreadOver(keeping, Math.max(KEEPING_AT_MOST, ROWS_AT_MOST - others.length), advised)
  const broken = spreadOver(others, ROWS_AT_MOST - kept.length, advised)
  return all.filter(one => kept.includes(one) || broken.includes(one)).map(one => one.figures)
}

export function isAdvised(programme: Programme, { advised }: TuneReport): boolean {
  return JSON.stringify(programme) === JSON.stringify(advised)
}

function frontTable(report: TuneReport): string[] {
  const rows = tableRows(report)
  const head = COLUMNS.map(([heading, width]) => heading.padStart(width)).join('')
  const lines = rows.map(
    one =>
      (isAdvised(one, report) ? '>' : one.meetsWishes ? ' ' : '!') +
      COLUMNS.map(([, width, cell]) => cell(one).padStart(width)).join(''),
  )
  const left = report.front.length - rows.length
  const keys = [
    '> advised',
    ...(rows.some(one => !one.meetsWishes) ? ['! breaks a wish'] : []),
    ...(rows.some(one => !one.stagger) ? ['= without stagger'] : []),
    ...(left > 0 ? [`${left} more in --json`] : []),
  ]
  return [` ${head}`, ...lines, keys.join('   ')]
}

function marksOf(report: TuneReport): Mark[] {
  const mark = (one: Programme, sign: string): Mark => ({ x: one.joules, y: one.immersionCv, sign })
  return [
    ...report.front.filter(one => !one.meetsWishes).map(one => mark(one, '+')),
    ...report.front.filter(one => one.meetsWishes).map(one => mark(one, 'o')),
    mark(report.advised, 'A'),
  ]
}

/** What `--write` would write, each part under where it belongs. */
function pasteLines({ place, bath, fragment, meetsWishes }: TuneReport): string[] {
  const { steps, others } = pastings(place, bath, fragment.agitations[place.key] as Agitation)
  return [
    `Into the recipe (--write ${meetsWishes ? 'does it' : 'does not, as it breaks a wish'}):`,
    ...steps.flatMap(({ where, name, value }) => [
      ...wrapped(where, 0),
      ...`${JSON.stringify(name)}: ${JSON.stringify(value, null, 2)}`.split('\n').map(line => `  ${line}`),
    ]),
    ...wrapped(others, 0),
  ]
}

function comparison(report: TuneReport): string[] {
  const columns: [string, Programme][] = [
    ['advised', report.advised],
    ['equal legs', report.equalLegs],
    ['as it stands', report.asItStands],
  ]
  return [
    ' '.repeat(30) + columns.map(([name]) => name.padStart(16)).join(''),
    ...COMPARED.map(
      measure => nameOf(measure).padEnd(30) + columns.map(([, one]) => sayMeasure(measure, one).padStart(16)).join(''),
    ),
  ]
}
