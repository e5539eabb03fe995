/** `check FILE...`: what it prints, where it points, and what it gives back. */

import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, test } from 'vitest'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { defaultTank } from '../../../firmware/tank/defaultTank.ts'
import { runCheck } from '../../../sim/bench/check.ts'
import { printExample } from '../../../sim/bench/exampleFile.ts'
import { checkText, decode, loadBase, loadRecipe, loadTank, readProblem } from '../../../sim/bench/loadFile.ts'
import { colourNegative } from '../../../sim/bench/shippedRecipes.ts'

const folder = mkdtempSync(join(tmpdir(), 'evenbath-check-'))
afterAll(() => rmSync(folder, { recursive: true }))

function put(name: string, content: string | Uint8Array): string {
  const file = join(folder, name)
  writeFileSync(file, content)
  return file
}

function check(files: string[], json = false): { code: number; out: string; err: string } {
  const out: string[] = []
  const err: string[] = []
  const code = runCheck(
    files,
    json,
    line => out.push(line),
    line => err.push(line),
  )
  return { code, out: out.join('\n').replaceAll(`${folder}/`, ''), err: err.join('\n') }
}

const recipeText = `{
  "name": "mine", "title": "Mine",
  "pour": { "fillSeconds": 8, "drainSeconds": "10" },
  "baths": [
    { "name": "developer", "kind": "developed", "rows": [[30, 480], [37.8, 495]],
\t"agitation": "evn", "coeficientPer10C": 2 }
  ],
  "agitations": { "even": { "rpm": 45, "legTurns": 2, "restSeconds": 0.5, "rampSeconds": 0.6, "stagger": true } }
}
`

test('problems are printed with line, column and the place marked, in the order of the file', () => {
  const { code, out, err } = check([put('mine.json', recipeText)])
  expect(code).toBe(2)
  expect(out.split('\n')).toEqual([
    'mine.json:3:47: refused: pour.drainSeconds: found "10"; allowed 0 to 120 s (a number is written without quotes)',
    '      "pour": { "fillSeconds": 8, "drainSeconds": "10" },',
    '                                                  ^',
    'mine.json:5:76: refused: baths[0].rows[1][1]: found 495 after 480; allowed no more than the entry before',
    '        { "name": "developer", "kind": "developed", "rows": [[30, 480], [37.8, 495]],',
    '                                                                               ^',
    'mine.json:6:15: refused: baths[0].agitation: found "evn"; allowed a key of agitations: even (did you mean even?)',
    '     "agitation": "evn", "coeficientPer10C": 2 }',
    '                  ^',
    expect.stringMatching(
      /^mine\.json:6:22: refused: baths\[0\]\.coeficientPer10C: found the unknown key .*did you mean/,
    ),
    '     "agitation": "evn", "coeficientPer10C": 2 }',
    '                         ^',
    'mine.json:8:27: warning: agitations.even: found an agitation that no bath uses; allowed used or left out',
    '      "agitations": { "even": { "rpm": 45, "legTurns": 2, "restSeconds": 0.5, "rampSeconds": 0.6, "stagger": true } }'.slice(
      0,
      104,
    ),
    '                              ^',
  ])
  expect(err).toBe('1 file, 1 refused (4 problems, 1 warning)')
})

test('a missing key is shown at the part that lacks it', () => {
  const { out } = check([put('missing.json', recipeText.replace('"kind": "developed", ', ''))])
  expect(out).toContain(
    'missing.json:5:5: refused: baths[0].kind: found nothing; allowed one of developed, timed, atLeast',
  )
})

test('sound files pass with 0, and what each is shows from its keys', () => {
  const files = [
    put('recipe.json', JSON.stringify(colourNegative)),
    put('tank.json', JSON.stringify(defaultTank)),
    put('base.json', JSON.stringify(defaultBase)),
  ]
  const { code, out, err } = check(files)
  expect(code).toBe(0)
  expect(out.split('\n')).toEqual([
    'recipe.json: a recipe, no problems',
    'tank.json: a tank, no problems',
    'base.json: a base, no problems',
  ])
  expect(err).toBe('3 files, 0 refused (0 problems, 0 warnings)')
})

