/**
 * What the records say, held byte by byte: journals are in flash and on disks, and a later firmware has to read them.
 * The figures are such as a 4-byte float holds exactly.
 */
import { expect, test } from 'vitest'
import { type Learned, learnedBytes, readLearned } from '../../../firmware/journal/learnedPayload.ts'
import {
  type Checkpoint,
  checkpointBytes,
  createCheckpoint,
  EVENTS,
  eventBytes,
  type JournalEvent,
  readCheckpoint,
  readEvent,
  readSessionBegun,
  readStarted,
  readSummary,
  type SessionBegun,
  STATES,
  type Summary,
  sessionBegunBytes,
  startedBytes,
  summaryBytes,
} from '../../../firmware/journal/payloads.ts'

const hex = (bytes: Uint8Array): string => [...bytes].map(byte => byte.toString(16).padStart(2, '0')).join('')

/** The same bytes at an odd place in a larger buffer, as a record read from a store may lie. */
function elsewhere(bytes: Uint8Array): Uint8Array {
  const large = new Uint8Array(bytes.length + 9).fill(0xa5)
  large.set(bytes, 3)
  return large.subarray(3, 3 + bytes.length)
}

const longer = (bytes: Uint8Array): Uint8Array => new Uint8Array([...bytes, 1, 2, 3, 4])
const shorter = (bytes: Uint8Array): Uint8Array => bytes.slice(0, bytes.length - 1)

const CHECKPOINT: Checkpoint = {
  session: 0x01020304,
  state: 'heldDue',
  bathIndex: 2,
  cueGiven: true,
  insistedOnCharge: false,
  sessionSeconds: 640.5,
  bathSeconds: 195.25,
  contentsSeconds: 187.125,
  progress: 0.75,
  progressSigma: 0.015625,
  progressPerKelvin: 0.0625,
  bathCelsius: 37.75,
  bathSigmaCelsius: 0.0625,
  bodyCelsius: 37.25,
  roomCelsius: 20.5,
  charge: 0.8125,
  wallSeconds: 1.8e9 + 0.5,
}

const BEGUN: SessionBegun = {
  session: 7,
  recipe: 'colour-negative',
  films: 2,
  filmsPerLitre: 3.5,
  millilitres: [500, 480, 300],
  wallSeconds: 1.75e9,
}

const EVENT: JournalEvent = {
  session: 70_000,
  kind: 'alarmRaised',
  bathIndex: 3,
  alarm: 45,
  sessionSeconds: 100.5,
  seconds: NaN,
}

const SUMMARY: Summary = {
  session: 300,
  recipe: 'bw',
  finished: true,
  films: 1,
  baths: 5,
  sessionSeconds: 2048.5,
  worstBoundPercent: 1.25,
  leastProgress: 0.9921875,
  mostProgress: 1.0078125,
  startCharge: 0.75,
  endCharge: 0.5,
  alarms: 258,
  darkTimes: 3,
  wallSeconds: 1.8e9,
}

const LEARNED: Learned = {
  energy: {
    resistanceOhms: 0.21,
    capacityCoulombs: 9000.1,
    capacitySpread: 0.07,
    charge: 0.61,
    chargeSigma: 0.03,
    correlation: -0.4,
    sessionFactor: 1.02,
    sessions: 12,
    speeds: [
      [45, 1.5, 3],
      [60, 2.25, 8],
    ],
  },
  lnLag: 1.0986,
  habits: [
    { meanSeconds: 2.1, sigmaSeconds: 0.4, weight: 5 },
    { meanSeconds: 8.3, sigmaSeconds: 1.1, weight: 6 },
    { meanSeconds: 10.7, sigmaSeconds: 1.3, weight: 7 },
  ],
}

test('every payload comes back as it was written, wherever its bytes lie', () => {
  expect(readCheckpoint(elsewhere(checkpointBytes(CHECKPOINT)))).toEqual(CHECKPOINT)
  expect(readSessionBegun(elsewhere(sessionBegunBytes(BEGUN)))).toEqual(BEGUN)
  expect(readEvent(elsewhere(eventBytes(EVENT)!))).toEqual(EVENT)
  expect(readSummary(elsewhere(summaryBytes(SUMMARY)))).toEqual(SUMMARY)
  expect(readSummary(summaryBytes({ ...SUMMARY, finished: false }))?.finished).toBe(false)
  expect(readLearned(elsewhere(learnedBytes(LEARNED)))).toEqual(LEARNED)
  expect(readStarted(elsewhere(startedBytes('watchdog', 1.8e9)))).toEqual({ cause: 'watchdog', wallSeconds: 1.8e9 })
})

test('the bytes are those of the journals that exist', () => {
  expect(hex(startedBytes('software', 1.8e9))).toBe('03000000' + '0000008074d2da41')
  expect(hex(checkpointBytes(CHECKPOINT))).toBe(
    '04030201' +
      '07020100' +
      '002020440040434300203b430000403f0000803c0000803d000017420000803d000015420000a4410000503f' +
      '0000208074d2da41',
  )
  expect(hex(sessionBegunBytes(BEGUN))).toBe(
    '07000000' + '02030f00' + '00006040' + '00000060b813da41' + 'f401e0012c01' + '636f6c6f75722d6e65676174697665',
  )
  expect(hex(eventBytes(EVENT)!)).toBe('70110100' + '0c032d00' + '0000c942' + '0000c07f')
  expect(hex(summaryBytes(SUMMARY))).toBe(
    '2c010000' +
      '01010502' +
      '02010300' +
      '000800450000a03f00007e3f0000813f0000403f0000003f' +
      '0000008074d2da41' +
      '00000000' +
      '6277',
  )
})

