/**
 * The key table of a population file: every key with its range and meaning, for the checker and for editors. Ranges are
 * what the simulation can carry out, not what is sensible.
 */
import { checkSpec } from '../../../firmware/recipe/fieldCheck.ts'
import {
  type Field,
  number,
  type ObjectSpec,
  optional,
  required,
  type Spec,
  text,
} from '../../../firmware/recipe/fields.ts'
import { asFields, own } from '../../../firmware/recipe/ownKeys.ts'
import { createProblems, listProblems, type Problem, type Problems, refuse } from '../../../firmware/recipe/problem.ts'
import { provenanceFields } from '../../../firmware/recipe/recipeFields.ts'

const FORMS = ['is', 'between', 'around', 'choose']

function spread(least: number, most: number, unit: string): ObjectSpec {
  const value = number(least, most, unit)
  const sigma = number(0, most - least, unit)
  const pair = (first: Spec, second: Spec, rising: boolean): Spec => ({ type: 'tuple', of: [first, second], rising })
  return {
    type: 'object',
    exactlyOneOf: FORMS,
    fields: [
      optional('is', value, '', 'the same every evening'),
      optional('between', pair(value, value, true), '', 'anywhere from the first to the second, evenly'),
      optional('around', pair(value, sigma, false), '', 'the middle, and one sigma of a normal distribution'),
      optional('within', pair(value, value, true), 'no limits', 'for `around`: what lies beyond takes the nearer end'),
      optional(
        'choose',
        { type: 'list', of: pair(value, number(1e-6, 1e6, ''), false), least: 1, most: 50 },
        '',
        'one of these, each [value, share]',
      ),
    ],
  }
}

function quantity(key: string, of: ObjectSpec, meaning: string): Field {
  return optional(key, of, 'as in `usual`', meaning)
}

function share(key: string, meaning: string): Field {
  return optional(key, number(0, 1, ''), 'as in `usual`', meaning)
}

export const distributionSpec: ObjectSpec = {
  type: 'object',
  fields: [
    required('name', text(1, 24), 'what the population is called'),
    quantity('roomCelsius', spread(0, 45, 'C'), 'the room'),
    share('withoutPrewet', 'share of evenings without the baths before the developer'),
    quantity('reelsLoaded', spread(0, 1, ''), 'part of the reels that have a film; one film at least'),
    quantity('filmsThrough', spread(0, 100, ''), 'films already through a litre of the solutions, taken whole'),
    quantity('volumeFraction', spread(0, 1, ''), 'from what the plan advises, 0, to what the tank holds lying, 1'),
    quantity('jugError', spread(-0.2, 0.2, ''), 'error of the measuring jug, as a fraction'),
    share('pourByPlan', 'share of evenings poured as the plan advises, the others at the temperature of the sheet'),
    quantity('pourOffCelsius', spread(-15, 15, 'C'), 'what is in the bottle against what was meant, for each bath'),
    quantity('probeCalibration', spread(-20, 20, 'sigmas'), "what calibration left, in the base file's sigmas"),
    quantity('probeLag', spread(-10, 10, 'sigmas'), "the lag of the probe against the base file's, in its sigmas"),
    quantity('tankHeat', spread(-10, 10, 'sigmas'), "the heat of the tank against the tank file's, in its sigmas"),
    quantity('startCharge', spread(0, 1, ''), 'what is in the pack at the start'),
    quantity('packAge', spread(0, 1, ''), 'from a new pack, 0, to one at the end of its life, 1'),
    quantity('reactionSeconds', spread(0, 60, 's'), 'from the call to the press: the mean of an evening'),
    quantity('reactionSigmaSeconds', spread(0, 30, 's'), 'and how much it varies within one: one sigma'),
    quantity(
      'handSpread',
      spread(0, 1, ''),
      "filling and draining against the recipe's time: one sigma, as a fraction",
    ),
    quantity('changeSeconds', spread(1, 600, 's'), 'from an empty tank to the next pour'),
    quantity('pressSigmaSeconds', spread(0, 5, 's'), 'a press before or after what it stands for: one sigma'),
    ...provenanceFields(),
  ],
}

/** Every problem of `value` as a population file. */
export function checkDistribution(value: unknown): Problem[] {
  const problems = createProblems()
  checkSpec(problems, distributionSpec, value, '', 'a population')
  const fields = asFields(value)
  if (fields !== undefined)
    for (const field of distributionSpec.fields) checkWithin(problems, field, own(fields, field.key))
  return listProblems(problems)
}

/** Limits belong to the normal distribution: the other forms have their own. */
function checkWithin(problems: Problems, field: Field, value: unknown): void {
  const spread = field.spec.type === 'object' ? asFields(value) : undefined
  if (spread === undefined || own(spread, 'within') === undefined || own(spread, 'around') !== undefined) return
  refuse(problems, 'relation', `${field.key}.within`, '`within` without `around`', '`within` only beside `around`', '')
}
