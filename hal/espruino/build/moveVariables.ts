/**
 * Moves a variable's declaration to the head of its function where the board's engine would otherwise not know it in time:
 * that engine hoists nothing, and an assignment to a name not yet declared makes a global. A declaration stays where it is
 * when every use stands after it, in the text and inside its block. Works on an ESTree and changes it in place.
 */
import type {
  Function as AnyFunction,
  CatchClause,
  ForStatement,
  Identifier,
  Node,
  Program,
  VariableDeclaration,
  VariableDeclarator,
} from 'acorn'
import { full, fullAncestor } from 'acorn-walk'
import { isFeed } from './feedWatchdog.ts'

export type Scope = AnyFunction | Program

interface Place {
  /** Counts the names of the text from its beginning: the nodes' own positions are those before the rewriting. */
  order: number
  at: Node
  /** What it stands in, the program first. */
  above: Node[]
}

interface Declared {
  /** Every declaration of the name. */
  places: Place[]
  /** Every use, in this function or one inside it. */
  uses: Place[]
}

/** Names that are used where the engine would not have seen their declaration, by the function that declares them. */
export function lateVariables(program: Program): Map<Scope, Set<string>> {
  const late = new Map<Scope, Set<string>>()
  for (const [scope, names] of variables(program)) {
    for (const [name, one] of names) {
      if (isKnownInTime(scope, one)) continue
      late.set(scope, (late.get(scope) ?? new Set()).add(name))
    }
  }
  return late
}

function isKnownInTime(scope: Scope, { places, uses }: Declared): boolean {
  const [first] = places
  const home = homeOf(first)
  const head = isInHead(scope, first.above)
  return uses.every(use => {
    const inside = home === undefined || use.above.includes(home)
    const later = use.order >= first.order
    return inside && (later || (head && nearest(use.above, isScope) !== scope))
  })
}

/** The part of a function that may be passed over with the declaration in it; undefined if none. */
function homeOf({ at, above }: Place): Node | undefined {
  const path = [...above, at]
  for (let i = path.length - 2; i >= 0 && !isScope(path[i]); i--) {
    const [node, part] = [path[i], path[i + 1]]
    if (node.type === 'SwitchCase' || node.type === 'ForInStatement') return node
    const whole = node.type === 'ForStatement' && (node as ForStatement).init === part
    if (!whole && /^(If|While|DoWhile|For|Try|Labeled)Statement$|^CatchClause$/.test(node.type)) return part
  }
  return undefined
}

/** True of a declaration before which the function does nothing but define: no function that uses it can have run. */
function isInHead(scope: Scope, above: Node[]): boolean {
  const body = bodyOf(scope)
  const at = body.findIndex(one => above.includes(one))
  return body.slice(0, at).every(definesOnly)
}

/** True of a statement that defines and calls nothing of the text's own. */
function definesOnly(statement: Node): boolean {
  return isFeed(statement) || 'directive' in statement || statement.type === 'FunctionDeclaration' || isQuiet(statement)
}

/** True of a declaration of variables that calls nothing. */
function isQuiet(statement: Node): boolean {
  let quiet = statement.type === 'VariableDeclaration'
  full(statement, node => {
    if (node.type === 'CallExpression' || node.type === 'NewExpression') quiet = false
  })
  return quiet
}

function bodyOf(scope: Scope): Node[] {
  const { body } = scope
  return Array.isArray(body) ? body : body.type === 'BlockStatement' ? body.body : []
}

function nearest(above: Node[], is: (node: Node) => boolean): Node | undefined {
  return above.filter(is).pop()
}