test('warnings alone pass with 0', () => {
  const warned = { ...defaultTank, standingMillilitres: 300 }
  const { code, out } = check([put('warned.json', JSON.stringify(warned))])
  expect(code).toBe(0)
  expect(out).toContain(
    'warning: standingMillilitres: found 300 mL; allowed at least what covers the film of all reels',
  )
})

test('what is no JSON is shown at the place where it stops being so', () => {
  const cases: [text: string, where: string, found: string][] = [
    ['{"a": NaN}', '1:7', 'found NaN; allowed a value'],
    ['{"a": 1,}', '1:9', 'found "}"; allowed a key in double quotes'],
    ["{'a': 1}", '1:2', 'found "\'"; allowed a key in double quotes'],
    ['{\n  "a": 1\n  "b": 2\n}', '3:3', 'allowed "," or "}" after a value'],
    ['{\r\n  "a" 1\r\n}', '2:7', 'allowed ":" after a key'],
    ['[1 2]', '1:4', 'allowed "," or "]" after an entry'],
    ['{"a": "x', '1:9', 'found the end of the file'],
    ['{"a": "x\\q"}', '1:9', 'found \\q; allowed an escape'],
    ['{} {}', '1:4', 'allowed nothing more'],
    ['// words\n{}', '1:1', 'found "/"; allowed a value'],
    ['{"a": 01}', '1:7', 'found 01; allowed a value'],
    ['['.repeat(100_000), '1:65', 'allowed at most 64 levels of nesting'],
  ]
  for (const [text, where, found] of cases) {
    const { code, out } = check([put('broken.json', text)])
    expect(code, text.slice(0, 20)).toBe(2)
    expect(out.split('\n')[0], text.slice(0, 20)).toContain(`broken.json:${where}: refused: `)
    expect(out.split('\n')[0], text.slice(0, 20)).toContain(found)
  }
})

test('what cannot be read at all is one clear message each', () => {
  mkdirSync(join(folder, 'folder'))
  const cases: [file: string, message: string][] = [
    [
      join(folder, 'nowhere.json'),
      'nowhere.json: refused: found no such file; allowed a JSON file (is the path right?)',
    ],
    [join(folder, 'folder'), 'folder: refused: found a directory; allowed a JSON file'],
    [put('empty.json', ''), 'empty.json: refused: found an empty file; allowed a JSON file'],
    [put('mark.json', '\ufeff{}'), 'mark.json: refused: found a byte order mark; allowed UTF-8 without one'],
    [put('latin.json', new Uint8Array([0x22, 0xe9, 0x22])), 'latin.json: refused: found bytes that are not UTF-8'],
    [put('huge.json', new Uint8Array(17 * 1024 * 1024)), 'huge.json: refused: found 17825792 bytes; allowed at most'],
    ['a\u0000b', 'a\u0000b: refused: found a file that cannot be read (ERR_INVALID_ARG_VALUE)'],
  ]
  for (const [file, message] of cases) {
    const { code, out } = check([file])
    expect(code, message).toBe(2)
    expect(out.split('\n'), message).toHaveLength(1)
    expect(out).toContain(message)
  }
  expect(readProblem('EACCES').found).toBe('a file that may not be read')
  expect(readProblem('EIO').found).toContain('EIO')
  expect(decode(new Uint8Array([0xff, 0xfe, 0x7b, 0x00]))).toHaveProperty('problem')
})

test('a file that is nothing of ours says what ours have', () => {
  for (const text of ['{"title": "x"}', '[]', '7', '"recipe"', 'null']) {
    const { code, out } = check([put('other.json', text)])
    expect(code).toBe(2)
    expect(out.split('\n')[0]).toContain('found neither a recipe, a tank, a base nor a population')
  }
})

test('a key given twice is refused at the second', () => {
  const text = JSON.stringify(defaultTank).replace('{', '{"reels": 3, ')
  const { code, out } = check([put('twice.json', text)])
  expect(code).toBe(2)
  expect(out.split('\n')[0]).toContain('refused: found the key "reels" a second time; allowed each key once')
})

