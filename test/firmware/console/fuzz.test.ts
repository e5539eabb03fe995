/** Whatever comes down the line, the session goes on as if nothing had come: the same seed gives the same trace. */
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { METHODS } from '../../../firmware/console/methods.ts'
import type { Recipe } from '../../../firmware/recipe/recipe.ts'
import { runByPlan } from '../../../sim/bench/defaults.ts'
import { type Bench, runSession } from '../../../sim/bench/run.ts'
import { sendToLine } from '../../../sim/plant/pins.ts'
import { framed } from './rig.ts'

const short: Recipe = {
  name: 'short',
  title: 'Short',
  pour: { fillSeconds: 4, drainSeconds: 5 },
  baths: [
    {
      name: 'developer',
      kind: 'developed',
      rows: [
        [20, 90],
        [38, 30],
      ],
      agitation: 'even',
    },
    { name: 'wash', kind: 'atLeast', seconds: 30, agitation: 'even' },
  ],
  agitations: { even: { rpm: 45, legTurns: 2, restSeconds: 0.5, rampSeconds: 0.6, stagger: true } },
}

/** Runs a short session, `talk` writing into its line, and gives all that the session did. */
function trace(talk: (bench: Bench) => void): string[] {
  const lines: string[] = []
  let last: Bench | undefined
  runSession({
    ...runByPlan({ recipe: short, seed: 3, filmsInTank: 1 }),
    watch: bench => {
      const { session, clock, console: line } = bench.base
      const { pins } = bench.plant
      for (const event of session.events.slice(0, session.eventCount)) {
        lines.push(`${event.kind} ${event.atSeconds} ${clock.view.progress}`)
      }
      lines.push(`${pins.motorDuty}`)
      expect(line.frames.held.length).toBeLessThan(4200)
      // As a laptop that reads.
      pins.lineOut = ''
      talk(bench)
      last = bench
    },
  })
  expect(last?.base.mishaps).toBe(0)
  expect(last?.base.console.mishaps).toBe(0)
  expect(last?.base.session.state).toBe('finished')
  return lines
}

const undisturbed = trace(() => {})

/** Sends one piece in each tick once the session runs, over and over. */
function disturbed(pieces: string[]): string[] {
  let next = 0
  return trace(({ base, plant }) => {
    if (base.session.state === 'planned' || pieces.length === 0) return
    sendToLine(plant.pins, pieces[next] as string)
    next = (next + 1) % pieces.length
  })
}

const bytes = fc.string({
  unit: fc.integer({ min: 0, max: 255 }).map(code => String.fromCharCode(code)),
  maxLength: 400,
})
const framing = fc.string({
  unit: fc.constantFrom('\x1e', '\n', '\x03', '{', '}', '[', '"', ':', 'a', '1'),
  maxLength: 200,
})
/** Methods that ask for nothing that could be granted in a session. */
const harmless = METHODS.map(method => method.name).filter(name => !/^session\.(advance|hold|abandon)$/.test(name))
const request = fc
  .record({
    jsonrpc: fc.constant('2.0'),
    id: fc.jsonValue({ maxDepth: 1 }),
    method: fc.constantFrom(...harmless, 'x'),
    params: fc.jsonValue(),
  })
  .map(framed)
const half = request.map(text => text.slice(0, text.length / 2))
const piece = fc.oneof(bytes, framing, request, half, fc.constant(''))

test('arbitrary bytes, half messages, unknown methods and wrong parameters change nothing of a session', () => {
  fc.assert(
    fc.property(fc.array(piece, { minLength: 1, maxLength: 40 }), pieces => {
      expect(disturbed(pieces)).toEqual(undisturbed)
    }),
    { numRuns: 60 },
  )
})

test('a flood of requests and a line without an end change nothing of a session', () => {
  const status = framed({ jsonrpc: '2.0', id: 1, method: 'status' })
  expect(disturbed([status.repeat(40)])).toEqual(undisturbed)
  expect(
    disturbed([framed({ jsonrpc: '2.0', id: 1, method: 'telemetry.follow', params: { everySeconds: 1 } })]),
  ).toEqual(undisturbed)
  expect(disturbed(['\x1e', ...Array.from({ length: 500 }, () => 'x'.repeat(2048))])).toEqual(undisturbed)
  expect(disturbed(['\x1e'.repeat(2048), '['.repeat(2048), '\x03'.repeat(2048), '\n'.repeat(2048)])).toEqual(
    undisturbed,
  )
  expect(disturbed(['\x1e\n'.repeat(1000)])).toEqual(undisturbed)
})
