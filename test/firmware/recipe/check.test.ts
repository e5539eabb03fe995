/** What the recipe checker refuses and warns of: each problem by its place, with what was found and what is allowed. */

import { expect, test } from 'vitest'
import { accepted, checkRecipe, type Problem } from '../../../firmware/recipe/check.ts'
import { colourNegative } from '../../../sim/bench/shippedRecipes.ts'

type Loose = Record<string, unknown>

const even = { rpm: 45, legTurns: 2, restSeconds: 0.5, rampSeconds: 0.6, stagger: true }

const developer: Loose = {
  name: 'developer',
  kind: 'developed',
  rows: [
    [30, 480],
    [37.8, 195],
  ],
  agitation: 'even',
}

function recipe(parts: Loose): Loose {
  return {
    name: 'mine',
    title: 'Mine',
    pour: { fillSeconds: 8, drainSeconds: 10 },
    baths: [developer],
    agitations: { even },
    ...parts,
  }
}

function withBath(parts: Loose): Loose {
  return recipe({ baths: [{ ...developer, ...parts }] })
}

function withEven(parts: Loose): Loose {
  return recipe({ agitations: { even: { ...even, ...parts } } })
}

function short(problems: Problem[]): string[] {
  return problems.map(problem => `${problem.severity} ${problem.place}: ${problem.found}; ${problem.allowed}`)
}

test('the recipe of the design page is accepted', () => {
  const problems = checkRecipe(
    recipe({
      baths: [
        { name: 'prewet', kind: 'timed', seconds: 60, agitation: 'even' },
        { ...developer, rowsFor: 'rotary', usableCelsius: [30, 39], reuse: { perFilm: 0.1 } },
        { name: 'bleach', kind: 'atLeast', seconds: 390, usableCelsius: [35, 41], agitation: 'even' },
      ],
      agitations: { even: { ...even, opening: { rpm: 60, seconds: 15 } } },
    }),
  )
  expect(problems).toEqual([])
})

test('every key of the key table is checked at both ends of what is allowed, and none beyond', () => {
  const ends: [place: string, make: (value: unknown) => Loose, good: unknown[], bad: unknown[]][] = [
    ['name', v => recipe({ name: v }), ['a', 'a-0'.repeat(8)], ['', 'A', 'a b', 'a'.repeat(25), 7]],
    ['title', v => recipe({ title: v }), ['x', ' ~'.repeat(10)], ['', 'x'.repeat(21), 'tab\t', 'caf\u00e9', null]],
    ['note', v => recipe({ note: v }), ['', 'x'.repeat(200)], ['x'.repeat(201), 1]],
    ['source', v => recipe({ source: v }), ['from memory'], ['x'.repeat(201), []]],
    ['pour.fillSeconds', v => recipe({ pour: { fillSeconds: v, drainSeconds: 1 } }), [0, 120], [-1, 120.1, '8']],
    ['pour.drainSeconds', v => recipe({ pour: { fillSeconds: 1, drainSeconds: v } }), [0, 120], [-0.1, 121, null]],
    ['baths[0].name', v => withBath({ name: v }), ['x', 'x'.repeat(16)], ['', 'x'.repeat(17), '\u20ac']],
    ['baths[0].note', v => withBath({ note: v }), ['n'], ['\n']],
    ['baths[0].source', v => withBath({ source: v }), ['s'], [{}]],
    ['baths[0].rowsFor', v => withBath({ rowsFor: v }), ['rotary', 'any'], ['drum', 1, 'toString']],
    ['baths[0].rotaryFactor', v => withBath({ rotaryFactor: v }), [0.95, 1.2], [0.49, 1.21]],
    ['baths[0].startsWhen', v => withBath({ startsWhen: v }), ['contact', 'full'], ['dry', true]],
    ['baths[0].timeFactor', v => withBath({ timeFactor: v }), [1, 4], [0.24, 4.01, Number.NaN]],
    ['baths[0].millilitresPerFilm', v => withBath({ millilitresPerFilm: v }), [1, 5000], [0, 5001]],
    ['baths[0].reuse.perFilm', v => withBath({ reuse: { perFilm: v } }), [0, 2], [-0.1, 2.1]],
    ['agitations.even.rpm', v => withEven({ rpm: v }), [5, 120], [4.9, 121, Number.POSITIVE_INFINITY]],
    ['agitations.even.legTurns', v => withEven({ legTurns: v }), [0.6, 50], [0.59, 51]],
    ['agitations.even.restSeconds', v => withEven({ restSeconds: v }), [0, 30], [-1, 31]],
    ['agitations.even.rampSeconds', v => withEven({ rampSeconds: v }), [0.1, 2.5], [0, 5.1]],
    ['agitations.even.stagger', v => withEven({ stagger: v }), [true, false], [0, 'true', null]],
    ['agitations.even.opening', v => withEven({ opening: v }), [{ rpm: 60, seconds: 15 }], [60, []]],
    ['agitations.even.leastRpm', v => withEven({ leastRpm: v }), [5, 45], [4]],
    ['agitations.even.netTurnsAtMost', v => withEven({ netTurnsAtMost: v }), [2, 50], [0.5, 51]],
  ]
  for (const [place, make, good, bad] of ends) {
    for (const value of good) expect(short(checkRecipe(make(value))), `${place} ${value}`).toEqual([])
    for (const value of bad) {
      const problems = checkRecipe(make(value))
      expect(accepted(problems), `${place} ${value}`).toBe(false)
      expect(problems[0].place, `${place} ${value}`).toBe(place)
    }
  }
})

