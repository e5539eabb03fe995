/** Walks every import and holds it against the house: who may look into which room. */
import { readdirSync, readFileSync } from 'node:fs'
import { dirname, join, normalize, relative } from 'node:path'
import { fileURLToPath } from 'node:url'
import ts from 'typescript'
import { expect, test } from 'vitest'

interface Import {
  from: string
  to: string
  typeOnly: boolean
}

/** Files that join a board to the firmware: nothing imports them. */
const isEntry = (file: string): boolean =>
  file === 'sim/cli.ts' || /^(hal\/espruino|sim\/rehearsal)\/entries\//.test(file)

/** What is bundled for a board, besides the firmware and the board's own parts. */
const isSimulatedBoard = (file: string): boolean =>
  /^sim\/(plant|rehearsal)\//.test(file) || /^sim\/(board|store|crc32)\.ts$/.test(file)

/** Why an import is not allowed, or undefined when it is. Paths are from the project's top; a package is its bare name. */
function brokenWall({ from, to, typeOnly }: Import): string | undefined {
  const inside = (folder: string): boolean => to.startsWith(`${folder}/`)
  const isPackage = !/^(firmware|hal|sim|test|\.)/.test(to)
  if (inside('test') && !from.startsWith('test/')) return 'nothing imports test'
  if (isEntry(to)) {
    return dirname(from) === dirname(to) || from.startsWith('test/') ? undefined : 'an entry is not imported'
  }
  if (from.startsWith('firmware/')) {
    if (inside('firmware')) return undefined
    return to === 'hal/board.ts' && typeOnly
      ? undefined
      : 'firmware imports only firmware and the types of hal/board.ts'
  }
  if (from === 'hal/board.ts' || from === 'hal/options.ts') return 'the contract imports nothing'
  if (from.startsWith('hal/espruino/build/')) {
    return isPackage || inside('hal') ? undefined : 'the build of the bundles knows bundles, not what is in them'
  }
  if (from.startsWith('hal/espruino/')) {
    if (to === 'hal/board.ts' || to === 'hal/options.ts') return undefined
    if (inside('hal/espruino') && !inside('hal/espruino/build')) return undefined
    return isEntry(from) && inside('firmware') ? undefined : 'a board imports only the contract'
  }
  if (from.startsWith('hal/')) return 'a board lives in a folder of its own'
  if (isSimulatedBoard(from)) {
    if (isPackage) return 'the plant and the simulated board know no Node and no package'
    if (inside('sim') && !isSimulatedBoard(to)) return 'the plant and the simulated board know no command'
    if (inside('hal/espruino') && !isEntry(from)) return 'the simulated board knows no other board'
  }
  if (inside('sim') && !from.startsWith('sim/') && !from.startsWith('test/')) return 'nothing imports sim but test'
  return undefined
}

function importsOf(file: string, text: string): Import[] {
  const source = ts.createSourceFile(file, text, ts.ScriptTarget.Latest)
  const found: Import[] = []
  const add = (target: string, typeOnly: boolean): void => {
    found.push({ from: file, to: target.startsWith('.') ? normalize(join(dirname(file), target)) : target, typeOnly })
  }
  const visit = (node: ts.Node): void => {
    if (ts.isImportDeclaration(node) && ts.isStringLiteral(node.moduleSpecifier)) {
      const clause = node.importClause
      const named = clause?.namedBindings
      const everyNameIsType =
        named !== undefined && ts.isNamedImports(named) && named.elements.every(element => element.isTypeOnly)
      add(node.moduleSpecifier.text, (clause?.isTypeOnly ?? false) || (everyNameIsType && clause?.name === undefined))
    } else if (ts.isExportDeclaration(node) && node.moduleSpecifier && ts.isStringLiteral(node.moduleSpecifier)) {
      add(node.moduleSpecifier.text, node.isTypeOnly)
    } else if (ts.isCallExpression(node) && node.expression.kind === ts.SyntaxKind.ImportKeyword) {
      const target = node.arguments[0]
      add(target !== undefined && ts.isStringLiteral(target) ? target.text : '(computed)', false)
    }
    ts.forEachChild(node, visit)
  }
  visit(source)
  return found
}

