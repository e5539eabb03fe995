/** Sessions put together from the records of a pulled journal. */
import { expect, test } from 'vitest'
import { KIND } from '../../../firmware/journal/record.ts'
import { parseJournal, type SavedRecord } from '../../../sim/field/journalFile.ts'
import { hasDetails, type RecordedSession, sessionsOf } from '../../../sim/field/recorded.ts'
import { cutPower, journalBytes, largeFlash, pressAdvance, pressHold, record, recordsOf } from '../bench/recording.ts'
import { developerAndStop } from '../bench/replayRecipes.ts'

const SAID = { recipe: developerAndStop, seed: 5, millilitres: [300, 300], pourCelsius: [26, 20] }
const WALL_SECONDS = 1_764_087_120

const bench = record({ said: SAID, wallSeconds: WALL_SECONDS })
const records = recordsOf(bench)

function only(sessions: RecordedSession[]): RecordedSession {
  expect(sessions).toHaveLength(1)
  return sessions[0] as RecordedSession
}

test('a whole session has its plan, its events, a checkpoint every five seconds, and its summary', () => {
  const session = only(sessionsOf(parseJournal(journalBytes(records), 'a.journal').records))
  expect(session).toMatchObject({ number: 1, whole: true, missing: '', gaps: [], starts: [], isFirst: true })
  expect(session.begun).toMatchObject({ recipe: developerAndStop.name, millilitres: [300, 300] })
  // The base was on for a moment before the first contact.
  expect(session.wallSeconds - WALL_SECONDS).toBeGreaterThan(10)
  expect(session.wallSeconds - WALL_SECONDS).toBeLessThan(60)
  expect(session.summary?.finished).toBe(true)
  expect(session.events.map(event => event.kind)).toEqual([
    ...['bathBegun', 'turningBegun', 'cueGiven', 'drainBegun', 'bathEnded'],
    ...['bathBegun', 'turningBegun', 'cueGiven', 'drainBegun', 'bathEnded', 'sessionFinished'],
  ])
  const seconds = session.checkpoints.map(checkpoint => checkpoint.sessionSeconds)
  for (let i = 1; i < seconds.length; i++) expect(seconds[i]! - seconds[i - 1]!).toBeLessThan(6.5)
  expect(session.learnedAfter?.lnLag).toBeGreaterThan(0)
  expect(hasDetails(session)).toBe(true)
})

test('what was overwritten at the front is said, with how much it was', () => {
  const begun = records.findIndex(one => one.kind === KIND.sessionBegun)
  const late = records.filter((_, i) => i === begun || i > records.length / 2)
  const session = only(sessionsOf(late))
  expect(session.whole).toBe(false)
  expect(session.missing).toMatch(/^its first \d+:\d\d were overwritten$/)
  expect(session.gaps).toHaveLength(1)
})

test('a stretch that is missing in the middle is said', () => {
  const third = Math.floor(records.length / 3)
  const session = only(sessionsOf([...records.slice(0, third), ...records.slice(third + 6)]))
  expect(session.whole).toBe(false)
  expect(session.missing).toMatch(/^nothing from \d:\d\d to \d:\d\d$/)
})

test('a journal that ends in the middle of a session says after what nothing is known', () => {
  const session = only(sessionsOf(records.slice(0, Math.floor(records.length / 2))))
  expect(session.missing).toMatch(/^nothing after \d:\d\d$/)
  expect(session.summary).toBeUndefined()
})

test('of a session whose details are gone there is the summary, once, however often it was carried over', () => {
  const summaries = records.filter(one => one.kind === KIND.summary)
  const session = only(sessionsOf([...summaries, ...summaries]))
  expect(session).toMatchObject({ number: 1, whole: false, begun: undefined })
  expect(session.missing).toMatch(/only its summary/)
  expect(session.summary?.recipe).toBe(developerAndStop.name)
  expect(hasDetails(session)).toBe(false)
})

test('a small flash keeps the end of a session, and that it was finished', () => {
  const small = record({ said: { seed: 5 }, flash: largeFlash(16_384) })
  const session = only(sessionsOf(recordsOf(small)))
  expect(session.summary?.finished).toBe(true)
  expect(session.missing).toMatch(/^its first \d+:\d\d were overwritten$/)
})

test('a start in the middle of a session is told with its cause and how long the base took itself to be dark', () => {
  let cut = false
  const dark = record({
    said: SAID,
    wallSeconds: WALL_SECONDS,
    meddle: one => {
      const { session, estimates } = one.base
      if (!cut && session.state === 'turning' && estimates.nowSeconds - session.contactSeconds > 60) {
        cut = true
        cutPower(one, 40)
      } else if (session.state === 'held' && estimates.nowSeconds - session.stateSeconds > 5) pressHold(one)
      return false
    },
  })
  const session = only(sessionsOf(recordsOf(dark)))
  expect(session.whole).toBe(true)
  expect(session.starts).toHaveLength(1)
  const [start] = session.starts
  expect(start).toMatchObject({ cause: 'power', answered: false })
  // Since the last checkpoint, up to five seconds before the cut.
  expect(start?.darkSeconds).toBeGreaterThan(39)
  expect(start?.darkSeconds).toBeLessThan(48)
})