test('whatever is required and left out is named', () => {
  expect(checkRecipe({}).map(problem => problem.place)).toEqual(['name', 'title', 'pour', 'baths', 'agitations'])
  const places = checkRecipe(recipe({ pour: {}, baths: [{}], agitations: { even: {} } })).map(p => p.place)
  for (const place of [
    'pour.fillSeconds',
    'pour.drainSeconds',
    'baths[0].name',
    'baths[0].kind',
    'baths[0].agitation',
  ]) {
    expect(places).toContain(place)
  }
  for (const key of Object.keys(even)) expect(places).toContain(`agitations.even.${key}`)
})

test('a bath needs what its kind asks for: seconds, or rows, or seconds with temperature and coefficient', () => {
  const bath = (parts: Loose): string[] =>
    short(checkRecipe(recipe({ baths: [{ name: 'b', agitation: 'even', ...parts }] })))
  expect(bath({ kind: 'timed' })).toEqual(['refused baths[0].seconds: nothing; 1 to 36000 s'])
  expect(bath({ kind: 'atLeast' })).toEqual(['refused baths[0].seconds: nothing; 1 to 36000 s'])
  const either = 'either rows, or seconds, atCelsius, coefficientPer10C'
  expect(bath({ kind: 'developed' })).toEqual([`refused baths[0]: none of them; ${either}`])
  expect(bath({ kind: 'developed', seconds: 300 })).toEqual([`refused baths[0]: only seconds; ${either}`])
  const coefficient = { seconds: 300, atCelsius: 20, coefficientPer10C: 2.5 }
  expect(bath({ kind: 'developed', ...coefficient })).toEqual([])
  expect(bath({ ...developer, name: 'b', ...coefficient })).toEqual([
    `refused baths[0]: both: rows, seconds, atCelsius, coefficientPer10C; ${either}`,
  ])
  expect(bath({ ...developer, name: 'b', seconds: 300 })).toEqual([
    'warning baths[0].seconds: seconds, which is not used; left out',
  ])
  expect(bath({ kind: 'timed', seconds: 300, rows: developer.rows })).toEqual([
    'warning baths[0].rows: rows, which is not used; left out',
  ])
})

