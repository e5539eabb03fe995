import { expect, test } from 'vitest'
import { checkRecipe } from '../../../firmware/recipe/check.ts'
import { findRecipe, SHIPPED_NAMES } from '../../../firmware/recipe/shipped/shipped.ts'
import { call, createRig, OPTIONS, toTurning } from './rig.ts'

const mine = { ...findRecipe('bw-negative')!, name: 'mine', title: 'Mine' }

test('the recipes that ship are listed and given as they are', () => {
  const rig = createRig()
  expect(call(rig, 'recipe.list').result).toEqual({ shipped: SHIPPED_NAMES, put: [] })
  for (const name of SHIPPED_NAMES) {
    expect(call(rig, 'recipe.get', { name }).result).toEqual({ recipe: findRecipe(name) })
  }
})

test('a recipe is put, listed, given back the same, and removed', () => {
  const rig = createRig()
  expect(call(rig, 'recipe.put', { recipe: mine }).result).toEqual({ name: 'mine', warnings: [] })
  expect(call(rig, 'recipe.list').result?.['put']).toEqual(['mine'])
  expect(call(rig, 'recipe.get', { name: 'mine' }).result).toEqual({ recipe: mine })
  expect(call(rig, 'recipe.remove', { name: 'mine' }).result).toEqual({ name: 'mine' })
  expect(call(rig, 'recipe.list').result?.['put']).toEqual([])
  expect(call(rig, 'recipe.get', { name: 'mine' }).error?.code).toBe(-32602)
  expect(call(rig, 'recipe.remove', { name: 'mine' }).error?.code).toBe(-32602)
})

test('every recipe that ships fits through the line under another name', () => {
  const rig = createRig()
  for (const name of SHIPPED_NAMES) {
    const recipe = { ...findRecipe(name)!, name: 'copy' }
    expect(call(rig, 'recipe.put', { recipe }).result).toEqual({ name: 'copy', warnings: [] })
  }
})

test('a recipe with faults is refused with every problem that the checker finds', () => {
  const rig = createRig()
  const recipe = { ...mine, title: '', pour: { fillSeconds: -1 }, extra: 1 }
  const { error } = call(rig, 'recipe.put', { recipe })
  const problems = checkRecipe(recipe)
  expect(error?.code).toBe(-32602)
  expect(error?.data).toEqual(problems.map(({ about: _, ...problem }) => problem))
  expect(problems.length).toBeGreaterThan(3)
  expect(call(rig, 'recipe.list').result?.['put']).toEqual([])
  for (const wrong of [null, 5, 'text', [], {}])
    expect(call(rig, 'recipe.put', { recipe: wrong }).error?.code).toBe(-32602)
})

test('more problems than a reply carries are counted in the last entry', () => {
  const rig = createRig()
  const bath = { name: '', kind: 'x', agitation: 5, y: 1 }
  const { error } = call(rig, 'recipe.put', { recipe: { baths: Array.from({ length: 16 }, () => bath) } })
  const listed = error?.data as { found: string }[]
  expect(JSON.stringify(listed).length).toBeLessThan(3500)
  expect(listed[listed.length - 1]?.found).toMatch(/^\d+ more$/)
})

test('what ships is neither replaced nor removed', () => {
  const rig = createRig()
  expect(call(rig, 'recipe.put', { recipe: findRecipe('bw-negative') }).error?.code).toBe(-31000)
  expect(call(rig, 'recipe.remove', { name: 'bw-negative' }).error?.code).toBe(-31000)
})

test('nothing is put or removed in a session', () => {
  const rig = createRig()
  toTurning(rig)
  // So much does not even fit into the line then.
  expect(call(rig, 'recipe.put', { recipe: {} }).error).toEqual({ code: -31000, message: 'Not in a session' })
  expect(call(rig, 'recipe.remove', { name: 'mine' }).error?.code).toBe(-31000)
})

test('a firmware without the checker takes a recipe on the word of a laptop of its own version, and nothing that is no recipe', () => {
  const bare = createRig(undefined, { identity: OPTIONS.identity })
  const refused = { code: -31000, message: 'Not checked by 1.2.3' }
  expect(call(bare, 'recipe.put', { recipe: mine }).error).toEqual(refused)
  expect(call(bare, 'recipe.put', { recipe: mine, checkedBy: '1.2.2' }).error).toEqual(refused)
  for (const recipe of [null, 3, [], {}, { name: 'x' }, { ...mine, name: '../x' }, { ...mine, name: 'x'.repeat(25) }]) {
    expect(call(bare, 'recipe.put', { recipe, checkedBy: '1.2.3' }).error).toEqual(refused)
  }
  expect(call(bare, 'recipe.put', { recipe: mine, checkedBy: '1.2.3' }).result).toEqual({ name: 'mine', warnings: [] })
  expect(call(bare, 'recipe.get', { name: 'mine' }).result).toEqual({ recipe: mine })
})

test('a full store is said in words', () => {
  const rig = createRig()
  rig.board.files.write = () => {
    throw new Error('full')
  }
  expect(call(rig, 'recipe.put', { recipe: mine }).error).toEqual({ code: -31000, message: 'No room: remove a recipe' })
})

test('a file of a recipe that is damaged is not given', () => {
  const rig = createRig()
  rig.board.files.write('r.bad', '{"name":"bad"}')
  rig.board.files.write('r.worse', 'no JSON')
  for (const name of ['bad', 'worse', 'no-such', 'A..']) {
    expect(call(rig, 'recipe.get', { name }).error?.code, name).toBe(-32602)
  }
})
