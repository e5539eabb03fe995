/** What a rule is: something that ES5 allows and the board's engine does not do, found in the shortened text. */
import type { Node } from 'acorn'

/** A node and where it stands. */
export interface Seen {
  node: Node
  /** What it stands in, the innermost first. */
  above: Node[]
  /** The whole text. */
  code: string
  /** Members that the text gives to objects of its own. */
  given: ReadonlySet<string>
}

export interface Rule {
  name: string
  /** What to do about it. */
  advice: string
  /** The kinds of node that it looks at. */
  on: readonly string[]
  breaks(seen: Seen): boolean
}

/** The members that the rules ask nodes for; which of them a node has, its kind says. */
export interface Parts {
  type: string
  start: number
  name: string
  value: unknown
  raw: string
  operator: string
  computed: boolean
  regex?: { pattern: string }
  argument?: Parts
  body: Parts
  callee: Parts
  expression: Parts
  finalizer?: Parts
  init?: Parts
  key: Parts
  left: Parts
  object: Parts
  property: Parts
  right: Parts
  test?: Parts
  arguments: Parts[]
  cases: Parts[]
  declarations: Parts[]
  elements: (Parts | null)[]
  params: Parts[]
}

export function partsOf(node: Node): Parts {
  return node as unknown as Parts
}

/** The member's name, where it is written out; `undefined` for a computed one, and for what is no member. */
export function memberName(node: Parts): string | undefined {
  if (node.type !== 'MemberExpression') return undefined
  if (!node.computed) return node.property.name
  return typeof node.property.value === 'string' ? node.property.value : undefined
}
