/**
 * What a compiler, a joiner and a shortener can each get wrong for an engine that hoists nothing and knows only ES5: every
 * line it prints must be the same everywhere. No line depends on the last digits of a number.
 */
import * as shapes from './shapes.ts'
import { Level, Side } from './shapes.ts'

declare const print: (line: string) => void

function say(name: string, value: unknown): void {
  print(`${name} ${JSON.stringify(value)}`)
}

interface Spoken {
  kind: string
  waterCelsius: number
  inner: { label?: string }
}

say('enum', [Side.left, Side.right, Side.top, Side[5], Level.high])

const crate = new shapes.Crate('c')
const other = new shapes.Crate('d', 1)
say('three levels', [crate.tell(), other.tell(), crate.tell()])
say('own fields', [crate.tags.length, other.tags.length])
say('accessors', [crate.double, other.double])
crate.size = 10
say('setter', crate.area())
say('static', [shapes.Shape.made, shapes.Crate.describe()])
say('instance', [crate instanceof shapes.Shape, crate instanceof shapes.Crate, !(other instanceof shapes.Box)])

function defaults(first: number, second = first + 1, ...rest: number[]): number[] {
  return [first, second, ...rest]
}
const given = [3, 4, 5]
say('default, rest, spread', [defaults(1), defaults(1, 5), defaults(0, 1, ...given), Math.max(...given)])

const {
  kind,
  inner: { label = 'none' },
  ...left
}: Spoken = { kind: 'k', waterCelsius: 20, inner: {} }
const [one, , three = 9] = given
say('destructuring', [kind, label, left, one, three])

const maybe: { deep?: { list?: number[] } } = {}
say('chains', [maybe.deep?.list?.[0] ?? 'nothing', maybe.deep?.list?.length === undefined])
say('power', [2 ** 3, 3 ** 2])
const key = 'water' + 'Celsius'
say('computed', { [key]: 1, [`${key}s`]: 2 })
say('object spread', { ...left, waterCelsius: 21, ...{ extra: true } })

const makers: (() => number)[] = []
for (let i = 0; i < 3; i++) makers.push(() => i * 10)
for (const word of ['a', 'bb']) makers.push(() => word.length)
say(
  'closures in loops',
  makers.map(make => make()),
)

function late(): number {
  return helper(4)
  function helper(n: number): number {
    return n < 2 ? 1 : n * helper(n - 1)
  }
}
say('defined after use', late())

// A name that is also a text in the program, and names that go through JSON.
const keyed: { [name: string]: number } = { fillSeconds: 8, drainSeconds: 10 }
const typed = { fillSeconds: 1, drainSeconds: 2 }
for (const name of ['fillSeconds', 'drainSeconds'] as const) keyed[name] += typed[name]
say('dynamic key', keyed)
const heard = JSON.parse('{"kind":"sent","waterCelsius":37.5,"inner":{"label":"x"}}') as Spoken
say('JSON in', [heard.kind, heard.waterCelsius, heard.inner.label])
const told: Spoken = { kind: 'told', waterCelsius: heard.waterCelsius + 1, inner: { label: 'y' } }
print(JSON.stringify(told))

let turns = ''
outer()
function outer(): void {
  for (let i = 0; i < 3; i++) {
    try {
      if (i === 1) continue
      if (i === 2) throw new Error('boo')
      turns += `t${i}`
    } catch (problem) {
      turns += problem instanceof Error ? problem.message : '?'
    } finally {
      turns += 'f'
    }
  }
}
say('try', turns)

const swap = { a: 1, b: 2 }
;[swap.a, swap.b] = [swap.b, swap.a]
say('swap', swap)
say('tagless', `${1 + 1}${'x'.length}`)
switch (kind as string) {
  case 'z': {
    say('switch', 'z')
    break
  }
  default:
    say('switch', 'other')
}
