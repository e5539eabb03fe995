/** Forms of ES5 that the engine's parser gets wrong, often only once it comes to the line. */
import { memberName, partsOf, type Rule } from './rule.ts'

export const GRAMMAR_RULES: readonly Rule[] = [
  {
    name: 'label',
    advice: 'Labels do not work: leave the loop by a function of its own.',
    on: ['LabeledStatement'],
    breaks: () => true,
  },
  {
    name: 'default-not-last',
    advice: 'Put `default` last in its switch.',
    on: ['SwitchStatement'],
    breaks: ({ node }) => {
      const { cases } = partsOf(node)
      return cases.some((one, i) => !one.test && i < cases.length - 1)
    },
  },
  {
    name: 'debugger',
    advice: 'It would stop the board and wait: take it out.',
    on: ['DebuggerStatement'],
    breaks: () => true,
  },
  { name: 'with', advice: 'Name the object.', on: ['WithStatement'], breaks: () => true },
  {
    name: 'array-hole',
    advice: 'Write the missing element out.',
    on: ['ArrayExpression'],
    breaks: ({ node }) => partsOf(node).elements.includes(null),
  },
  {
    name: 'sequence-in-brackets',
    advice: 'No comma inside [ ] or after case: make it a statement before.',
    on: ['MemberExpression', 'SwitchCase'],
    breaks: ({ node }) => {
      const { property, computed, test } = partsOf(node)
      return (node.type === 'SwitchCase' ? test?.type : computed && property.type) === 'SequenceExpression'
    },
  },
  {
    name: 'do-without-block',
    advice: 'Give the do…while a body in braces.',
    on: ['DoWhileStatement'],
    breaks: ({ node }) => partsOf(node).body.type !== 'BlockStatement',
  },
  {
    name: 'in-for-head',
    advice: 'Take the `in` out of the for’s first part.',
    on: ['BinaryExpression'],
    breaks: ({ node, above }) =>
      partsOf(node).operator === 'in' &&
      above.some((one, i) => one.type === 'ForStatement' && partsOf(one).init === partsOf(above[i - 1] ?? node)),
  },
  {
    name: 'function-at-for-head',
    advice: 'At the head of a for it is taken for a declaration: call it before.',
    on: ['ForStatement'],
    breaks: ({ node, code }) => code.slice(partsOf(node).init?.start).startsWith('function'),
  },
  {
    name: 'long-name',
    advice: 'Names of more than 63 characters are cut off: shorten it.',
    on: ['Identifier', 'MemberExpression', 'Property'],
    breaks: ({ node }) => {
      const { name, key } = partsOf(node)
      return (name ?? key?.name ?? memberName(partsOf(node)) ?? '').length > 63
    },
  },
  {
    name: 'bare-getter',
    advice: 'A member read as a statement is not read: use its value.',
    on: ['ExpressionStatement'],
    breaks: ({ node }) => partsOf(node).expression.type === 'MemberExpression',
  },
  {
    name: 'return-newline',
    advice: 'The value on the next line would be returned: end the return with a semicolon.',
    on: ['ReturnStatement'],
    breaks: ({ node, code }) => !partsOf(node).argument && /^return[ \t]*[\r\n]+\s*[^}\s]/.test(code.slice(node.start)),
  },
  {
    name: 'long-integer',
    advice: 'Whole numbers from 1e19 on are read wrongly: write it with an exponent.',
    on: ['Literal'],
    breaks: ({ node }) => {
      const { value, raw } = partsOf(node)
      return typeof value === 'number' && Math.abs(value) >= 1e19 && /^\d+$/.test(raw)
    },
  },
  {
    name: 'minus-zero',
    advice: 'The engine reads -0 as 0: compute it if the sign matters.',
    on: ['UnaryExpression'],
    breaks: ({ node }) => {
      const { operator, argument } = partsOf(node)
      return operator === '-' && argument?.value === 0
    },
  },
  {
    name: 'throw-in-finally',
    advice: 'It is lost there: throw after the try.',
    on: ['ThrowStatement'],
    breaks: ({ above }) =>
      above.some((one, i) => one.type === 'TryStatement' && partsOf(one).finalizer === partsOf(above[i - 1])),
  },
  {
    name: 'line-continued-in-text',
    advice: 'Join the texts with +.',
    on: ['Literal'],
    breaks: ({ node }) => typeof partsOf(node).value === 'string' && /\\\r?\n/.test(partsOf(node).raw),
  },
  {
    name: 'wide-character',
    advice: 'Boards without Unicode keep only a byte of a character: nothing above 0xFF in a text.',
    on: ['Literal'],
    breaks: ({ node }) => {
      const { value } = partsOf(node)
      // biome-ignore lint/suspicious/noControlCharactersInRegex: every character of one byte is allowed.
      return typeof value === 'string' && !/^[\x00-\xff]*$/.test(value)
    },
  },
  {
    name: 'regular-expression',
    advice: 'Of patterns the engine knows classes, groups, | * + ^ $ only: no ? {n} (?: \\b \\u \\1.',
    on: ['Literal'],
    breaks: ({ node }) => {
      const { regex } = partsOf(node)
      if (!regex) return false
      const outside = regex.pattern.replace(/\\[^bBu1-9]/g, '').replace(/\[[^\]]*\]/g, '')
      return /[?{]|\\[bBu1-9]/.test(outside) || /\\u/.test(regex.pattern)
    },
  },
  {
    name: 'pattern-after-bracket',
    advice: 'After a closing bracket a pattern is taken for a division: keep it in a variable.',
    on: ['Literal'],
    breaks: ({ node, code }) => Boolean(partsOf(node).regex) && /[)\]]\s*$/.test(code.slice(0, node.start)),
  },
  {
    name: 'length-set',
    advice: 'The length cannot be set: make a new array, or splice.',
    on: ['AssignmentExpression', 'UpdateExpression'],
    breaks: ({ node }) => {
      const target = node.type === 'UpdateExpression' ? partsOf(node).argument : partsOf(node).left
      return target !== undefined && memberName(target) === 'length'
    },
  },
]
