/** Calls of the standard library that the engine does not have, or answers otherwise. */
import type { Node } from 'acorn'
import { full } from 'acorn-walk'
import { MISSING_GLOBALS, MISSING_METHODS, MISSING_STATICS } from './missing.ts'
import { memberName, type Parts, partsOf, type Rule } from './rule.ts'

const GLOBALS = new Set(MISSING_GLOBALS)
const METHODS = new Set(Object.values(MISSING_METHODS).flat())
/** A text has these and a list has not: seen only where the list is written out. */
const SHARED_METHODS = new Set(['lastIndexOf'])

export const LIBRARY_RULES: readonly Rule[] = [
  {
    name: 'missing-global',
    advice: 'The engine has no such global.',
    on: ['Identifier'],
    breaks: ({ node, above }) =>
      GLOBALS.has(partsOf(node).name) && !isOwnName(partsOf(node), above[0] && partsOf(above[0])),
  },
  {
    name: 'missing-static',
    advice: 'The engine has no such function: see missing.ts.',
    on: ['MemberExpression'],
    breaks: ({ node }) => {
      const owner = partsOf(node).object.name
      return (
        owner !== undefined &&
        Object.hasOwn(MISSING_STATICS, owner) &&
        MISSING_STATICS[owner].includes(memberName(partsOf(node)) ?? '')
      )
    },
  },
  {
    name: 'missing-method',
    advice: 'The engine has no such method.',
    on: ['CallExpression'],
    breaks: ({ node, given }) => {
      const { callee } = partsOf(node)
      const name = memberName(callee) ?? ''
      if (!METHODS.has(name) || given.has(name)) return false
      if (SHARED_METHODS.has(name)) return callee.object.type === 'ArrayExpression'
      return !['Object', 'Math', 'E'].includes(callee.object.name)
    },
  },
  {
    name: 'prototype-method',
    advice: 'Such a method cannot be reached through its prototype: take it from a value, as in [].slice.',
    on: ['MemberExpression'],
    breaks: ({ node }) => {
      const { object } = partsOf(node)
      const known = ['Array', 'String', 'Number', 'Function', 'Boolean', 'RegExp', 'Date']
      return memberName(object) === 'prototype' && known.includes(object.object.name)
    },
  },
  {
    name: 'create-with-properties',
    advice: 'Object.create takes one argument: set the properties after.',
    on: ['CallExpression'],
    breaks: ({ node }) => isCallOf(partsOf(node), 'Object', ['create']) && partsOf(node).arguments.length > 1,
  },
  {
    name: 'json-with-function',
    advice: 'The second argument has no effect: treat the value before or after.',
    on: ['CallExpression'],
    breaks: ({ node }) => {
      const second = partsOf(node).arguments[1]
      return (
        isCallOf(partsOf(node), 'JSON', ['parse', 'stringify']) &&
        second !== undefined &&
        /Function|Array|Object|Identifier|Member/.test(second.type)
      )
    },
  },
  {
    name: 'arguments-length',
    advice: 'It counts declared parameters too: compare the parameter with undefined.',
    on: ['MemberExpression'],
    breaks: ({ node, above }) => {
      if (partsOf(node).object.name !== 'arguments' || memberName(partsOf(node)) !== 'length') return false
      const inside = above.find(one => /^Function/.test(one.type))
      const declared = inside === undefined ? 0 : partsOf(inside).params.length
      return declared > 0 && !countsFrom(declared, above)
    },
  },
  {
    name: 'error-kind',
    advice: 'TypeError and its like are no Error on the engine, and no other kind is told apart: give errors a code.',
    on: ['BinaryExpression'],
    breaks: ({ node }) => partsOf(node).operator === 'instanceof' && /.Error$/.test(partsOf(node).right.name ?? ''),
  },
  {
    name: 'unstable-sort',
    advice: 'Equal elements may change places: say what decides between them, as in a.x - b.x || a.y - b.y.',
    on: ['CallExpression'],
    breaks: ({ node }) => {
      const { callee, arguments: given } = partsOf(node)
      return memberName(callee) === 'sort' && given.length > 0 && !decidesBetweenEquals(given[0])
    },
  },
]

/** True in a loop that passes over the declared parameters, as the compiler writes one for the rest of them. */
function countsFrom(declared: number, [test, loop]: readonly Node[]): boolean {
  if (loop?.type !== 'ForStatement' || partsOf(loop).test !== partsOf(test)) return false
  let counts = false
  full(partsOf(loop).init as unknown as Node, node => {
    const { init, right } = partsOf(node)
    const value = node.type === 'VariableDeclarator' ? init?.value : right?.value
    if (typeof value === 'number' && value >= declared) counts = true
  })
  return counts
}

function isCallOf({ callee }: Parts, owner: string, names: readonly string[]): boolean {
  const name = memberName(callee)
  return name !== undefined && callee.object.name === owner && names.includes(name)
}

/** True of a function that returns one comparison, or else another. */
function decidesBetweenEquals(compare: Parts): boolean {
  if (compare.type !== 'FunctionExpression') return false
  const [first] = compare.body.body as unknown as Parts[]
  return first?.type === 'ReturnStatement' && first.argument?.operator === '||'
}

/** True of a name that stands for a member or a key, or is only asked after. */
function isOwnName(name: Parts, above: Parts | undefined): boolean {
  if (above === undefined) return false
  if (above.type === 'MemberExpression') return above.property === name && !above.computed
  if (above.type === 'UnaryExpression') return above.operator === 'typeof'
  return above.type === 'Property' && above.key === name
}
