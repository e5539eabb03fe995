/**
 * Holds a shortened text against what the board's engine can do. The engine finds a syntax error only when it comes to the
 * line, so a text can start and die hours later: it is checked here, before it is written anywhere.
 */

import { type Node, type Program, parse } from 'acorn'
import { full, fullAncestor } from 'acorn-walk'
import { isFeed } from '../feedWatchdog.ts'
import { lateVariables } from '../moveVariables.ts'
import { GRAMMAR_RULES } from './grammar.ts'
import { LIBRARY_RULES } from './library.ts'
import { memberName, partsOf, type Rule } from './rule.ts'

export interface Breach {
  rule: string
  /** What to do about it. */
  advice: string
  /** Where in the text. */
  offset: number
}

/** Rules that see the whole text at once, beside those of one node. */
const WHOLE_ADVICE: { readonly [rule: string]: string } = {
  'not-es5': 'The text does not parse as ES5.',
  'not-ascii': 'Only ASCII: write other characters as escapes.',
  'late-function': 'Functions are not hoisted: define it before anything in its function runs.',
  'late-variable': 'Variables are not hoisted: declare it before its use, outside any branch.',
}

const NODE_RULES: readonly Rule[] = [...GRAMMAR_RULES, ...LIBRARY_RULES]

/** The name of every rule. */
export const RULE_NAMES: readonly string[] = [...Object.keys(WHOLE_ADVICE), ...NODE_RULES.map(rule => rule.name)]

/** Everything in a text that the engine would not do, in order of place. */
export function breaches(code: string): Breach[] {
  const found: Breach[] = []
  const whole = (rule: string, offset: number): void => {
    found.push({ rule, advice: WHOLE_ADVICE[rule], offset })
  }
  const foreign = /[^\n\r\t\x20-\x7e]/.exec(code)
  if (foreign) whole('not-ascii', foreign.index)
  let program: Program
  try {
    program = parse(code, { ecmaVersion: 5 })
  } catch (error) {
    whole('not-es5', (error as { pos?: number }).pos ?? 0)
    return found
  }
  for (const offset of lateFunctions(program)) whole('late-function', offset)
  for (const [scope] of lateVariables(program)) whole('late-variable', scope.start)
  const given = givenMembers(program)
  const byKind = new Map<string, Rule[]>()
  for (const rule of NODE_RULES) for (const kind of rule.on) byKind.set(kind, [...(byKind.get(kind) ?? []), rule])
  fullAncestor(program, (node, _state, ancestors) => {
    const rules = byKind.get(node.type)
    if (rules === undefined) return
    const above = ancestors.slice(0, -1).reverse()
    for (const { name, advice, breaks } of rules) {
      if (breaks({ node, above, code, given })) found.push({ rule: name, advice, offset: node.start })
    }
  })
  return found.sort((one, other) => one.offset - other.offset)
}

function givenMembers(program: Program): Set<string> {
  const given = new Set<string>()
  full(program, node => {
    const { key, left } = partsOf(node)
    if (node.type === 'Property') given.add(key.name ?? String(key.value))
    if (node.type === 'AssignmentExpression') given.add(memberName(left) ?? '')
  })
  return given
}

/** Functions declared after a statement that may call them, or in a branch. */
function lateFunctions(program: Program): number[] {
  const late: number[] = []
  fullAncestor(program, (node, _state, ancestors) => {
    if (node.type !== 'FunctionDeclaration') return
    const [parent, owner] = [ancestors[ancestors.length - 2], ancestors[ancestors.length - 3]]
    const own = parent.type === 'Program' || (owner !== undefined && /^Function/.test(owner.type))
    const before: Node[] = own ? (partsOf(parent).body as unknown as Node[]) : []
    const head = before.slice(0, before.indexOf(node)).every(isStill)
    if (!own || !head) late.push(node.start)
  })
  return late
}

/** True of a statement that defines and does nothing with what the text defines. */
function isStill(statement: Node): boolean {
  if (isFeed(statement)) return true
  if (statement.type === 'FunctionDeclaration' || 'directive' in statement) return true
  if (statement.type !== 'VariableDeclaration') return false
  return partsOf(statement).declarations.every(one => !one.init || one.init.type === 'Literal')
}
