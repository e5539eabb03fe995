/**
 * Shortens a joined ES5 text for the board in two goes. The first one rewrites; the second moves every function and
 * variable before its use (and what a tick uses before everything else: orderNames.ts), because the board's engine hoists
 * nothing and the first leaves declarations behind, and gives variables and properties short names.
 *
 * Which property names stay as they are: those of the standard library and of the engine (engine.ts); those spoken outside
 * (spokenNames.ts: JSON, flash, shared globals); the recipe's keys; and every name that stands as a text in the bundle,
 * since it may be a key. All others get the shortest names, the commonest first.
 */
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Program } from 'acorn'
import { full } from 'acorn-walk'
import { type CompressOptions, minify } from 'terser'
import { feedWatchdog } from './feedWatchdog.ts'
import { moveVariables } from './moveVariables.ts'
import { nestCold } from './nestCold.ts'
import { orderNames } from './orderNames.ts'
import { declaredNames, standardNames } from './spokenNames.ts'

export interface Shortened {
  code: string
  map: string
}

/**
 * A function used once stays a function of its own: written in place it would be made anew at every call, and at the head
 * of a `for` the engine takes it for a declaration. Reading a member never has an effect (the engine skips it if unused).
 */
const REWRITING: CompressOptions = { hoist_funs: true, passes: 3, reduce_funcs: false, pure_getters: true }

const MOVING: CompressOptions = { defaults: false, join_vars: true }

/** Names that every bundle keeps: the library's, the engine's, the recipe's keys. */
export function keptNames(root: string): Set<string> {
  const names = standardNames()
  declaredNames(join(root, 'hal/espruino/engine.ts'), names)
  schemaKeys(JSON.parse(readFileSync(join(root, 'firmware/recipe/recipe.schema.json'), 'utf8')), names)
  return names
}

function schemaKeys(schema: unknown, names: Set<string>): void {
  if (typeof schema !== 'object' || schema === null) return
  if ('properties' in schema) for (const key of Object.keys(schema.properties as object)) names.add(key)
  for (const part of Object.values(schema)) schemaKeys(part, names)
}

/** `onBoard`: it is read by a board whose watchdog may run. */
export async function shorten(
  code: string,
  map: string,
  kept: ReadonlySet<string>,
  onBoard: boolean,
): Promise<Shortened> {
  const rewritten = await minify(code, {
    ecma: 5,
    compress: REWRITING,
    mangle: false,
    format: { code: false, spidermonkey: true } as object,
  })
  const tree = (rewritten as { ast?: Program }).ast as Program
  nestCold(tree)
  orderNames(tree)
  moveVariables(tree)
  if (onBoard) feedWatchdog(tree)
  const short = await minify(tree as never, {
    ecma: 5,
    parse: { spidermonkey: true } as object,
    compress: MOVING,
    mangle: { properties: { builtins: true, only_cache: true } as object },
    nameCache: { props: { props: shortNames(tree, kept) } },
    format: { ascii_only: true, comments: false },
    sourceMap: { content: map, filename: 'bundle.js' },
  })
  return { code: short.code ?? '', map: String(short.map) }
}

/** A short name for each property name that is not kept, under terser's key `$name`. */
function shortNames(tree: Program, kept: ReadonlySet<string>): { [key: string]: string } {
  const uses = new Map<string, number>()
  const texts = new Set<string>()
  const use = (name: string): void => {
    uses.set(name, (uses.get(name) ?? 0) + 1)
  }
  full(tree, node => {
    const one = node as unknown as { [key: string]: { type: string; name: string; value: unknown } & boolean }
    if (node.type === 'MemberExpression' && !one['computed']) use(one['property'].name)
    if (node.type === 'Property') use(one['key'].type === 'Identifier' ? one['key'].name : String(one['key'].value))
    if (node.type === 'Literal' && typeof one['value'] === 'string') texts.add(one['value'])
  })
  const free = (name: string): boolean => !kept.has(name) && !texts.has(name)
  const names = [...uses.keys()].filter(name => free(name) && /^[A-Za-z_$][\w$]*$/.test(name))
  names.sort((one, other) => (uses.get(other) ?? 0) - (uses.get(one) ?? 0) || (one < other ? -1 : 1))
  const taken = new Set([...uses.keys()].filter(name => !names.includes(name)))
  const short: { [key: string]: string } = {}
  let count = 0
  for (const name of names) {
    let given: string
    do given = nameOf(count++)
    while (taken.has(given) || kept.has(given))
    short[`$${name}`] = given
  }
  return short
}

const FIRST = 'abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ_$'
const NEXT = `${FIRST}0123456789`
const RESERVED_WORDS = new Set(['do', 'if', 'in', 'for', 'let', 'new', 'try', 'var'])

/** The n-th name in order of length. */
function nameOf(n: number): string {
  if (n < FIRST.length) return FIRST[n]
  const rest = n - FIRST.length
  const name = FIRST[rest % FIRST.length] + NEXT[Math.floor(rest / FIRST.length) % NEXT.length]
  const beyond = Math.floor(rest / (FIRST.length * NEXT.length))
  const whole = beyond === 0 ? name : name + NEXT[beyond - 1]
  return RESERVED_WORDS.has(whole) ? `${whole}_` : whole
}
