/** The JSON Schemas and the key table: current, complete, and of one mind with the checkers. */

import { readFileSync } from 'node:fs'
import { Ajv } from 'ajv'
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { checkBase } from '../../../firmware/baseFileCheck.ts'
import { baseSpec } from '../../../firmware/baseFileFields.ts'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { checkRecipe, type Problem } from '../../../firmware/recipe/check.ts'
import { recipeSpec } from '../../../firmware/recipe/recipeFields.ts'
import { defaultTank } from '../../../firmware/tank/defaultTank.ts'
import { checkTank, tankSpec } from '../../../firmware/tank/tankFile.ts'
import { fileSchema, keyTable } from '../../../sim/bench/jsonSchema.ts'
import { DISTRIBUTIONS } from '../../../sim/bench/population/distribution.ts'
import { checkDistribution, distributionSpec } from '../../../sim/bench/population/distributionFields.ts'
import { generatedFiles } from '../../../sim/bench/schema.ts'
import { shippedRecipes } from '../../../sim/bench/shippedRecipes.ts'
import { mutated } from '../../firmware/recipe/mutate.ts'

test('the schemas and key tables in the tree are what npm run schema would write', () => {
  for (const { path, text } of generatedFiles()) {
    expect(readFileSync(new URL(`../../../${path}`, import.meta.url), 'utf8'), path).toBe(text)
  }
})

test('the key table of a recipe holds every key of the format, and no other', () => {
  const keys = [...keyTable(recipeSpec()).matchAll(/^\| `([^`]+)`/gm)].map(match => match[1])
  const bath =
    'name kind seconds rows atCelsius coefficientPer10C rowsFor rotaryFactor startsWhen timeFactor usableCelsius reuse ' +
    'reuse.perFilm reuse.factors reuse.addSeconds millilitresPerFilm agitation note source'
  const agitation =
    'rpm legTurns restSeconds rampSeconds stagger opening opening.rpm opening.seconds leastRpm netTurnsAtMost'
  expect([...keys].sort()).toEqual(
    [
      ...'name title note source pour pour.fillSeconds pour.drainSeconds baths agitations'.split(' '),
      ...bath.split(' ').map(key => `baths[].${key}`),
      ...agitation.split(' ').map(key => `agitations.NAME.${key}`),
    ].sort(),
  )
})

/** All that a schema can say: what keys ask of each other is the checker's alone. */
function shapeIsRight(problems: Problem[]): boolean {
  return problems.every(problem => problem.about === 'relation')
}

test('checker and schema agree on the shape of every file, whole or spoilt', () => {
  const ajv = new Ajv({ strict: true, strictTypes: false, strictTuples: true, strictRequired: false })
  const kinds = [
    {
      validate: ajv.compile(fileSchema(recipeSpec(), 'recipe')),
      check: checkRecipe,
      files: shippedRecipes as unknown[],
    },
    { validate: ajv.compile(fileSchema(tankSpec, 'tank')), check: checkTank, files: [defaultTank] },
    { validate: ajv.compile(fileSchema(baseSpec, 'base')), check: checkBase, files: [defaultBase] },
    {
      validate: ajv.compile(fileSchema(distributionSpec, 'population')),
      check: checkDistribution,
      files: DISTRIBUTIONS,
    },
  ]
  let right = 0
  let wrong = 0
  for (const { validate, check, files } of kinds) {
    for (const file of files) {
      expect(validate(file), JSON.stringify(validate.errors)).toBe(true)
      fc.assert(
        fc.property(fc.array(fc.nat(), { minLength: 30, maxLength: 30 }), choices => {
          const value = mutated(file, choices)
          const shape = shapeIsRight(check(value))
          if (shape) right++
          else wrong++
          expect(validate(value), JSON.stringify({ choices, errors: validate.errors })).toBe(shape)
        }),
        { numRuns: 400 },
      )
    }
  }
  expect(right).toBeGreaterThan(50)
  expect(wrong).toBeGreaterThan(500)
})

test('checker and schema agree that no rubbish is a file', () => {
  const ajv = new Ajv({ strictTypes: false, strictRequired: false })
  const validate = ajv.compile(fileSchema(recipeSpec(), 'recipe'))
  fc.assert(
    fc.property(fc.jsonValue(), value => {
      expect(validate(value)).toBe(false)
      expect(shapeIsRight(checkRecipe(value))).toBe(false)
    }),
  )
})
