/**
 * Spoils a file in one or two places, for property tests: a value replaced, a key dropped, renamed or added, an entry
 * doubled. The choices come from outside, so that a failure repeats and shrinks.
 */

const RUBBISH: unknown[] = [
  null,
  true,
  false,
  0,
  -1,
  0.5,
  1,
  7,
  40,
  1e9,
  -1e9,
  1e-9,
  '',
  'x',
  '5',
  'developed',
  'timed',
  'Caf\u00e9',
  'x'.repeat(300),
  [],
  [1, 2],
  [
    [20, 300],
    [24, 200],
  ],
  {},
  { perFilm: 0.1 },
  { a: 1 },
]

const KEYS = [
  'seconds',
  'rows',
  'rowsFor',
  'reuse',
  'note',
  'atCelsius',
  'beta',
  'toString',
  '__proto__',
  'x y',
  'opening',
]

/** A deep copy of `file`, spoilt as `choices` say. */
export function mutated(file: unknown, choices: number[]): unknown {
  const copy = structuredClone(file)
  let used = 0
  const choose = (count: number): number => choices[used++ % choices.length] % count
  const times = 1 + choose(2)
  for (let i = 0; i < times; i++) {
    const holders: (Record<string, unknown> | unknown[])[] = []
    collect(copy, holders)
    spoil(holders[choose(holders.length)], choose)
  }
  return copy
}

function collect(value: unknown, into: (Record<string, unknown> | unknown[])[]): void {
  if (typeof value !== 'object' || value === null) return
  into.push(value as Record<string, unknown> | unknown[])
  for (const part of Object.values(value)) collect(part, into)
}

function spoil(holder: Record<string, unknown> | unknown[], choose: (count: number) => number): void {
  const rubbish = structuredClone(RUBBISH[choose(RUBBISH.length)])
  if (Array.isArray(holder)) {
    const index = choose(holder.length + 1)
    const how = choose(3)
    if (how === 0) holder[index] = rubbish
    else if (how === 1) holder.splice(index, 1)
    else holder.splice(index, 0, structuredClone(holder[index] ?? rubbish))
    return
  }
  const keys = Object.keys(holder)
  const key = keys[choose(keys.length)] ?? 'x'
  const newKey = KEYS[choose(KEYS.length)]
  const how = choose(4)
  const held = holder[key]
  if (how === 0) holder[key] = rubbish
  else if (how === 3) define(holder, newKey, rubbish)
  else {
    delete holder[key]
    if (how === 2) define(holder, newKey, held)
  }
}

/** Sets a key as JSON would, `__proto__` included. */
function define(holder: object, key: string, value: unknown): void {
  Object.defineProperty(holder, key, { value, enumerable: true, writable: true, configurable: true })
}
