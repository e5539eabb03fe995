/**
 * Feeds the board's watchdog while the bundle is read. Reading a hundred kilobytes of functions takes an engine seconds in
 * one stretch, in which no timer runs; a watchdog that counts eight seconds at most must not end it.
 *
 * Works on an ESTree and changes it in place; a bundle of another shape stays as it is.
 */
import type { ExpressionStatement, FunctionExpression, Node, Program, Statement } from 'acorn'
import { wholeCall } from './orderNames.ts'

/** About a tenth of a bundle: well under a second on any board (assumed). */
const FUNCTIONS_BETWEEN = 50

const FEED = {
  type: 'ExpressionStatement',
  expression: {
    type: 'CallExpression',
    callee: {
      type: 'MemberExpression',
      object: { type: 'Identifier', name: 'E' },
      property: { type: 'Identifier', name: 'kickWatchdog' },
      computed: false,
      optional: false,
    },
    arguments: [],
    optional: false,
  },
}

export function feedWatchdog(program: Program): void {
  const call = wholeCall(program)
  if (call === undefined) return
  const body = (call.callee as FunctionExpression).body.body as Statement[]
  let functions = 0
  for (let i = 0; i < body.length; i++) {
    if (body[i]?.type !== 'FunctionDeclaration' || ++functions % FUNCTIONS_BETWEEN !== 0) continue
    body.splice(++i, 0, structuredClone(FEED) as unknown as Statement)
  }
}

/** True of the statement that feeds: it uses nothing that the text defines. */
export function isFeed(statement: Node): boolean {
  if (statement.type !== 'ExpressionStatement') return false
  const { expression } = statement as ExpressionStatement
  if (expression.type !== 'CallExpression' || expression.callee.type !== 'MemberExpression') return false
  const { object, property } = expression.callee
  return object.type === 'Identifier' && object.name === 'E' && property.type === 'Identifier'
}