test('where a person said how long it was dark, the session’s clock is put right from the start on', () => {
  let cut = false
  let pressed = 0
  const dark = record({
    said: SAID,
    meddle: one => {
      const { session, estimates } = one.base
      if (!cut && session.state === 'turning' && estimates.nowSeconds - session.contactSeconds > 60) {
        cut = true
        cutPower(one, 60)
      } else if (session.state === 'held' && estimates.nowSeconds - session.stateSeconds > 5 * (pressed + 1)) {
        // The first press silences the alarm, later ones go through the answers.
        const wanted = session.darkAnswers[session.darkAt]
        // A minute, and half of what lies between two checkpoints.
        if (session.darkAt > 0 && wanted === 62.5) pressHold(one)
        else pressAdvance(one)
        pressed++
      }
      return false
    },
  })
  const session = only(sessionsOf(recordsOf(dark)))
  expect(session.starts).toMatchObject([{ answered: true, darkSeconds: 62.5 }])
  const seconds = session.checkpoints.map(checkpoint => checkpoint.sessionSeconds)
  const after = seconds.find(one => one > session.starts[0]!.afterSeconds)!
  expect(after - session.starts[0]!.afterSeconds).toBeGreaterThan(61.5)
  expect(seconds).toEqual([...seconds].sort((a, b) => a - b))
})

test('records of a kind that is not known, or too short, are passed over', () => {
  const odd = [
    { version: 1, kind: 99, sequence: 1, payload: new Uint8Array(8) },
    { version: 1, kind: KIND.checkpoint, sequence: 2, payload: new Uint8Array(4) },
    { version: 1, kind: KIND.event, sequence: 3, payload: new Uint8Array(4) },
  ]
  expect(sessionsOf(odd)).toEqual([])
  expect(sessionsOf([...odd, ...records])).toHaveLength(1)
})

test('a record of another version is left out and told; among those of a session that is over it counts for the next', () => {
  const middle = Math.floor(records.length / 2)
  const mixed = records.map((one, i) => (i === middle || i === middle + 1 ? { ...one, version: 9 } : one))
  const session = only(sessionsOf(mixed))
  expect(session.missing).toMatch(/^2 records of another version left out/)
  expect(session.whole).toBe(false)
  expect(session.leftOut).toEqual({ otherVersion: 2, impossible: 0 })
  const after = only(sessionsOf([...records, { ...records[middle]!, version: 9 }]))
  expect(after).toMatchObject({ whole: true, missing: '' })
  expect(sessionsOf(records.map(one => ({ ...one, version: 2 })))).toEqual([])
})

/** The records, one of them with another figure. */
function withFigure(kind: number, nth: number, at: number, value: number): SavedRecord[] {
  let seen = 0
  return records.map(one => {
    if (one.kind !== kind || seen++ !== nth) return one
    const payload = one.payload.slice()
    new DataView(payload.buffer).setFloat32(at, value, true)
    return { ...one, payload }
  })
}

test('a checkpoint or an event at a moment that cannot be is left out and told', () => {
  for (const value of [NaN, Infinity, -Infinity, -5, 1e9, 3.4e38]) {
    const checkpoint = only(sessionsOf(withFigure(KIND.checkpoint, 5, 8, value)))
    expect(checkpoint.checkpoints).toHaveLength(only(sessionsOf(records)).checkpoints.length - 1)
    expect(checkpoint.missing).toMatch(/^1 record with figures that cannot be left out/)
    const event = only(sessionsOf(withFigure(KIND.event, 3, 8, value)))
    expect(event.events).toHaveLength(only(sessionsOf(records)).events.length - 1)
    expect(event.missing).toBe('1 record with figures that cannot be left out')
  }
})

test('every other figure that cannot be is not known; the rest of its record stands', () => {
  for (const value of [NaN, Infinity, -Infinity, 3.4e38]) {
    const checkpoint = only(sessionsOf(withFigure(KIND.checkpoint, 5, 32, value))).checkpoints[5]
    expect(checkpoint).toMatchObject({ bathCelsius: NaN, state: 'turning' })
    expect(checkpoint?.bathSeconds).toBeGreaterThan(0)
    const begun = only(sessionsOf(withFigure(KIND.sessionBegun, 0, 8, value)))
    expect(begun.begun).toMatchObject({ filmsPerLitre: NaN, recipe: developerAndStop.name })
    expect(begun.missing).toBe('not how many films went before')
    expect(only(sessionsOf(withFigure(KIND.summary, 0, 12, value))).summary?.sessionSeconds).toBeNaN()
  }
  expect(only(sessionsOf(withFigure(KIND.summary, 0, 16, Infinity))).summary?.worstBoundPercent).toBe(Infinity)
})
