/**
 * Moves functions that only a seldom-run function needs inside it. On the board every function of the bundle's one scope
 * takes five variables and one more for each parameter for as long as the firmware runs; inside, only while the other
 * runs. Works on an ESTree and changes it in place.
 *
 * Only for functions that run once or at rest, and leave no function of theirs behind: what they leave would keep all that
 * stands beside it.
 */
import type { CallExpression, FunctionDeclaration, FunctionExpression, Node, Program, Statement } from 'acorn'
import { full } from 'acorn-walk'

/** By their names in the sources. */
export const COLD = ['checkRecipe', 'createBase', 'recall']

export function nestCold(program: Program, cold: readonly string[] = COLD): void {
  const body = wholeBody(program)
  if (body === undefined) return
  for (const name of cold) {
    const home = body.find((one): one is FunctionDeclaration => isNamed(one, name))
    if (home === undefined) continue
    const inside = neededOnlyBy(home, body)
    for (const one of inside) body.splice(body.indexOf(one), 1)
    home.body.body.unshift(...inside)
  }
}

function isNamed(one: Node, name: string): one is FunctionDeclaration {
  return one.type === 'FunctionDeclaration' && (one as FunctionDeclaration).id?.name === name
}

/** Functions of the scope that are used by one of them and by what it alone needs, and nowhere else. */
export function neededOnlyBy(home: FunctionDeclaration, body: Statement[]): FunctionDeclaration[] {
  const functions = body.filter((one): one is FunctionDeclaration => one.type === 'FunctionDeclaration')
  const uses = new Map<Statement, Set<string>>()
  for (const one of body) uses.set(one, namesIn(one))
  const inside = new Set<FunctionDeclaration>(functions.filter(one => one !== home))
  for (;;) {
    const outer = body.filter(one => one !== home && !inside.has(one as FunctionDeclaration))
    const wanted = [...inside].filter(one => outer.some(other => uses.get(other)?.has(one.id.name)))
    if (wanted.length === 0) break
    for (const one of wanted) inside.delete(one)
  }
  const reached = new Set<string>(uses.get(home))
  for (const name of reached) {
    const one = functions.find(candidate => candidate.id.name === name)
    if (one !== undefined && inside.has(one)) for (const next of uses.get(one) ?? []) reached.add(next)
  }
  return functions.filter(one => inside.has(one) && reached.has(one.id.name))
}

function namesIn(node: Node): Set<string> {
  const names = new Set<string>()
  full(node, one => {
    if (one.type === 'Identifier' && one !== (node as FunctionDeclaration).id)
      names.add((one as Node & { name: string }).name)
  })
  return names
}

/** The body of the one function that a whole bundle is. */
function wholeBody(program: Program): Statement[] | undefined {
  for (const statement of program.body) {
    if (statement.type !== 'ExpressionStatement') continue
    const { expression } = statement
    const call = (expression.type === 'UnaryExpression' ? expression.argument : expression) as CallExpression
    if (call.type === 'CallExpression' && call.callee.type === 'FunctionExpression') {
      return (call.callee as FunctionExpression).body.body as Statement[]
    }
  }
  return undefined
}