const top = fileURLToPath(new URL('..', import.meta.url))

function filesUnder(folder: string): string[] {
  return readdirSync(join(top, folder), { recursive: true, withFileTypes: true })
    .filter(entry => entry.isFile() && entry.name.endsWith('.ts'))
    .map(entry => relative(top, join(entry.parentPath, entry.name)))
}

test('every import respects the walls of the house', () => {
  const files = ['firmware', 'hal', 'sim', 'test'].flatMap(filesUnder)
  const broken = files
    .flatMap(file => importsOf(file, readFileSync(join(top, file), 'utf8')))
    .flatMap(found => {
      const why = brokenWall(found)
      return why === undefined ? [] : [`${found.from} imports ${found.to}: ${why}`]
    })
  expect(files.length).toBeGreaterThan(20)
  expect(broken).toEqual([])
})

test('a wall that is broken is reported', () => {
  const breaking: [string, string][] = [
    ['firmware/base.ts', "import { readFileSync } from 'node:fs'"],
    ['firmware/base.ts', "import { createPlant } from '../sim/plant/plant.ts'"],
    ['firmware/clock/clock.ts', "import { numberOption } from '../../hal/options.ts'"],
    ['firmware/clock/clock.ts', "import { type Board, opened } from '../../hal/board.ts'"],
    ['firmware/clock/clock.ts', "const late = import('../../sim/board.ts')"],
    ['firmware/clock/clock.ts', "export { x } from 'csv-parse'"],
    ['hal/board.ts', "import type { Pins } from '../sim/plant/pins.ts'"],
    ['hal/espruino/board.ts', "import { tick } from '../../firmware/base.ts'"],
    ['hal/espruino/clock.ts', "import { bundle } from './build/bundle.ts'"],
    ['hal/espruino/build/bundle.ts', "import { tick } from '../../../firmware/base.ts'"],
    ['hal/espruino/board.ts', "import { start } from './entries/start.ts'"],
    ['sim/rehearsal/rehearsal.ts', "import { openEspruinoBoard } from '../../hal/espruino/board.ts'"],
    ['sim/link/ports.ts', "import '../cli.ts'"],
    ['sim/plant/plant.ts', "import { performance } from 'node:perf_hooks'"],
    ['sim/plant/plant.ts', "import { runSession } from '../bench/run.ts'"],
    ['sim/board.ts', "import 'serialport'"],
    ['sim/bench/run.ts', "import { figures } from '../../test/published/figures/rows.ts'"],
  ]
  for (const [file, text] of breaking) {
    expect(importsOf(file, text).map(brokenWall), `${file}: ${text}`).not.toContain(undefined)
  }
})

test('an import that the house allows is not reported', () => {
  const allowed: [string, string][] = [
    ['firmware/readings.ts', "import type { Board } from '../hal/board.ts'"],
    ['firmware/base.ts', "import { tickClock } from './clock/clock.ts'"],
    ['sim/board.ts', "import { numberOption } from '../hal/options.ts'"],
    ['sim/bench/run.ts', "import { createBase } from '../../firmware/base.ts'"],
    ['hal/espruino/wiring/pico.ts', "import type { Engine } from '../engine.ts'"],
    ['hal/espruino/build/build.ts', "import { build } from 'esbuild'"],
    ['hal/espruino/entries/pico.ts', "import { start } from './start.ts'"],
    ['hal/espruino/entries/start.ts', "import { tick } from '../../../firmware/base.ts'"],
    ['sim/rehearsal/entries/pico.ts', "import { openEspruinoBoard } from '../../../hal/espruino/board.ts'"],
    ['sim/link/upload.ts', "import { parseSeal } from '../../hal/espruino/guard/slots.ts'"],
    ['test/walls.test.ts', "import { expect } from 'vitest'"],
  ]
  for (const [file, text] of allowed) expect(importsOf(file, text).map(brokenWall)).toEqual([undefined])
})
