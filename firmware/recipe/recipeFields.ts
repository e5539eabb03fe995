/**
 * The key table of a recipe: every key with its type, unit, range and meaning. The checker, `recipe.schema.json` and
 * `KEYS.md` are made from it; `relations.ts` adds what one key asks of another.
 */
import {
  type Field,
  type ListSpec,
  number,
  type ObjectSpec,
  optional,
  required,
  type Spec,
  type TupleSpec,
  text,
} from './fields.ts'

/** Films that one litre has seen; no sheet goes further than 24 (RAPID FIXER 1+4, ILFORD 2002). */
const films = (): Spec => number(0.1, 1000, 'films per litre')
const celsius = (): Spec => number(0, 60, 'C')
const seconds = (): Spec => number(1, 36000, 's')
const rpm = (): Spec => number(5, 120, 'rpm')

function pairs(first: Spec, second: Spec, least: number, most: number, run: ListSpec['second']): ListSpec {
  const pair: TupleSpec = { type: 'tuple', of: [first, second], rising: false }
  return run === undefined
    ? { type: 'list', of: pair, least, most, first: 'rising' }
    : { type: 'list', of: pair, least, most, first: 'rising', second: run }
}

/** `note` and `source` of every kind of file. */
export function provenanceFields(): Field[] {
  return [
    optional('note', text(0, 200), 'none', 'what a reader should know'),
    optional('source', text(0, 200), 'none', 'where the figures come from, or "from memory"'),
  ]
}

function reuseSpec(): ObjectSpec {
  return {
    type: 'object',
    exactlyOneOf: ['perFilm', 'factors', 'addSeconds'],
    fields: [
      optional('perFilm', number(0, 2, 'of the time'), '', 'fraction of the time added for each film already through'),
      optional(
        'factors',
        pairs(films(), number(1, 10, 'times'), 1, 12, 'notFalling'),
        '',
        '[up to this film, factor on the time], by films through one litre',
      ),
      optional(
        'addSeconds',
        pairs(films(), number(0, 36000, 's'), 1, 12, 'notFalling'),
        '',
        '[up to this film, seconds added at the primary time], by films through one litre',
      ),
    ],
  }
}

function bathSpec(): ObjectSpec {
  return {
    type: 'object',
    fields: [
      required('name', text(1, 16), 'what the operator calls it'),
      required('kind', { type: 'choice', of: ['developed', 'timed', 'atLeast'] }, 'how its end is decided'),
      optional('seconds', seconds(), 'asked for by timed and atLeast', 'its time, drain included'),
      optional(
        'rows',
        pairs(celsius(), seconds(), 2, 12, 'notRising'),
        'developed asks for rows, or seconds, atCelsius and coefficientPer10C',
        '[celsius, seconds] of the sheet, celsius rising, seconds not rising',
      ),
      optional('atCelsius', celsius(), 'see rows', 'the temperature of seconds'),
      optional('coefficientPer10C', number(1, 10, 'times'), 'see rows', 'factor on the rate for every 10 C'),
      optional(
        'rowsFor',
        { type: 'choice', of: ['rotary', 'intermittent', 'any'] },
        'any',
        'the agitation with which the times were measured',
      ),
      optional('rotaryFactor', number(0.5, 1.2, 'times'), '1', 'factor on the time for turning without pause'),
      optional(
        'startsWhen',
        { type: 'choice', of: ['contact', 'full'] },
        'contact',
        'what the sheet counts its time from',
      ),
      optional('timeFactor', number(0.25, 4, 'times'), '1', 'push, pull, own experience'),
      optional(
        'usableCelsius',
        { type: 'tuple', of: [celsius(), celsius()], rising: true },
        'no check',
        '[low, high] within which the bath may be used',
      ),
      optional('reuse', reuseSpec(), 'none', 'longer time for a solution that was used before'),
      optional('millilitresPerFilm', number(1, 5000, 'mL'), 'none', 'what the chemistry needs for one film'),
      required('agitation', text(1, 24), 'a key of agitations'),
    ].concat(provenanceFields()),
    when: [
      { key: 'kind', is: 'developed', oneSetOf: [['rows'], ['seconds', 'atCelsius', 'coefficientPer10C']] },
      { key: 'kind', is: 'timed', oneSetOf: [['seconds']] },
      { key: 'kind', is: 'atLeast', oneSetOf: [['seconds']] },
    ],
  }
}

function openingSpec(): ObjectSpec {
  return {
    type: 'object',
    fields: [
      required('rpm', rpm(), 'of the tank, one way'),
      required('seconds', number(0, 600, 's'), 'how long the opening spell lasts'),
    ],
  }
}

function agitationSpec(): ObjectSpec {
  return {
    type: 'object',
    fields: [
      required('rpm', rpm(), 'speed of the tank'),
      required('legTurns', number(0.6, 50, 'turns'), 'turns of the tank between two reversals'),
      required('restSeconds', number(0, 30, 's'), 'rest between two legs'),
      required('rampSeconds', number(0.1, 5, 's'), 'from rest to full speed'),
      required('stagger', { type: 'flag' }, 'move the reversal points round the tank'),
      optional('opening', openingSpec(), 'none', 'turning one way when the bath begins'),
      optional('leastRpm', rpm(), 'rpm', 'how far saving charge may slow it'),
      optional('netTurnsAtMost', number(0.6, 50, 'turns'), 'no bound', 'for a probe cable that turns with the tank'),
    ],
  }
}

/** Made when it is asked for: on the board the table takes memory only while a recipe is checked. */
export function recipeSpec(): ObjectSpec {
  return {
    type: 'object',
    fields: [
      required('name', { type: 'text', least: 1, most: 24, form: 'slug' }, 'how commands and journal call the recipe'),
      required('title', text(1, 20), 'what the screen shows'),
      required(
        'pour',
        {
          type: 'object',
          fields: [
            required('fillSeconds', number(0, 120, 's'), 'from first contact to full'),
            required('drainSeconds', number(0, 120, 's'), 'from full to empty'),
          ],
        },
        'how long pouring takes',
      ),
      required('baths', { type: 'list', of: bathSpec(), least: 1, most: 16 }, 'the baths in order'),
      required(
        'agitations',
        {
          type: 'named',
          of: agitationSpec(),
          key: { type: 'text', least: 1, most: 24, form: 'word' },
          least: 1,
          most: 16,
        },
        'how the tank is turned, by name',
      ),
    ].concat(provenanceFields()),
  }
}
