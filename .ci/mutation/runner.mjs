/**
 * Runs the tests of one room for each mutant in one process, as a test runner of Stryker's: thousands of mutants at a few
 * hundredths of a second each, where a test process for each takes more than a second.
 *
 * All tests are joined into one module, with `vitest` replaced by `asVitest.mjs`; they must be quick and leave nothing behind.
 * Left out are those that draw populations or cut the power thousands of times, and the golden sessions: a mutant has to
 * be caught by a test that says what is wrong. A mutant of what is made while a module loads gets a fresh module.
 */
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { INSTRUMENTER_CONSTANTS } from '@stryker-mutator/api/core'
import { declareFactoryPlugin, PluginKind } from '@stryker-mutator/api/plugin'
import { DryRunStatus, determineHitLimitReached, TestStatus, toMutantRunResult } from '@stryker-mutator/api/test-runner'
import { build } from 'esbuild'

const LONG =
  /(population|evenness|traces|stall|agitation\/agitation|driverStuck|sessionProperties|journal\/journal|longBath|twoStarts|flashRefuses|cuts|cutPairs)[A-Za-z]*\.test/

/** Tests of other rooms that say what this one does. */
const ALSO = {
  session: ['console/session', 'console/turnTest', 'console/alarmsStay'],
  journal: ['resumeAsked'],
}

function testFiles() {
  const room = process.env.ROOM
  const own = readdirSync(`test/firmware/${room}`).map(name => `test/firmware/${room}/${name}`)
  const files = own.filter(name => name.endsWith('.test.ts') && !LONG.test(name))
  return files.concat((ALSO[room] ?? []).map(name => `test/firmware/${name}.test.ts`))
}

const JOINED = `tests.joined.${process.pid}.mjs`
const REQUIRE = "import { createRequire } from 'node:module'; const require = createRequire(import.meta.url)"

/** Makes the module of all tests; each file says its name before it loads. */
async function joined(files) {
  const contents = files
    .map(file => `globalThis.notedFile = ${JSON.stringify(file)}\nawait import(${JSON.stringify('./' + file)})`)
    .join('\n')
  await build({
    stdin: { contents, resolveDir: process.cwd(), loader: 'ts' },
    bundle: true,
    absWorkingDir: process.cwd(),
    outfile: JOINED,
    format: 'esm',
    platform: 'node',
    target: 'node20',
    logLevel: 'error',
    banner: { js: REQUIRE },
    external: ['esbuild', 'terser', 'serialport', 'typescript'],
    alias: { vitest: join(process.cwd(), '.ci/mutation/asVitest.mjs') },
    plugins: [
      {
        // In the joined module every file is where it was.
        name: 'urls',
        setup(esbuild) {
          esbuild.onLoad({ filter: /\.ts$/ }, ({ path }) => ({
            contents: readFileSync(path, 'utf8').replaceAll(
              'import.meta.url',
              JSON.stringify(pathToFileURL(path).href),
            ),
            loader: 'ts',
          }))
        },
      },
    ],
  })
}

function createRunner() {
  globalThis[INSTRUMENTER_CONSTANTS.NAMESPACE] ??= {}
  const stryker = globalThis[INSTRUMENTER_CONSTANTS.NAMESPACE]
  let notedTests = []
  let loads = 0
  /** The tests in the order of their first run, the quickest first. */
  const milliseconds = new Map()

  async function load() {
    globalThis.notedTests = notedTests = []
    await import(`${pathToFileURL(JOINED).href}?${loads++}`)
  }

  async function result(test) {
    const from = performance.now()
    const base = { id: test.id, name: test.name, fileName: test.fileName }
    try {
      await test.run()
      return { ...base, status: TestStatus.Success, timeSpentMs: performance.now() - from }
    } catch (error) {
      const failureMessage = String(error?.message ?? error).slice(0, 500)
      return { ...base, status: TestStatus.Failed, failureMessage, timeSpentMs: performance.now() - from }
    }
  }

  return {
    capabilities: () => ({ reloadEnvironment: true }),

    async init() {
      console.log = () => {}
      await joined(testFiles())
    },

    async dryRun() {
      stryker.activeMutant = undefined
      await load()
      const tests = []
      for (const test of notedTests) {
        stryker.currentTestId = test.id
        tests.push(await result(test))
        milliseconds.set(test.id, tests[tests.length - 1].timeSpentMs)
      }
      stryker.currentTestId = undefined
      return { status: DryRunStatus.Complete, tests, mutantCoverage: stryker.mutantCoverage }
    },

    async mutantRun({ activeMutant, testFilter, hitLimit, reloadEnvironment, mutantActivation }) {
      stryker.hitLimit = hitLimit
      stryker.hitCount = hitLimit === undefined ? undefined : 0
      stryker.activeMutant = mutantActivation === 'static' ? activeMutant.id : undefined
      const tests = []
      try {
        if (reloadEnvironment || loads === 0) await load()
      } catch (error) {
        // Not even loaded: that is noticed, too.
        const failureMessage = String(error?.message ?? error)
        tests.push({ id: 'load', name: 'load', status: TestStatus.Failed, failureMessage, timeSpentMs: 0 })
      }
      stryker.activeMutant = activeMutant.id
      const chosen = tests.length > 0 ? [] : notedTests.filter(({ id }) => !testFilter || testFilter.includes(id))
      chosen.sort((a, b) => milliseconds.get(a.id) - milliseconds.get(b.id))
      for (const test of chosen) {
        tests.push(await result(test))
        if (tests[tests.length - 1].status === TestStatus.Failed || stryker.hitCount > hitLimit) break
      }
      stryker.activeMutant = undefined
      // A static mutant stays in what was loaded with it.
      if (mutantActivation === 'static') await load()
      const timeout = determineHitLimitReached(stryker.hitCount, hitLimit)
      return toMutantRunResult(timeout ?? { status: DryRunStatus.Complete, tests })
    },
  }
}
createRunner.inject = []

export const strykerPlugins = [declareFactoryPlugin(PluginKind.TestRunner, 'inProcess', createRunner)]