test('a million baths are listed as one problem and a few, in little time', () => {
  const { code, out } = check([put('many.json', `{"baths": [${'{},'.repeat(999_999)}{}]}`)])
  expect(code).toBe(2)
  expect(out).toContain('many.json:1:11: refused: baths: found a list of 1000000; allowed a list of 1 to 16 entries')
  expect(out.split('\n').length).toBeLessThan(310)
})

test('nothing in a file steers the terminal', () => {
  const { out } = check([put('escape.json', '{"title": "\u001b[31m\u009b", "name": "\\u001b[0m", "baths": []}')])
  expect(out).not.toMatch(/[^\n -~]/)
})

test('with --json there is one document with every problem', () => {
  const { code, out } = check([put('mine.json', recipeText), join(folder, 'nowhere.json')], true)
  expect(code).toBe(2)
  const document = JSON.parse(out)
  expect(document.refused).toBe(5)
  expect(document.warnings).toBe(1)
  expect(document.files.map((file: { kind: string; accepted: boolean }) => [file.kind, file.accepted])).toEqual([
    ['recipe', false],
    [null, false],
  ])
  expect(document.files[0].problems[0]).toEqual({
    place: 'pour.drainSeconds',
    found: '"10"',
    allowed: '0 to 120 s',
    hint: 'a number is written without quotes',
    severity: 'refused',
    line: 3,
    column: 47,
  })
})

test('no file at all is bad usage', () => {
  expect(check([]).code).toBe(2)
})

test('recipes load by shipped name or file, tanks and bases by file, and each refuses the others', () => {
  expect(loadRecipe('colour-negative').value).toEqual(colourNegative)
  const recipe = put('recipe.json', JSON.stringify(colourNegative))
  const tank = put('tank.json', JSON.stringify(defaultTank))
  const base = put('base.json', JSON.stringify(defaultBase))
  expect(loadRecipe(recipe).value).toEqual(colourNegative)
  expect(loadTank(tank).value).toEqual(defaultTank)
  expect(loadBase(base).value).toEqual(defaultBase)
  expect(loadRecipe(tank).value).toBeUndefined()
  expect(loadTank(base).value).toBeUndefined()
  expect(loadBase(recipe).value).toBeUndefined()
  expect(loadRecipe('colour-negativ').report.problems[0].allowed).toBe(
    'a recipe file, or one of colour-negative, colour-reversal, bw-negative',
  )
})

test('a text at hand is checked like a file', () => {
  expect(checkText('here', recipeText).problems).toHaveLength(5)
})

test('the count is of files, and of problems and warnings apart', () => {
  const { err } = check([put('mine.json', recipeText), put('tank.json', JSON.stringify(defaultTank))])
  expect(err).toBe('2 files, 1 refused (4 problems, 1 warning)')
})

test('an example to begin with is a file that passes, of its kind', () => {
  for (const kind of ['tank', 'base', 'recipe', 'bw-negative']) {
    const out: string[] = []
    expect(
      printExample(
        kind,
        text => out.push(text),
        () => {},
      ),
    ).toBe(0)
    const expected = kind === 'bw-negative' ? 'recipe' : kind
    expect(check([put(`${kind}.json`, out.join(''))]).out).toBe(`${kind}.json: a ${expected}, no problems`)
    expect(out.join('')).not.toMatch(/\[\n *\d/)
  }
  const err: string[] = []
  expect(
    printExample(
      'tnak',
      () => {},
      text => err.push(text),
    ),
  ).toBe(2)
  expect(err.join('')).toContain('allowed: tank, base, recipe')
})

test('a recipe in TypeScript and a decimal comma get a hint of their own', () => {
  expect(check([put('mine.ts', 'export const mine = {}')]).out).toContain('recipes that ship are TypeScript')
  expect(check([put('comma.json', '{"agitations": {"even": {"restSeconds": 0,2}}}')]).out).toContain(
    'decimals take a point: 0.2',
  )
  const quoted = recipeText.replace('"10"', '"10,5"')
  expect(check([put('quoted.json', quoted)]).out).toContain('decimals take a point: 10.5, without quotes')
  expect(check([put('plain.json', '{"a": b}')]).out).toContain('the file is not JSON')
})
