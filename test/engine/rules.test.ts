/** Each rule has a text that breaks it and nothing else, and one beside it that does the same as the engine can. */
import { expect, test } from 'vitest'
import { refuse } from '../../hal/espruino/build/build.ts'
import { breaches, RULE_NAMES } from '../../hal/espruino/build/rules/engineRules.ts'

/** Rule, a text that breaks it, a text that does not. */
const CASES: [string, string, string][] = [
  ['not-es5', 'var f=(a)=>a;', 'var f=function(a){return a};'],
  ['not-ascii', 'print("20 °C");', 'print("20 \\xb0C");'],
  ['late-function', 'g();function g(){}', 'function g(){}g();'],
  ['late-function', 'if(1){function g(){}}', 'var g;if(1)g=function(){};'],
  ['late-variable', 'function f(a){return b=a,b+1;var b}', 'function f(a){var b;return b=a,b+1}'],
  ['late-variable', 'function f(a){if(a){var b=1}return b}', 'function f(a){var b;if(a)b=1;return b}'],
  ['label', 'a:for(;;)for(;;)break a;', 'for(;;)break;'],
  ['default-not-last', 'switch(x){default:y();case 1:z()}', 'switch(x){case 1:z();default:y()}'],
  ['debugger', 'debugger;', ';'],
  ['with', 'with(o)f();', 'o.f();'],
  ['array-hole', 'f([1,,2]);', 'f([1,void 0,2]);'],
  ['sequence-in-brackets', 'f(x[a,b]);', 'a,f(x[b]);'],
  ['sequence-in-brackets', 'switch(x){case a,b:f()}', 'switch(a,x){case b:f()}'],
  ['do-without-block', 'do;while(f());', 'do{}while(f());'],
  ['in-for-head', 'for(var i=("a"in o)?1:0;i<3;i++)f(i);', 'var i="a"in o?1:0;for(;i<3;i++)f(i);'],
  ['function-at-for-head', 'for(function(){f()}(),i=0;i<3;i++);', 'for(i=0,function(){f()}();i<3;i++);'],
  ['long-name', `o.${'a'.repeat(64)}=1;`, `o.${'a'.repeat(63)}=1;`],
  ['bare-getter', 'o.x;', 'f(o.x);'],
  ['return-newline', 'function f(){return\n1}', 'function f(){return 1}'],
  ['long-integer', 'f(10000000000000000000);', 'f(1e19);'],
  ['minus-zero', 'f(-0);', 'f(0);'],
  ['throw-in-finally', 'try{f()}finally{throw 1}', 'try{f()}finally{g()}'],
  ['line-continued-in-text', 'f("a\\\nb");', 'f("ab");'],
  ['wide-character', 'f("\\u20ac");', 'f("\\xb0");'],
  ['regular-expression', 'f(/a+?/);', 'f(/a+/);'],
  ['regular-expression', 'f(/a{2}/);', 'f(/aa/);'],
  ['regular-expression', 'f(/(?:a|b)+/);', 'f(/(a|b)+/);'],
  ['regular-expression', 'f(/a(?=b)/);', 'f(/ab/);'],
  ['regular-expression', 'f(/\\bon\\b/);', 'f(/[?{] \\? \\{/);'],
  ['pattern-after-bracket', 'if(a)/x/.test(b)&&f();', 'var r=/x/;if(a)r.test(b)&&f();'],
  ['length-set', 'a.length=0;', 'a=[];'],
  ['missing-global', 'f(new Map);', 'f({Map:1}.Map,typeof Map);'],
  ['missing-global', 'throw new RangeError("x");', 'throw new Error("x");'],
  ['missing-static', 'f(Math.trunc(x));', 'f(Math.floor(x));'],
  ['missing-static', 'f(Number.isFinite(x));', 'f(isFinite(x));'],
  ['missing-static', 'Object.freeze(o);', 'Object.keys(o);'],
  ['missing-static', 'f(Array.from(o));', 'f(o.slice());'],
  ['missing-method', 'f(a.flatMap(g));', 'f(a.map(g));'],
  ['missing-method', 'f([1].lastIndexOf(1));', 'f("a".lastIndexOf("a"));'],
  ['missing-method', 'f(x.toPrecision(3));', 'f(x.toFixed(3));'],
  ['missing-method', 'f("a".localeCompare("b"));', 'f("a"<"b");'],
  ['missing-method', 'f(a.at(1));', 'o.at=g;f(o.at(1));'],
  ['prototype-method', 'Array.prototype.slice.call(a);', '[].slice.call(a);'],
  ['create-with-properties', 'Object.create(p,{});', 'Object.create(p);'],
  ['json-with-function', 'JSON.stringify(o,function(k,v){return v});', 'JSON.stringify(o,null,2);'],
  ['arguments-length', 'function f(a){return arguments.length}', 'function f(){return arguments.length}'],
  [
    'arguments-length',
    'function f(a,b){for(var i=1;i<arguments.length;i++)g(i)}',
    'function f(a,b){for(var i=2;i<arguments.length;i++)g(i)}',
  ],
  ['error-kind', 'f(e instanceof TypeError);', 'f(e.code==="type");'],
  [
    'unstable-sort',
    'a.sort(function(x,y){return x.n-y.n});',
    'a.sort(function(x,y){return x.n-y.n||x.m-y.m});b.sort();',
  ],
]

test('each rule is broken by some text here', () => {
  expect(RULE_NAMES.filter(name => !CASES.some(([rule]) => rule === name))).toEqual([])
})

test.each(CASES)('%s: %s is caught, %s is not', (rule, wrong, right) => {
  expect(breaches(wrong).map(breach => breach.rule)).toEqual([rule])
  expect(breaches(right)).toEqual([])
})

test('what is refused is named by rule and place, with what to do', () => {
  const map = JSON.stringify({ version: 3, sources: ['firmware/base.ts'], mappings: 'AAUA,OAEA' })
  expect(() => refuse('pico', 'f(1);g(Math.trunc(x));', map)).toThrow(
    /^pico would not run.*\nfirmware\/base.ts:13: missing-static\. The engine has no such function.*\n {4}Math\.trunc/,
  )
})
