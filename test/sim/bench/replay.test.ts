/**
 * A recorded session through today's firmware. The same firmware must act the same; another recipe must show what it
 * changes, by as much as a plain sum over the bath's true temperatures says.
 */
import { describe, expect, test } from 'vitest'
import { KIND } from '../../../firmware/journal/record.ts'
import type { Recipe } from '../../../firmware/recipe/recipe.ts'
import { replayRecorded } from '../../../sim/bench/replayCommand.ts'
import type { Comparison } from '../../../sim/bench/replayCompare.ts'
import type { Bench } from '../../../sim/bench/run.ts'
import { colourNegative, colourReversal } from '../../../sim/bench/shippedRecipes.ts'
import type { SavedRecord } from '../../../sim/field/journalFile.ts'
import { sessionsOf } from '../../../sim/field/recorded.ts'
import { cutOffPack, resetPack } from '../../../sim/plant/pack.ts'
import { cutPower, largeFlash, pressAdvance, pressHold, record, recordsOf } from './recording.ts'
import { DEVELOPER_ROWS, developerAndStop, withDeveloper } from './replayRecipes.ts'

const SAID = { recipe: developerAndStop, seed: 5, millilitres: [300, 300], pourCelsius: [26, 20] }

function replay(records: SavedRecord[], bench: Bench, recipe: Recipe = bench.options.recipe): Comparison {
  const { tank, base } = bench.options
  const session = sessionsOf(records).pop()!
  return replayRecorded('a.journal', session, { recipe, tank, base }).comparison
}

function replayBench(bench: Bench, recipe?: Recipe): Comparison {
  return replay(recordsOf(bench), bench, recipe)
}

/** True after so many seconds of the developer, in this state. */
function isLate(bench: Bench, seconds: number, state = 'turning'): boolean {
  const { session, estimates } = bench.base
  return (
    session.state === state &&
    session.recipe.baths[session.bathIndex]?.kind === 'developed' &&
    estimates.nowSeconds - session.contactSeconds > seconds
  )
}

function stateFor(bench: Bench): number {
  return bench.base.estimates.nowSeconds - bench.base.session.stateSeconds
}

function actsTheSame(comparison: Comparison, baths: number): void {
  expect(comparison.differences).toEqual([])
  expect(comparison.same).toBe(true)
  expect(comparison.baths).toHaveLength(baths)
  for (const bath of comparison.baths) {
    expect(Math.abs(bath.differenceSeconds!), bath.name).toBeLessThanOrEqual(bath.toleranceSeconds)
    expect(bath.toleranceSeconds, bath.name).toBeLessThan(2.5)
    if (bath.kind === 'developed') expect(bath.toleranceProgress, bath.name).toBeLessThan(0.008)
  }
}

describe('the same firmware acts the same', () => {
  test.each([
    ['colour-negative', colourNegative, 4],
    ['colour-reversal', colourReversal, 7],
  ])('through all baths of %s', (_, recipe, seed) => {
    const comparison = replayBench(record({ said: { recipe, seed } }))
    actsTheSame(comparison, recipe.baths.length)
  })

  test('with other evenings, rooms and films already through the solution', () => {
    for (const seed of [11, 12, 13]) {
      const bench = record({ said: { ...SAID, seed, roomCelsius: 10 + seed, filmsThrough: seed - 11 } })
      actsTheSame(replayBench(bench), 2)
    }
  })

  test('when the tank was held for a while', () => {
    const bench = record({
      said: SAID,
      meddle: one => {
        if (isLate(one, 60) && stateFor(one) > 40) pressHold(one)
        else if (one.base.session.state === 'held' && stateFor(one) > 30) pressHold(one)
        return isLate(one, 150)
      },
    })
    const comparison = replayBench(bench)
    expect(comparison.differences).toEqual([])
  })

  test('when the hold was forgotten and called out', () => {
    let held = 0
    const bench = record({
      said: SAID,
      meddle: one => {
        if (held === 0 && isLate(one, 40)) {
          held = 1
          pressHold(one)
        } else if (held === 1 && one.base.session.state === 'held' && stateFor(one) > 80) {
          held = 2
          pressHold(one)
        }
        return false
      },
    })
    const events = sessionsOf(recordsOf(bench))[0]!.events
    expect(events.filter(event => event.kind === 'alarmRaised').map(event => event.alarm)).toEqual([40])
    actsTheSame(replayBench(bench), 2)
  })

  test('when the operator insisted on pouring out early', () => {
    let presses = 0
    const bench = record({
      said: SAID,
      meddle: one => {
        if (isLate(one, 80 + 0.8 * presses) && presses < 2) {
          presses++
          pressAdvance(one)
        }
        return one.base.session.state === 'draining' && stateFor(one) > 8
      },
    })
    expect(sessionsOf(recordsOf(bench))[0]!.events.map(event => event.kind)).toEqual([
      'bathBegun',
      'turningBegun',
      'drainBegun',
    ])
    const comparison = replayBench(bench)
    expect(comparison.differences).toEqual([])
    expect(comparison.baths[0]).toMatchObject({ recordedCueSeconds: null, todayCueSeconds: null, same: true })
  })

  test('when the probe failed for a minute in the developer', () => {
    const bench = record({
      said: SAID,
      meddle: one => {
        one.plant.probe.failure = isLate(one, 40) && !isLate(one, 100) ? 'open' : 'none'
        return false
      },
    })
    const comparison = replayBench(bench)
    expect(comparison.differences).toEqual([])
    expect(comparison.untold).toEqual([expect.stringMatching(/^alarm 10 .* it is taken to have been silent$/)])
  })

  test('when the power was gone for a while, with a wall clock, without one, and by the watchdog', () => {
    for (const [wallSeconds, cause, darkSeconds] of [
      [1_764_087_120, 'power', 30],
      [NaN, 'power', 30],
      [NaN, 'watchdog', 6],
    ] as const) {
      let isCut = false
      const bench = record({
        said: SAID,
        wallSeconds,
        meddle: one => {
          if (!isCut && isLate(one, 60)) {
            isCut = true
            cutPower(one, darkSeconds, cause)
          } else if (one.base.session.state === 'held' && stateFor(one) > 5) pressHold(one)
          return false
        },
      })
      const comparison = replayBench(bench)
      expect(comparison.differences, cause).toEqual([])
      // Only where neither a clock nor a short restart tells, the dark time itself cannot be tried again.
      const told = comparison.untold.filter(words => words.startsWith('power gone in developer'))
      expect(told, cause).toHaveLength(isNaN(wallSeconds) && cause === 'power' ? 1 : 0)
    }
  })
})