/** The variables of every function, with where they are declared and used. Parameters and function names are none. */
function variables(program: Program): Map<Scope, Map<string, Declared>> {
  const found = new Map<Scope, Map<string, Declared>>()
  const ids = new Map<Node, Declared>()
  fullAncestor(program, (node, _state, above) => {
    if (node.type !== 'VariableDeclarator') return
    const { id } = node as VariableDeclarator
    const scope = nearest(above, isScope) as Scope
    if (id.type !== 'Identifier' || isParameter(scope, id.name)) return
    const names = found.get(scope) ?? new Map<string, Declared>()
    found.set(scope, names)
    const one = names.get(id.name) ?? { places: [], uses: [] }
    names.set(id.name, one)
    ids.set(id, one)
  })
  let order = 0
  fullAncestor(program, (node, _state, above) => {
    if (node.type !== 'Identifier') return
    const { name } = node as Identifier
    const place = { order: order++, at: node, above: above.slice(0, -1) }
    ids.get(node)?.places.push(place)
    const parent = place.above[place.above.length - 1]
    if (isScope(parent) && (parent as AnyFunction).id === node) return
    const owner = nearest(place.above, one => owns(one, name, found))
    const names = found.get(owner as Scope)
    names?.get(name)?.uses.push(place)
  })
  return found
}

/** True of what a name at some place inside belongs to: what is caught has a name of its own. */
function owns(node: Node, name: string, found: Map<Scope, Map<string, Declared>>): boolean {
  if (node.type === 'CatchClause') {
    const { param } = node as CatchClause
    return param?.type === 'Identifier' && param.name === name
  }
  return isScope(node) && (found.get(node as Scope)?.has(name) || isParameter(node as Scope, name))
}

function isScope(node: Node): boolean {
  return node.type === 'Program' || node.type === 'FunctionDeclaration' || node.type === 'FunctionExpression'
}

function isParameter(scope: Scope, name: string): boolean {
  return 'params' in scope && scope.params.some(one => one.type === 'Identifier' && one.name === name)
}

/** Declares every late variable where its function begins to do something. */
export function moveVariables(program: Program): void {
  const late = lateVariables(program)
  fullAncestor(program, (node, _state, above) => {
    if (node.type !== 'VariableDeclaration') return
    const names = late.get(nearest(above, isScope) as Scope)
    const declaration = node as VariableDeclaration
    if (
      names === undefined ||
      !declaration.declarations.some(one => one.id.type === 'Identifier' && names.has(one.id.name))
    )
      return
    for (const one of declaration.declarations) if (one.id.type === 'Identifier') names.add(one.id.name)
    undeclare(declaration, above[above.length - 2])
  })
  for (const [scope, names] of late) {
    const body = bodyOf(scope)
    const head = body.findIndex(one => !definesOnly(one))
    body.splice(head < 0 ? body.length : head, 0, declarationOf([...names], scope))
  }
}

/** Turns a declaration into the assignments it makes, in place. */
function undeclare(declaration: VariableDeclaration, parent: Node): void {
  const { start, end, loc } = declaration
  const place = { start, end, loc }
  const set = declaration.declarations.flatMap(({ id, init }) =>
    init ? [{ ...place, type: 'AssignmentExpression', operator: '=', left: id, right: init }] : [],
  )
  const all = set.length > 1 ? { ...place, type: 'SequenceExpression', expressions: set } : set[0]
  const target = declaration as unknown as { [key: string]: unknown }
  const { id } = declaration.declarations[0]
  for (const key of ['declarations', 'kind']) delete target[key]
  if (parent.type === 'ForInStatement') Object.assign(target, id)
  else if (parent.type === 'ForStatement' && (parent as { init?: unknown }).init === declaration) {
    if (all) Object.assign(target, all)
    else (parent as { init?: unknown }).init = null
  } else Object.assign(target, all ? { type: 'ExpressionStatement', expression: all } : { type: 'EmptyStatement' })
}

function declarationOf(names: string[], { start, loc }: Node): VariableDeclaration {
  const place = { start, end: start, loc }
  const declarations = names.map(name => ({
    ...place,
    type: 'VariableDeclarator',
    id: { ...place, type: 'Identifier', name },
    init: null,
  }))
  return { ...place, type: 'VariableDeclaration', kind: 'var', declarations } as unknown as VariableDeclaration
}