test('a state and an event keep their number for ever', () => {
  const states =
    'planned ready filling fillingDue turning due held heldDue stopped stoppedDue draining finished abandoned'
  expect(STATES.slice(0, 13).join(' ')).toBe(states)
  const events =
    'bathBegun turningBegun cueGiven held holdEnded stopped restarted drainBegun bathEnded sessionFinished ' +
    'sessionAbandoned acknowledged alarmRaised alarmRepeated'
  expect(EVENTS.slice(0, 14).join(' ')).toBe(events)
  for (const [place, cause] of (['unknown', 'power', 'watchdog', 'software'] as const).entries()) {
    expect(startedBytes(cause, NaN)[0]).toBe(place)
    expect(readStarted(startedBytes(cause, NaN))?.cause).toBe(cause)
  }
})

test('every state and every written event come back', () => {
  for (const state of STATES) expect(readCheckpoint(checkpointBytes({ ...CHECKPOINT, state }))?.state).toBe(state)
  for (const kind of EVENTS) expect(readEvent(eventBytes({ ...EVENT, kind })!)?.kind).toBe(kind)
})

test('the two flags of a checkpoint are told apart', () => {
  for (const cueGiven of [true, false]) {
    for (const insistedOnCharge of [true, false]) {
      const read = readCheckpoint(checkpointBytes({ ...CHECKPOINT, cueGiven, insistedOnCharge }))
      expect(read).toMatchObject({ cueGiven, insistedOnCharge })
    }
  }
})

test('a figure that is not known comes back as not known', () => {
  const blank = createCheckpoint()
  expect(readCheckpoint(checkpointBytes(blank))).toEqual(blank)
})

test('a shorter payload is none, a longer one is read as far as it is known', () => {
  expect(readCheckpoint(shorter(checkpointBytes(CHECKPOINT)))).toBeUndefined()
  expect(readCheckpoint(longer(checkpointBytes(CHECKPOINT)))).toEqual(CHECKPOINT)
  expect(readSessionBegun(shorter(sessionBegunBytes(BEGUN)))).toBeUndefined()
  expect(readSessionBegun(longer(sessionBegunBytes(BEGUN)))).toEqual(BEGUN)
  expect(readEvent(shorter(eventBytes(EVENT)!))).toBeUndefined()
  expect(readEvent(longer(eventBytes(EVENT)!))).toEqual(EVENT)
  expect(readSummary(shorter(summaryBytes(SUMMARY)))).toBeUndefined()
  expect(readSummary(longer(summaryBytes(SUMMARY)))).toEqual(SUMMARY)
  expect(readStarted(shorter(startedBytes('power', 0)))).toBeUndefined()
  expect(readStarted(longer(startedBytes('power', 0)))).toEqual({ cause: 'power', wallSeconds: 0 })
  const plain = { ...LEARNED, energy: { ...LEARNED.energy, speeds: [] } }
  expect(readLearned(shorter(learnedBytes(plain)))).toBeUndefined()
  expect(readLearned(longer(learnedBytes(plain)))).toEqual(plain)
  for (const read of [readCheckpoint, readSessionBegun, readEvent, readSummary, readStarted, readLearned]) {
    expect(read(new Uint8Array(0))).toBeUndefined()
  }
})

test('what a later firmware wrote and this one does not know is no checkpoint and no event, and a cause is unknown', () => {
  const checkpoint = checkpointBytes(CHECKPOINT)
  checkpoint[4] = 200
  expect(readCheckpoint(checkpoint)).toBeUndefined()
  const event = eventBytes(EVENT)!
  event[4] = 200
  expect(readEvent(event)).toBeUndefined()
  const started = startedBytes('power', 5)
  started[0] = 200
  expect(readStarted(started)).toEqual({ cause: 'unknown', wallSeconds: 5 })
})

test('a refused press is not written down', () => {
  expect(eventBytes({ ...EVENT, kind: 'refused' })).toBeUndefined()
})

test('long names and many baths are cut to what a record holds; a full one of each comes back whole', () => {
  const most = { ...BEGUN, recipe: 'n'.repeat(24), millilitres: Array.from({ length: 16 }, (_, i) => 600 + i) }
  expect(readSessionBegun(sessionBegunBytes(most))).toEqual(most)
  const more = { ...most, recipe: 'n'.repeat(25), millilitres: [...most.millilitres, 1] }
  expect(sessionBegunBytes(more)).toEqual(sessionBegunBytes(most))
  expect(readSummary(summaryBytes({ ...SUMMARY, recipe: 'm'.repeat(24) }))?.recipe).toBe('m'.repeat(24))
  expect(readSummary(summaryBytes({ ...SUMMARY, recipe: 'm'.repeat(30) }))?.recipe).toBe('m'.repeat(24))
})

test('lengths that no firmware writes are refused', () => {
  const baths = new Uint8Array(200).fill(1)
  baths[5] = 17
  expect(readSessionBegun(baths)).toBeUndefined()
  const letters = new Uint8Array(200).fill(1)
  letters[6] = 25
  expect(readSessionBegun(letters)).toBeUndefined()
  const summary = new Uint8Array(200).fill(1)
  summary[7] = 25
  expect(readSummary(summary)).toBeUndefined()
})

test('no more than six speeds of the motor are kept of what was learned', () => {
  const speeds = Array.from({ length: 8 }, (_, i) => [10 * i, i, 1])
  const learned = { ...LEARNED, energy: { ...LEARNED.energy, speeds } }
  const bytes = learnedBytes(learned)
  expect(bytes.length).toBe(8 * 18 + 12 * 6)
  expect(readLearned(bytes)?.energy.speeds).toEqual(speeds.slice(0, 6))
  // Half of one more is none.
  expect(readLearned(bytes.slice(0, bytes.length - 1))?.energy.speeds).toHaveLength(5)
})
