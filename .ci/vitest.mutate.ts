/**
 * The tests that a mutation run asks: those of the mutated room (`ROOM`, by default all four) and the golden sessions.
 * Not those that draw populations or cut the power thousands of times: for thousands of mutants that would take days.
 * Pointed tests first, because most mutants fall there and a run ends with the first test that fails.
 */
import { defineConfig } from 'vitest/config'
import { BaseSequencer, type TestSpecification } from 'vitest/node'

const room = process.env.ROOM ?? '{clock,agitation,session,journal}'

/** Last, and in this order. */
const LONG = ['sessionProperties', 'driverStuck', 'twoStarts', 'flashRefuses', 'agitation.test', 'stall', 'traces', 'golden']

class QuickFirst extends BaseSequencer {
  async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const place = (file: TestSpecification) => LONG.findIndex(name => file.moduleId.includes(name))
    return [...files].sort((a, b) => place(a) - place(b))
  }
}

export default defineConfig({
  test: {
    include: [`test/firmware/${room}/**/*.test.ts`, 'test/golden.test.ts'],
    exclude: ['**/population.test.ts', '**/evenness.test.ts', '**/longBath.test.ts', '**/cuts.test.ts'],
    testTimeout: 60_000,
    isolate: false,
    sequence: { sequencer: QuickFirst },
  },
})
