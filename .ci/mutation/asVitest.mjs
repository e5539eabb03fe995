/** What the tests take from `vitest`, without its process: `test` notes a test down, `expect` is vitest's own. */
import {
  ASYMMETRIC_MATCHERS_OBJECT,
  chai,
  GLOBAL_EXPECT,
  JestAsymmetricMatchers,
  JestChaiExpect,
  JestExtend,
  setState,
} from '@vitest/expect'

chai.use(JestExtend)
chai.use(JestChaiExpect)
chai.use(JestAsymmetricMatchers)

export const expect = Object.assign((value, message) => chai.expect(value, message), chai.expect)
globalThis[GLOBAL_EXPECT] = expect
Object.assign(expect, globalThis[ASYMMETRIC_MATCHERS_OBJECT])
setState({ assertionCalls: 0, isExpectingAssertions: false, expectedAssertionsNumber: null }, expect)

export function test(name, run) {
  globalThis.notedTests.push({ id: globalThis.notedFile + '#' + name, name, fileName: globalThis.notedFile, run })
}

test.each = cases => (name, run) => {
  for (const one of cases) test(name.replace('$name', one?.name) + ' ' + JSON.stringify(one), () => run(one))
}
