/**
 * Rewrites a bundle so that Node hoists as little of it as the board's engine does: every function declaration becomes a
 * `let` at its place, every `var` of a function's own level too. A use before its definition then throws.
 */
import {
  type AnonymousFunctionDeclaration,
  type FunctionDeclaration,
  type Node,
  parse,
  type VariableDeclaration,
} from 'acorn'
import { ancestor } from 'acorn-walk'

interface Edit {
  at: number
  end: number
  text: string
}

export function dehoist(code: string): string {
  const edits: Edit[] = []
  ancestor(parse(code, { ecmaVersion: 5 }), {
    FunctionDeclaration(node: FunctionDeclaration | AnonymousFunctionDeclaration) {
      const name = node.id?.name ?? ''
      edits.push({ at: node.start, end: node.start, text: `let ${name}=` }, { at: node.end, end: node.end, text: ';' })
    },
    VariableDeclaration(node: VariableDeclaration, _state: unknown, above: Node[]) {
      const [block, body] = [above[above.length - 2], above[above.length - 3]]
      const ownLevel = block.type === 'Program' || (block.type === 'BlockStatement' && /Function/.test(body.type))
      if (ownLevel) edits.push({ at: node.start, end: node.start + 3, text: 'let' })
    },
  })
  edits.sort((one, other) => one.at - other.at || one.end - other.end)
  let text = ''
  let from = 0
  for (const edit of edits) {
    text += code.slice(from, edit.at) + edit.text
    from = edit.end
  }
  return text + code.slice(from)
}
