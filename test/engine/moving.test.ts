/** What the build moves about in a text: declarations to where the engine knows them in time, cold functions inside. */
import { type Program, parse } from 'acorn'
import { minify } from 'terser'
import { expect, test } from 'vitest'
import { lateVariables, moveVariables } from '../../hal/espruino/build/moveVariables.ts'
import { nestCold } from '../../hal/espruino/build/nestCold.ts'
import { decodeMappings, sourceAt } from '../../hal/espruino/build/sourceMap.ts'
import { dehoist } from './dehoist.ts'
import { runOn } from './engines.ts'

const tree = (code: string): Program => parse(code, { ecmaVersion: 5 })

async function text(program: Program): Promise<string> {
  const options = { ecma: 5, parse: { spidermonkey: true } as object, compress: false, mangle: false } as const
  return (await minify(program as never, options)).code ?? ''
}

/** Variables that are used where a branch, a later line or a loop may not have declared them. */
const LATE: string[] = [
  'function f(a){return(b=a)+1;var b}print(f(1));',
  'function f(a){if(a){var b=1}return b}print(f(1));print(f(0)===undefined);',
  'function f(a){for(var k in a);return k}print(f({x:1}));',
  'function f(a){switch(a){case 1:var b=1;case 2:b=b||2}return b}print(f(2));',
  'function f(a){try{var b=a.x}catch(e){b=3}return b}print(f(null));',
  'function f(){function g(){b=2}g();var b=1;return b}print(f());',
  'function f(a){while(a-->0)for(var i=0,n=2;i<n;i++);return n}print(f(1));',
]

test.each(LATE)('a late variable is found and declared in time: %s', async code => {
  expect(lateVariables(tree(code)).size).toBe(1)
  const program = tree(code)
  moveVariables(program)
  const moved = await text(program)
  expect(lateVariables(tree(moved)).size).toBe(0)
  expect(await runOn('node', moved)).toEqual(await runOn('node', code))
})

/** Declared in time, each in its own way. */
const KNOWN: string[] = [
  'function f(a){var b=a;return function(){return b}}',
  'function f(a){for(var i=0;i<a;i++);return i}',
  'function f(a){if(a){var b=a;g(b)}}',
  'function f(a){try{g()}catch(b){h(b)}var b=1;return b+a}',
  'function f(){return b}var b=1;f();',
  'function f(a){var a;return a}',
]

test.each(KNOWN)('a variable that is known in time stays: %s', code => {
  expect(lateVariables(tree(code)).size).toBe(0)
})

test('the de-hoisted run throws where the engine would', async () => {
  await expect(runOn('dehoisted', 'f();function f(){}')).rejects.toThrow(/before initialization/)
  await expect(runOn('dehoisted', 'print([1,[2]].flat())')).rejects.toThrow(/not a function/)
  await expect(runOn('dehoisted', 'print(Math.trunc(1.5))')).rejects.toThrow(/not a function/)
  expect(dehoist('var a=1;function f(){}')).toBe('let a=1;let f=function f(){};')
})

test('a run that fails or does not end is an error, on duktape as in Node', async () => {
  for (const engine of ['node', 'duk'] as const) {
    await expect(runOn(engine, 'print(1);nothing()')).rejects.toThrow(/nothing/)
    await expect(runOn(engine, 'for(;;);', { seconds: 1 })).rejects.toThrow(/took longer|timed out/)
  }
})

test('only what nothing else uses goes into a cold function', async () => {
  const program = tree(`!function(){
    function cold(n){return one(n)+shared(n)}
    function one(n){return two(n)+1}
    function two(n){return n*2}
    function shared(n){return n}
    function hot(n){return shared(n)}
    print(cold(1));print(hot(2));
  }()`)
  nestCold(program, ['cold', 'not there'])
  const nested = await text(program)
  expect(nested.replace(/\s/g, '')).toContain('functioncold(n){functionone(n){returntwo(n)+1}functiontwo(n){returnn*2}')
  expect(nested.indexOf('function shared')).toBeGreaterThan(nested.indexOf('return one(n)'))
  expect(await runOn('node', nested)).toEqual(['4', '2'])
})

test('a source map is read as its format says', () => {
  const map = JSON.stringify({ sources: ['a.ts', 'b.ts'], mappings: 'AAAA,KACC;;CCAD' })
  expect(decodeMappings(map)).toEqual([
    [
      { column: 0, source: 0, sourceLine: 0, sourceColumn: 0 },
      { column: 5, source: 0, sourceLine: 1, sourceColumn: 1 },
    ],
    [],
    [{ column: 1, source: 1, sourceLine: 1, sourceColumn: 0 }],
  ])
  expect(sourceAt('abcdefgh', map, 6)).toBe('a.ts:2')
})