/** The rows as a plain formula: ln(seconds) over 1/T. */
function secondsAtCelsius(celsius: number): number {
  const [[cold, slow], [warm, fast]] = DEVELOPER_ROWS as [[number, number], [number, number]]
  const at = (value: number): number => 1 / (value + 273.15)
  const part = (at(celsius) - at(cold)) / (at(warm) - at(cold))
  return slow * (fast / slow) ** part
}

/** What the developer really had, a tenth of a second at a time. */
function trueDeveloper(said: typeof SAID): { bench: Bench; celsius: number[] } {
  const celsius: number[] = []
  const bench = record({
    said,
    meddle: one => {
      const { bath, bathIndex } = one.plant
      if (bathIndex === 0 && bath.phase !== 'empty') celsius.push(bath.bathCelsius)
      return false
    },
  })
  return { bench, celsius }
}

/** When the sum over the bath reaches so much; beyond its end it stays as warm as it was last. */
function secondsUntil(celsius: number[], progress: number): number {
  let sum = 0
  for (let i = 0; ; i++) {
    sum += 0.1 / secondsAtCelsius(celsius[Math.min(i, celsius.length - 1)]!)
    if (sum >= progress) return 0.1 * (i + 1)
  }
}

describe('another recipe shows what it changes', () => {
  const { bench, celsius } = trueDeveloper(SAID)

  test.each([0.9, 0.97, 1.1])('a developer by %d of its time is called as much earlier or later', timeFactor => {
    const comparison = replayBench(bench, withDeveloper({ timeFactor }))
    const expected = secondsUntil(celsius, timeFactor) - secondsUntil(celsius, 1)
    const [developer, stop] = comparison.baths
    expect(Math.abs(developer!.differenceSeconds! - expected)).toBeLessThanOrEqual(developer!.toleranceSeconds)
    expect(developer!.same).toBe(false)
    expect(stop!.same).toBe(true)
    const words = comparison.differences[0]!.words
    expect(words).toMatch(timeFactor < 1 ? /called .* earlier/ : /called .* later/)
    expect(developer!.todayProgress! * timeFactor).toBeCloseTo(developer!.recordedProgress!, 2)
  })

  test('a press that would be asked about is told, and made again', () => {
    const comparison = replayBench(bench, withDeveloper({ timeFactor: 1.1 }))
    const press = comparison.differences.find(difference => difference.about === 'press')
    expect(press?.words).toMatch(/^asks to press again before it takes the press to pour out at \d:\d\d \("Too early/)
    expect(comparison.baths.map(bath => bath.name)).toEqual(['developer', 'stop'])
  })

  test('an alarm that would be raised, and one that would not be raised any more', () => {
    const narrow = withDeveloper({ usableCelsius: [29, 35] })
    const raised = replayBench(bench, narrow)
    expect(raised.differences).toMatchObject([{ about: 'alarm', bath: 'developer' }])
    expect(raised.differences[0]!.words).toMatch(/^raises alarm 12 \(Bath too cold\) at 0:\d\d; it was not raised$/)
    const alarmed = record({ said: { ...SAID, recipe: narrow } })
    const gone = replayBench(alarmed, developerAndStop)
    expect(gone.differences.map(difference => difference.words)).toEqual([
      expect.stringMatching(/^does not raise alarm 12 \(Bath too cold\); it was raised at 0:\d\d$/),
    ])
  })

  test('an alarm that a tenth of a degree decides is told as such, and is no difference', () => {
    const turning = sessionsOf(recordsOf(bench))[0]!.checkpoints.filter(c => c.bathIndex === 0 && c.state === 'turning')
    const coldest = Math.min(...turning.map(checkpoint => checkpoint.bathCelsius))
    // The alarm begins a tenth of a degree outside.
    const alarmed = record({ said: { ...SAID, recipe: withDeveloper({ usableCelsius: [coldest + 0.4, 35] }) } })
    const comparison = replayBench(alarmed, withDeveloper({ usableCelsius: [coldest + 0.07, 35] }))
    expect(comparison.differences).toEqual([])
    expect(comparison.untold).toEqual([expect.stringMatching(/^alarm 12 .* in developer: a tenth of a degree decides/)])
  })

  test('that a call stands longer because it comes earlier today is no alarm of today', () => {
    const comparison = replayBench(bench, withDeveloper({ timeFactor: 0.8 }))
    expect(comparison.differences.map(difference => difference.about)).toEqual(['cue'])
  })

  test('a press that is not taken at all ends the comparison', () => {
    // Closed after half a second: where a pour takes five, such a press is taken for a slip.
    const quick = record({
      said: { ...SAID, recipe: { ...developerAndStop, pour: { fillSeconds: 0.5, drainSeconds: 6 } } },
    })
    const comparison = replayBench(quick, developerAndStop)
    expect(comparison.differences).toMatchObject([{ about: 'press', bath: 'developer' }])
    expect(comparison.differences[0]!.words).toMatch(/^does not take the press that says full at 0:0\d/)
    expect(comparison.untold.join()).toMatch(/the rest is not compared/)
    expect(comparison.baths).toEqual([])
  })
})

describe('what is not in a record is said, and taken to be in order', () => {
  test('a motor that was stopped because the pack could not be read', () => {
    let from = NaN
    const bench = record({
      said: SAID,
      meddle: one => {
        const { pack, pins } = one.plant
        if (isNaN(from) && isLate(one, 60)) {
          from = pins.seconds
          cutOffPack(pack)
        } else if (pack.cutOff && pins.seconds - from > 10) resetPack(pack, 0.9)
        else if (one.base.session.state === 'stopped' && stateFor(one) > 15 && stateFor(one) < 15.1) pressAdvance(one)
        return false
      },
    })
    const kinds = sessionsOf(recordsOf(bench))[0]!.events.map(event => event.kind)
    expect(kinds).toContain('stopped')
    expect(kinds).toContain('sessionFinished')
    const comparison = replayBench(bench)
    expect(comparison.differences).toEqual([])
    expect(comparison.untold.join()).toMatch(/motor was stopped .*alarm 3[03] .* is not in the record/)
  })

  test('hands that the base knew from sessions that are overwritten', () => {
    const flash = largeFlash()
    record({ said: { ...SAID, seed: 7 }, flash })
    const bench = record({ said: { ...SAID, seed: 8 }, flash })
    const all = recordsOf(bench)
    const known = replay(all, bench)
    const second = all.length - 1 - [...all].reverse().findIndex(one => one.kind === KIND.sessionBegun)
    const unknown = replay(all.slice(second), bench)
    expect(known.untold).toEqual([])
    expect(unknown.untold).toEqual([expect.stringMatching(/^what the base knew of its operator's hands/)])
    expect(unknown.differences).toEqual([])
    expect(unknown.baths[0]!.toleranceSeconds).toBeCloseTo(known.baths[0]!.toleranceSeconds + 3, 6)
  })
})

describe('a record that is not whole', () => {
  const bench = record({ said: SAID })
  const records = recordsOf(bench)

  test('is compared from the first whole bath on when its beginning is overwritten', () => {
    const begun = records.findIndex(one => one.kind === KIND.sessionBegun)
    const late = records.filter((_, i) => i === begun || i > records.length / 3)
    const comparison = replay(late, bench)
    expect(comparison.differences).toEqual([])
    expect(comparison.baths.map(bath => bath.name)).toEqual(['stop'])
    expect(comparison.untold.join()).toMatch(/not whole: its first \d:\d\d were overwritten/)
  })

  test('is compared up to its end when the session was cut off', () => {
    for (const part of [0.3, 0.6, 0.85]) {
      const comparison = replay(records.slice(0, Math.floor(records.length * part)), bench)
      expect(comparison.differences, String(part)).toEqual([])
      expect(comparison.untold.join()).toMatch(/nothing after \d:\d\d/)
      expect(comparison.baths[0]?.complete).toBe(part > 0.8)
    }
  })
})

test('the same record gives the same figures', () => {
  const bench = record({ said: SAID })
  expect(JSON.stringify(replayBench(bench))).toBe(JSON.stringify(replayBench(bench)))
})
