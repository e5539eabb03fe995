/** What a person reads of a sensitivity study, within 80 columns: a table, a chart of bars, and where the next euro goes. */
import { wrapped } from '../../report/words.ts'
import { shareBar } from './bars.ts'
import { plain, wholePercent } from './figureWords.ts'
import type { InputFigures, OutputFigures, SensitivityDocument } from './sensitivity.ts'

const LABEL = 46
const CELL = 17
const CHART_LABEL = 36
const BAR = 36

export function sensitivityText(document: SensitivityDocument): string {
  const { clockErrorPercent: clock, totalErrorPercent: film } = document.outputs
  const dropped = document.dropped > 0 ? `, ${document.dropped} left out: a session was not carried through` : ''
  return [
    ...wrapped(
      `What moves the error of ${document.title}, "${document.population}" ` +
        `(${document.sessions.toLocaleString('en')} evenings in ${document.rows.toLocaleString('en')} rows${dropped})`,
      2,
    ),
    '',
    `Of the clock: it spreads by ${plain(clock.deviation)} %, one sigma; 95 of 100 are within ${plain(clock.p95)} %`,
    ...table(clock),
    '',
    ...chart(clock),
    '',
    ...wrapped(nextEuro(clock), 2),
    '',
    `Of the film, hand included: ${plain(film.deviation)} %, one sigma; 95 of 100 are within ${plain(film.p95)} %`,
    ...chart(film),
  ].join('\n')
}

function table({ inputs, together }: OutputFigures): string[] {
  const line = (label: string, alone: string, withOthers: string): string =>
    (label.padEnd(LABEL) + alone.padStart(CELL) + withOthers.padStart(CELL)).trimEnd()
  return [
    line('part of the spread, in percent', 'alone', 'with others'),
    ...inputs.map(input =>
      line(input.words, part(input.first, input.firstInterval), part(input.total, input.totalInterval)),
    ),
    line('only several inputs together', part(together, undefined), ''),
  ]
}

/** Bars of the total part; inputs that make less than a hundredth are left out. */
function chart({ inputs }: OutputFigures): string[] {
  return inputs
    .filter(input => (input.total ?? 0) >= 0.01)
    .map(({ words, total }) => {
      const label = words.length > CHART_LABEL - 1 ? `${words.slice(0, CHART_LABEL - 3)}..` : words
      return `${label.padEnd(CHART_LABEL)}${shareBar(total ?? 0, BAR)} ${wholePercent(total)} %`
    })
}

/** What a maker would win by knowing the first input exactly: the variance less what it makes alone. */
export function nextEuro({ inputs, p95 }: OutputFigures): string {
  const [first, second] = inputs as [InputFigures, InputFigures]
  const alone = Math.min(first.first ?? 0, first.total ?? 0)
  const left = Math.sqrt(Math.max(0, 1 - alone))
  return (
    `The next euro goes into this: ${first.words}. Without it the clock's error would spread ${wholePercent(left)} % as wide: about ` +
    `${plain((p95 ?? NaN) * left)} % in place of ${plain(p95)} % in 95 of 100 evenings. Then comes: ${second.words}.`
  )
}

export function part(share: number | null, interval: [number | null, number | null] | undefined): string {
  const around = interval === undefined ? '' : ` (${wholePercent(interval[0])} to ${wholePercent(interval[1])})`
  return `${wholePercent(share)}${around}`
}