test('rows: at least two, pairs of numbers, celsius rising, seconds not rising; equal times are normal', () => {
  const rows = (value: unknown): string[] => checkRecipe(withBath({ rows: value })).map(problem => problem.place)
  expect(rows([])).toEqual(['baths[0].rows'])
  expect(rows([[20, 300]])).toEqual(['baths[0].rows'])
  expect(rows(Array.from({ length: 13 }, (_, i) => [20 + i, 500 - i]))).toEqual(['baths[0].rows'])
  expect(rows([20, 300])).toEqual(['baths[0].rows[0]', 'baths[0].rows[1]'])
  expect(rows([[20, 300, 1], [21]])).toEqual(['baths[0].rows[0]', 'baths[0].rows[1]'])
  expect(rows({ 0: [20, 300] })).toEqual(['baths[0].rows'])
  expect(
    rows([
      [20, 300],
      [22, 300],
    ]),
  ).toEqual([])
  expect(
    rows([
      [20, 300],
      [20, 280],
      [21, 290],
    ]),
  ).toEqual(['baths[0].rows[1][0]', 'baths[0].rows[2][1]'])
  expect(
    rows([
      [Number.NaN, 300],
      [20, Number.NaN],
    ]),
  ).toEqual(['baths[0].rows[0][0]', 'baths[0].rows[1][1]'])
})

test('unknown keys are refused by name and place, with the nearest known key', () => {
  const problems = checkRecipe(
    recipe({ nam: 'x', baths: [{ ...developer, coefficientPer10c: 2 }], agitations: { even: { ...even, RPM: 4 } } }),
  )
  expect(problems.map(problem => [problem.place, problem.hint])).toEqual([
    ['baths[0].coefficientPer10c', 'did you mean coefficientPer10C?'],
    ['agitations.even.RPM', 'did you mean rpm?'],
    ['nam', 'did you mean name?'],
  ])
  const odd = checkRecipe(recipe({ 'a "b"': 1, toString: 2, ['__proto__']: 3 }))
  expect(odd.map(problem => problem.place)).toEqual(['["a \\"b\\""]', 'toString', '["__proto__"]'])
})

test('two baths of one name are refused, and an agitation that does not exist, with the nearest that does', () => {
  const baths = [developer, { ...developer, agitation: 'evn' }]
  const problems = checkRecipe(recipe({ baths }))
  expect(short(problems)).toEqual([
    'refused baths[1].name: "developer", the name of baths[0]; a name that no other bath has',
    'refused baths[1].agitation: "evn"; a key of agitations: even',
  ])
  expect(problems[1].hint).toBe('did you mean even?')
  expect(accepted(checkRecipe(withBath({ agitation: 'toString' })))).toBe(false)
})

test('an agitation that nobody uses is a warning and no more', () => {
  const problems = checkRecipe(recipe({ agitations: { even, idle: even } }))
  expect(short(problems)).toEqual(['warning agitations.idle: an agitation that no bath uses; used or left out'])
  expect(accepted(problems)).toBe(true)
})

test('a usable range must rise, and is warned of where the rows do not reach it', () => {
  expect(checkRecipe(withBath({ usableCelsius: [39, 30] }))[0].place).toBe('baths[0].usableCelsius[1]')
  expect(checkRecipe(withBath({ usableCelsius: [39] }))[0].place).toBe('baths[0].usableCelsius')
  expect(short(checkRecipe(withBath({ usableCelsius: [40, 45] })))).toEqual([
    'warning baths[0].usableCelsius: 40 to 45 C; a range that the rows, 30 to 37.8 C, reach into',
  ])
})

test('reuse has exactly one form, and its bands rise', () => {
  const reuse = (value: unknown): string[] => checkRecipe(withBath({ reuse: value })).map(problem => problem.place)
  expect(reuse({})).toEqual(['baths[0].reuse'])
  expect(reuse({ perFilm: 0.1, addSeconds: [[4, 60]] })).toEqual(['baths[0].reuse'])
  expect(
    reuse({
      factors: [
        [5, 1.2],
        [5, 1.1],
      ],
    }),
  ).toEqual(['baths[0].reuse.factors[1][0]', 'baths[0].reuse.factors[1][1]'])
  expect(
    reuse({
      addSeconds: [
        [4, 0],
        [8, 60],
      ],
    }),
  ).toEqual([])
})

