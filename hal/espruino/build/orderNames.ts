/**
 * Puts what a tick uses where the board's engine finds it soonest. That engine looks a name up by walking through the
 * bundle's one scope from its beginning, and only then among its own globals: the 500th name costs more than two turns of
 * the reference loop, every time. So functions and variables stand in the order in which they are reached from the
 * tick, and the few globals that arithmetic uses become parameters of the bundle's function, which come first of all.
 *
 * Works on an ESTree and changes it in place. A bundle without a tick, or of another shape, stays as it is.
 */
import type {
  CallExpression,
  FunctionExpression,
  Identifier,
  Node,
  Program,
  Statement,
  VariableDeclaration,
} from 'acorn'
import { full } from 'acorn-walk'

/** What runs ten times a second, by its name in the sources: first the firmware's, then the simulated base's. */
const ROOTS = ['tick', 'movePlant']
const GLOBALS = ['NaN', 'isNaN', 'Math']

export function orderNames(program: Program): void {
  const call = wholeCall(program)
  if (call === undefined || call.arguments.length > 0) return
  const whole = call.callee as FunctionExpression
  const body = whole.body.body as Statement[]
  const named = new Map<string, Node>()
  for (const one of body) {
    if (one.type === 'FunctionDeclaration') named.set(one.id.name, one)
    if (one.type !== 'VariableDeclaration') continue
    for (const variable of one.declarations) named.set((variable.id as Identifier).name, variable)
  }
  const reached = reachedFrom(ROOTS, named)
  if (reached.length === 0) return
  const first = reached.map(name => {
    const node = named.get(name) as Node
    return node.type === 'FunctionDeclaration' ? (node as Statement) : declared(name)
  })
  const moved = new Set<Node>(first)
  const functions = body.filter(one => one.type === 'FunctionDeclaration' && !moved.has(one))
  const directives = body.filter(one => 'directive' in one)
  const rest = body
    .filter(one => one.type !== 'FunctionDeclaration' && !('directive' in one))
    .flatMap(one => (one.type === 'VariableDeclaration' ? valuesOf(one, reached) : [one]))
  body.splice(0, body.length, ...directives, ...first, ...functions, ...rest)
  takeGlobals(program, call, whole)
}

/** The call that the whole bundle is: one function, run once. */
export function wholeCall(program: Program): CallExpression | undefined {
  for (const statement of program.body) {
    if (statement.type !== 'ExpressionStatement') continue
    const { expression } = statement
    const call = expression.type === 'UnaryExpression' ? expression.argument : expression
    if (call.type !== 'CallExpression' || call.callee.type !== 'FunctionExpression') continue
    return call
  }
  return undefined
}

/** Names in the order of their distance from the roots; of those equally far, in the order of the text. */
function reachedFrom(roots: string[], named: Map<string, Node>): string[] {
  const reached = roots.filter(name => named.has(name))
  for (let i = 0; i < reached.length; i++) {
    for (const name of namesIn(named.get(reached[i]) as Node)) {
      if (named.has(name) && !reached.includes(name)) reached.push(name)
    }
  }
  return reached
}

function namesIn(node: Node): string[] {
  const names: string[] = []
  full(node, one => {
    if (one.type === 'Identifier') names.push((one as Identifier).name)
  })
  return names
}

/** `var name` without a value: the engine keeps the place, the value comes where it came before. */
function declared(name: string): Statement {
  const id = { type: 'Identifier', name, start: 0, end: 0 }
  const declarations = [{ type: 'VariableDeclarator', id, init: null, start: 0, end: 0 }]
  return { type: 'VariableDeclaration', kind: 'var', declarations, start: 0, end: 0 } as unknown as Statement
}

/** What is left of a declaration when some of its names were declared before: their values, each in its turn. */
function valuesOf(declaration: VariableDeclaration, before: string[]): Statement[] {
  return declaration.declarations.flatMap(one => {
    const { id, init } = one
    if (!before.includes((id as Identifier).name)) {
      return [{ ...declaration, declarations: [one] } as Statement]
    }
    if (!init) return []
    const expression = { type: 'AssignmentExpression', operator: '=', left: id, right: init, start: 0, end: 0 }
    return [{ type: 'ExpressionStatement', expression, start: 0, end: 0 } as unknown as Statement]
  })
}

function takeGlobals(program: Program, call: CallExpression, whole: FunctionExpression): void {
  const used = new Set(namesIn(program))
  for (const name of GLOBALS) {
    if (!used.has(name)) continue
    whole.params.push({ type: 'Identifier', name, start: 0, end: 0 })
    call.arguments.push({ type: 'Identifier', name, start: 0, end: 0 })
  }
}
