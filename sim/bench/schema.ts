/**
 * `npm run schema`: writes the JSON Schemas for editors and the key tables for people from the checker's own tables, and the page of
 * faults from theirs.
 * A test compares what is in the tree with what this would write.
 */
import { writeFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { baseSpec } from '../../firmware/baseFileFields.ts'
import { recipeSpec } from '../../firmware/recipe/recipeFields.ts'
import { tankSpec } from '../../firmware/tank/tankFile.ts'
import { faultsPage } from '../faults/page.ts'
import { fileSchema, keyTable } from './jsonSchema.ts'
import { distributionSpec } from './population/distributionFields.ts'

/** What is generated: each file's path from the root of the project, and its text. */
export function generatedFiles(): { path: string; text: string }[] {
  const recipe = fileSchema(
    recipeSpec(),
    'A recipe: the baths of a process with their times, temperatures and agitation',
  )
  const tank = fileSchema(tankSpec, 'A tank, in millimetres and millilitres')
  const base = fileSchema(baseSpec, 'A base: its thermistors, drive, rotation sensing and pack')
  const population = fileSchema(distributionSpec, 'A population: what varies from evening to evening')
  return [
    { path: 'firmware/recipe/recipe.schema.json', text: json(recipe) },
    { path: 'firmware/tank/tank.schema.json', text: json(tank) },
    { path: 'firmware/baseFile.schema.json', text: json(base) },
    { path: 'sim/bench/population/population.schema.json', text: json(population) },
    { path: 'firmware/recipe/KEYS.md', text: keys() },
    { path: 'sim/faults/FAULTS.md', text: faultsPage() },
  ]
}

function json(value: object): string {
  return `${JSON.stringify(value, null, 2)}\n`
}

function keys(): string {
  return [
    '# The keys of recipe, tank and base files',
    'Written by `npm run schema` from the tables that the checker uses. Unknown keys are refused; texts are printable ASCII.',
    '## Recipe',
    keyTable(recipeSpec()),
    'Within `rows` the celsius must rise and the seconds must not; the bands of `reuse` must rise and count the films\n' +
      'themselves: `[[5, 1], [10, 1.15]]` gives films 1 to 5 the plain time and films 6 to 10 the longer one.',
    '## Tank',
    keyTable(tankSpec),
    '## Base',
    `${keyTable(baseSpec)}\n`,
  ].join('\n\n')
}

const root = new URL('../../', import.meta.url)

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  for (const { path, text } of generatedFiles()) {
    writeFileSync(new URL(path, root), text)
    process.stderr.write(`wrote ${path}\n`)
  }
}