test('times for intermittent agitation without a rotary factor are a warning, never a guess', () => {
  expect(short(checkRecipe(withBath({ rowsFor: 'intermittent' })))).toEqual([
    'warning baths[0].rowsFor: times for intermittent agitation; a rotaryFactor beside it; 1 is taken',
  ])
  expect(checkRecipe(withBath({ rowsFor: 'intermittent', rotaryFactor: 0.95 }))).toEqual([])
  expect(checkRecipe(withBath({ rowsFor: 'rotary', rotaryFactor: 0.95 }))[0].severity).toBe('warning')
})

test('agitation that cannot be kept: least speed above the speed is refused, legs and openings beyond the bound are warned of', () => {
  expect(short(checkRecipe(withEven({ leastRpm: 50 })))).toEqual([
    'refused agitations.even.leastRpm: 50; no more than rpm, 45',
  ])
  const bounded = checkRecipe(withEven({ netTurnsAtMost: 1, opening: { rpm: 60, seconds: 15 } }))
  expect(short(bounded)).toEqual([
    'warning agitations.even.legTurns: 2; no more than netTurnsAtMost, 1',
    'warning agitations.even.opening: about 15.0 turns one way; no more than netTurnsAtMost, 1',
  ])
  expect(checkRecipe(withEven({ rampSeconds: 5 }))[0].place).toBe('agitations.even.legTurns')
})

test('a bath shorter than its filling and draining is warned of', () => {
  const problems = checkRecipe(recipe({ baths: [{ name: 'dip', kind: 'timed', seconds: 15, agitation: 'even' }] }))
  expect(short(problems)).toEqual(['warning baths[0].seconds: 15 s; more than filling and draining take, 18 s'])
})

test('text that is not printable ASCII is refused with the position, and shown in ASCII', () => {
  const [problem] = checkRecipe(recipe({ title: 'Caf\u00e9' }))
  expect(problem.found).toBe('"Caf\\u00e9", where character 4 is "\\u00e9"')
  for (const value of ['\u0000', '\u001b[31m', '\ud83c\udf9e', '\u202e']) {
    expect(JSON.stringify(checkRecipe(recipe({ title: value })))).toMatch(/^[ -~]+$/)
  }
})

test('all problems of a file are listed at once', () => {
  const problems = checkRecipe({
    name: 'UPPER',
    title: '',
    pour: { fillSeconds: -1 },
    baths: [
      { ...developer, rows: [] },
      { name: 'x', kind: 'timed', seconds: '60', agitation: 'none' },
    ],
    agitations: { even: { ...even, rpm: Number.NaN } },
    extra: 1,
  })
  expect(problems.map(problem => problem.place)).toEqual([
    'name',
    'title',
    'pour.fillSeconds',
    'pour.drainSeconds',
    'baths[0].rows',
    'baths[1].seconds',
    'agitations.even.rpm',
    'extra',
    'baths[1].agitation',
  ])
})

test('a million baths are one problem, and the list never grows beyond a hundred and a count', () => {
  const many = new Array(1_000_000).fill(developer)
  const problems = checkRecipe(recipe({ baths: many }))
  expect(short(problems)[0]).toBe('refused baths: a list of 1000000; a list of 1 to 16 entries')
  expect(problems.length).toBeLessThan(20)
  const empties = checkRecipe(recipe({ baths: new Array(1_000_000).fill({ a: 1, b: 2, c: 3, d: 4, e: 5 }) }))
  expect(empties).toHaveLength(101)
  expect(empties[100].found).toMatch(/^\d+ more problems$/)
  expect(empties[100].severity).toBe('refused')
  const keys = Object.fromEntries(Array.from({ length: 100_000 }, (_, i) => [`key${i}`, i]))
  expect(checkRecipe(recipe(keys))).toHaveLength(11)
})

test('the checker changes nothing of what it is given', () => {
  const before = JSON.stringify(colourNegative)
  checkRecipe(colourNegative)
  expect(JSON.stringify(colourNegative)).toBe(before)
})
