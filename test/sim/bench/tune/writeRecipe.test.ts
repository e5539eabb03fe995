/** A programme in a recipe file: nothing else in it changes. */
import { mkdtempSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import type { Agitation, Recipe } from '../../../../firmware/recipe/recipe.ts'
import { findRecipe } from '../../../../firmware/recipe/shipped/shipped.ts'
import { InputError } from '../../../../sim/bench/inputError.ts'
import { checkFile } from '../../../../sim/bench/loadFile.ts'
import { checkTarget, withProgramme, writeProgramme } from '../../../../sim/bench/tune/writeRecipe.ts'

const tuned: Agitation = { rpm: 33, legTurns: 4.3, restSeconds: 0.2, rampSeconds: 0.3, stagger: true, leastRpm: 30 }
const folder = mkdtempSync(join(tmpdir(), 'evenbath-tune-'))

/** Odd spacing, on purpose. */
const TEXT = `{ "name": "mine",   "title": "Mine",
  "pour": { "fillSeconds": 8.0, "drainSeconds": 1e1 },
  "baths": [
    { "name": "water", "kind": "timed", "seconds": 60, "agitation": "slow" },
      { "name": "developer", "kind": "timed", "seconds": 195, "agitation":   "quick" } ],
  "agitations": {
    "slow":  { "rpm": 30, "legTurns": 2, "restSeconds": 0.5, "rampSeconds": 0.6, "stagger": true },
    "quick": { "rpm": 45.0, "legTurns": 2, "restSeconds": 0.5, "rampSeconds": 0.6, "stagger": false }
  }
}
`

test('only the value of the agitation changes, every other byte stays', () => {
  const { text, key, isAdded } = withProgramme(TEXT, 'developer', tuned)
  expect([key, isAdded]).toEqual(['quick', false])
  const from = TEXT.indexOf('{ "rpm": 45.0')
  const to = TEXT.indexOf('}', from) + 1
  expect(text.slice(0, from)).toBe(TEXT.slice(0, from))
  expect(text.endsWith(TEXT.slice(to))).toBe(true)
  expect((JSON.parse(text) as Recipe).agitations['quick']).toEqual(tuned)
})

test('where other baths turn by the same agitation the bath gets one of its own', () => {
  const shared = TEXT.replace('"slow" }', '"quick" }')
  for (const source of [shared, JSON.stringify(JSON.parse(shared))]) {
    const { text, key, isAdded } = withProgramme(source, 'developer', tuned)
    expect([key, isAdded]).toEqual(['developer', true])
    const before = JSON.parse(source) as Recipe
    const after = JSON.parse(text) as Recipe
    expect(after.agitations).toEqual({ ...before.agitations, developer: tuned })
    expect(after.baths).toEqual([before.baths[0], { ...before.baths[1], agitation: 'developer' }])
    // Taking out what was put in gives the old text.
    expect(text.length - source.length).toBeGreaterThan(50)
    expect(text.startsWith(source.slice(0, source.lastIndexOf('"quick"', source.indexOf('"agitations"'))))).toBe(true)
  }
})

test('a file that is there is changed and remains a recipe; nothing half-written stays beside it', () => {
  const file = join(folder, 'mine.json')
  writeFileSync(file, TEXT)
  checkTarget(file, 'developer')
  expect(writeProgramme(file, JSON.parse(TEXT) as Recipe, 'developer', tuned)).toContain('"quick"')
  expect(checkFile(file, 'recipe').accepted).toBe(true)
  expect(readdirSync(folder).filter(name => name.includes('unfinished'))).toEqual([])
})

test('a file that is not there becomes a copy of the recipe, under a name of its own', () => {
  const file = join(folder, 'my-colour.json')
  const shipped = findRecipe('colour-negative')!
  const said = writeProgramme(file, shipped, 'developer', tuned)
  expect(said).toContain('a copy of colour-negative')
  const copy = JSON.parse(readFileSync(file, 'utf8')) as Recipe
  expect(copy.name).toBe('my-colour')
  expect(copy.agitations).toEqual({ ...shipped.agitations, developer: tuned })
  expect(copy.baths[1]).toEqual({ ...shipped.baths[1], agitation: 'developer' })
  expect(copy.baths[2]).toEqual(shipped.baths[2])
})

test('a shipped recipe, a file that is none, and one without the bath are refused with what to do', () => {
  const refusal = (file: string, bath: string): string => {
    try {
      checkTarget(file, bath)
    } catch (thrown) {
      if (thrown instanceof InputError) return thrown.problems.join('\n')
    }
    return ''
  }
  expect(refusal('colour-negative', 'developer')).toContain('name a file of your own')
  const broken = join(folder, 'broken.json')
  writeFileSync(broken, '{ "name": 3 }')
  expect(refusal(broken, 'developer')).toContain('name')
  const other = join(folder, 'other.json')
  writeFileSync(other, TEXT)
  expect(refusal(other, 'stop')).toContain('it has water, developer')
})
