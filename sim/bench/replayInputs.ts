/**
 * What a recorded session had to work on: the temperatures of its baths, its tank and its room, the operator's presses,
 * and the times in which the base was dark. All of it from the record alone, so that another firmware can be given the
 * same.
 *
 * What is recorded of a bath is what the base took it to be. While a bath is poured and its probe still tells of the one
 * before, that is an expectation and no measurement; those few seconds are taken from what follows them. What the
 * sensors of the drive, the pack and the buttons saw is not in the record.
 */
import type { Learned } from '../../firmware/journal/learnedPayload.ts'
import type { Checkpoint, JournalEvent } from '../../firmware/journal/payloads.ts'
import { WATER_JOULES_PER_MILLILITRE_KELVIN } from '../../firmware/sense/heat.ts'
import type { SessionState } from '../../firmware/session/table.ts'
import type { Tank } from '../../firmware/tank/tank.ts'
import type { ResetCause } from '../../hal/board.ts'
import type { RecordedSession } from '../field/recorded.ts'
import { drawBathTruth } from '../plant/bathTruth.ts'
import { STREAM } from '../plant/evening.ts'
import type { Act } from '../plant/operator.ts'
import { createRandom } from '../plant/random.ts'
import type { Trace } from './trace.ts'

/** One press as it was recorded. */
export interface RecordedPress {
  /** On the session's clock. */
  atSeconds: number
  button: 'advance' | 'hold'
  /** What the hand did to the tank with it. */
  act: Act
  /** What came of it then. */
  event: JournalEvent['kind']
  bathIndex: number
  /** How long the pour or the drain that began with it took; NaN where the record does not say. */
  takesSeconds: number
  /** The press came before the pour-out cue. */
  beforeCue: boolean
}

export interface RecordedDark {
  fromSeconds: number
  toSeconds: number
  /** Of each start of the board; the last one went on. */
  causes: ResetCause[]
}

/** A stretch in which the probe told nothing. */
export interface ProbeGone {
  fromSeconds: number
  toSeconds: number
}

export interface ReplayInputs {
  /** The first bath of which everything is there, and its first contact on the session's clock. */
  firstBath: number
  zeroSeconds: number
  /** Up to here the record goes. */
  endSeconds: number
  bath: Trace
  /** The tank between two baths. */
  body: Trace
  /** `undefined` where the base has no second thermistor. */
  room: Trace | undefined
  presses: RecordedPress[]
  darks: RecordedDark[]
  probeGone: ProbeGone[]
  /** `undefined` where nothing is known of it. */
  learned: Learned | undefined
  /** What was learned before these baths is not in the record. */
  learnedUnknown: boolean
  /** How slowly the probe followed, as the base found; NaN where it did not say. */
  lagSeconds: number
  /** The wall clock at the first contact; NaN where nobody had set it. */
  wallSeconds: number
}

/** The tank, and what was poured for each bath of the recipe. */
export interface PourSetting {
  tank: Tank
  millilitres: number[]
}

/** A bath that is known worse than this (one sigma) is expected, not measured: a pour is expected within 4 to 6 degrees. */
const MEASURED_CELSIUS = 0.5
/** A probe that has come back makes the bath known better at once: sigma falls by so much. */
const PROBE_BACK_FACTOR = 0.8
/** From the first reading that cannot be used to alarm 10: three readings make a bridge, and it must last two seconds. */
const PROBE_ALARM_SECONDS = 5
const PROBE_FAILED_ALARM = 10

const IN_TANK: { [state in SessionState]: boolean } = {
  planned: false,
  ready: false,
  filling: true,
  fillingDue: true,
  turning: true,
  due: true,
  held: true,
  heldDue: true,
  stopped: true,
  stoppedDue: true,
  draining: true,
  finished: false,
  abandoned: false,
}

/** From which bath on everything is recorded; −1 when there is none. */
export function firstWholeBath(recorded: RecordedSession): number {
  const gapsEnd = recorded.gaps.reduce((end, gap) => Math.max(end, gap.toSeconds), -Infinity)
  const begun = recorded.events.find(event => event.kind === 'bathBegun' && !(event.sessionSeconds < gapsEnd - 0.01))
  return begun === undefined ? -1 : begun.bathIndex
}

/** The inputs of the baths from `firstWholeBath` on. `baths`: as many as the recipe has. */
export function inputsOf(
  recorded: RecordedSession,
  firstBath: number,
  baths: number,
  setting: PourSetting,
): ReplayInputs {
  const zeroSeconds = contactOf(recorded, firstBath)
  const checkpoints = recorded.checkpoints.filter(c => c.sessionSeconds >= zeroSeconds)
  const endSeconds = endOf(recorded, checkpoints, baths)
  const known = learnedFor(recorded, zeroSeconds)
  return {
    firstBath,
    zeroSeconds,
    endSeconds,
    bath: bathTrace(checkpoints, zeroSeconds, setting),
    body: traceOf(checkpoints.map(c => [c.sessionSeconds, c.bodyCelsius])),
    room: roomTrace(checkpoints),
    presses: pressesOf(recorded, zeroSeconds, endSeconds),
    darks: darksOf(recorded, zeroSeconds),
    probeGone: probeGone(recorded, checkpoints, zeroSeconds),
    learned: known.learned,
    learnedUnknown: known.unknown,
    lagSeconds: Math.exp((recorded.learnedAfter ?? recorded.learnedBefore)?.lnLag ?? NaN),
    wallSeconds: firstBath === 0 ? recorded.wallSeconds : recorded.wallSeconds + zeroSeconds,
  }
}

function contactOf(recorded: RecordedSession, bathIndex: number): number {
  const begun = recorded.events.find(event => event.kind === 'bathBegun' && event.bathIndex === bathIndex)
  return begun?.sessionSeconds ?? NaN
}

/** An abandoned session ends there; one of a longer recipe where today's has no bath any more. */
function endOf(recorded: RecordedSession, checkpoints: Checkpoint[], baths: number): number {
  const abandoned = recorded.events.find(event => event.kind === 'sessionAbandoned')
  if (abandoned !== undefined) return abandoned.sessionSeconds
  const beyond = contactOf(recorded, baths)
  if (!isNaN(beyond)) return beyond
  const lost = recorded.starts.find(start => isNaN(start.darkSeconds))
  const last = checkpoints[checkpoints.length - 1]?.sessionSeconds ?? NaN
  return lost === undefined ? last : Math.min(last, lost.afterSeconds)
}

/** The newest that was written before these baths began. */
function learnedFor(
  recorded: RecordedSession,
  zeroSeconds: number,
): { learned: Learned | undefined; unknown: boolean } {
  const within = recorded.learnedWithin.filter(entry => entry.afterSeconds <= zeroSeconds).pop()
  const learned = within?.learned ?? recorded.learnedBefore
  if (learned !== undefined || (recorded.isFirst && zeroSeconds === 0)) return { learned, unknown: false }
  return { learned: recorded.learnedAfter, unknown: true }
}

function traceOf(points: [number, number][]): Trace {
  const rising = points.filter(([seconds, value], i) => !isNaN(value) && (i === 0 || seconds > points[i - 1]![0]))
  return {
    seconds: Float64Array.from(rising, point => point[0]),
    bathCelsius: Float64Array.from(rising, point => point[1]),
    ambientCelsius: undefined,
  }
}

/** The baths one after the other. Between two of them nobody looks at it: the tank is empty. */
function bathTrace(checkpoints: Checkpoint[], zeroSeconds: number, setting: PourSetting): Trace {
  const points: [number, number][] = []
  const last = checkpoints[checkpoints.length - 1]?.bathIndex ?? -1
  for (let index = 0; index <= last; index++) {
    const inTank = checkpoints.filter(c => c.bathIndex === index && IN_TANK[c.state] && !isNaN(c.bathSeconds))
    const first = inTank[0]
    if (first === undefined) continue
    const contactSeconds = Math.max(zeroSeconds, first.sessionSeconds - first.bathSeconds)
    const measured = afterPour(inTank)
    const millilitres = setting.millilitres[Math.min(index, setting.millilitres.length - 1)] as number
    points.push(...pourTrace(inTank, measured[0] as Checkpoint, contactSeconds, setting.tank, millilitres))
    for (const c of measured) points.push([c.sessionSeconds, c.bathCelsius])
  }
  return traceOf(points)
}

/** From the first checkpoint on at which the probe had told. What is never measured is taken as it was expected. */
function afterPour(inTank: Checkpoint[]): Checkpoint[] {
  const first = inTank.findIndex(c => c.bathSigmaCelsius < MEASURED_CELSIUS && c.state !== 'filling')
  return first < 0 ? inTank.slice(-1) : inTank.slice(first)
}

/**
 * From first contact to the first measurement: constant while it is poured, then towards the tank as two bodies even
 * out that had the tank's temperature before the pour and the measured one after it. Heat of the tank by its file, and how
 * fast it takes it in the middle of what tanks do.
 */
function pourTrace(
  inTank: Checkpoint[],
  measured: Checkpoint,
  contactSeconds: number,
  tank: Tank,
  millilitres: number,
): [number, number][] {
  const closed = inTank.find(c => c.state !== 'filling' && c.state !== 'fillingDue') ?? measured
  const untilSeconds = measured.sessionSeconds - closed.sessionSeconds
  if (!(untilSeconds > 0)) return [[contactSeconds, measured.bathCelsius]]
  const bodyCelsius = (inTank[0] as Checkpoint).bodyCelsius
  const body = tank.heatJoulesPerKelvin
  const liquid = WATER_JOULES_PER_MILLILITRE_KELVIN * millilitres
  const perSecond = drawBathTruth(createRandom(1, STREAM.bath), tank, 0).turningWattsPerKelvin * (1 / body + 1 / liquid)
  const share = body / (body + liquid)
  const apart = (measured.bathCelsius - bodyCelsius) / (1 - share * (1 - Math.exp(-perSecond * untilSeconds)))
  const at = (seconds: number): number => bodyCelsius + apart * (1 - share * (1 - Math.exp(-perSecond * seconds)))
  const points: [number, number][] = [[contactSeconds, at(0)]]
  for (let seconds = 0; seconds < untilSeconds; seconds++) points.push([closed.sessionSeconds + seconds, at(seconds)])
  return points
}

function roomTrace(checkpoints: Checkpoint[]): Trace | undefined {
  const trace = traceOf(checkpoints.map(c => [c.sessionSeconds, c.roomCelsius]))
  return trace.seconds.length === 0 ? undefined : trace
}

const ADVANCES: { [kind in JournalEvent['kind']]?: Act } = {
  bathBegun: 'beginPour',
  turningBegun: 'close',
  drainBegun: 'beginDrain',
  bathEnded: 'emptied',
}

function pressesOf(recorded: RecordedSession, zeroSeconds: number, endSeconds: number): RecordedPress[] {
  const presses: RecordedPress[] = []
  const { events } = recorded
  for (let i = 0; i < events.length; i++) {
    const event = events[i] as JournalEvent
    const { kind, bathIndex, sessionSeconds: atSeconds } = event
    if (atSeconds < zeroSeconds || atSeconds > endSeconds) continue
    const act = ADVANCES[kind]
    const made: RecordedPress = {
      atSeconds,
      button: 'advance',
      act: act ?? 'none',
      event: kind,
      bathIndex,
      takesSeconds: NaN,
      beforeCue: kind === 'drainBegun' && isNaN(event.seconds),
    }
    if (act !== undefined) presses.push({ ...made, takesSeconds: takes(events, i) })
    else if (kind === 'held' || kind === 'holdEnded') presses.push({ ...made, button: 'hold' })
    else if (kind === 'acknowledged' && !isPartOfPress(events, event))
      presses.push({ ...made, button: silencer(recorded, event) })
  }
  return presses.sort((a, b) => a.atSeconds - b.atSeconds)
}

/** How long filling or draining took tells the event that ended it. */
function takes(events: JournalEvent[], index: number): number {
  const begun = events[index] as JournalEvent
  const ended = begun.kind === 'bathBegun' ? 'turningBegun' : begun.kind === 'drainBegun' ? 'bathEnded' : undefined
  if (ended === undefined) return NaN
  const end = events.slice(index).find(event => event.kind === ended && event.bathIndex === begun.bathIndex)
  return end === undefined ? NaN : end.sessionSeconds - begun.sessionSeconds
}

/** A press that silenced an alarm and did its own work besides. */
function isPartOfPress(events: JournalEvent[], acknowledged: JournalEvent): boolean {
  return events.some(
    event =>
      (event.kind in ADVANCES || event.kind === 'held' || event.kind === 'holdEnded') &&
      event.sessionSeconds === acknowledged.sessionSeconds,
  )
}

/** A press that did nothing else was of the button that has no work in this state. */
function silencer(recorded: RecordedSession, event: JournalEvent): 'advance' | 'hold' {
  const state = recorded.checkpoints.filter(c => c.sessionSeconds <= event.sessionSeconds).pop()?.state
  const holdWorks = state === 'turning' || state === 'due' || state === 'held' || state === 'heldDue'
  return holdWorks ? 'advance' : 'hold'
}

function darksOf(recorded: RecordedSession, zeroSeconds: number): RecordedDark[] {
  const darks: RecordedDark[] = []
  for (const start of recorded.starts) {
    if (start.afterSeconds < zeroSeconds || isNaN(start.darkSeconds)) continue
    const toSeconds = start.afterSeconds + start.darkSeconds
    const before = darks[darks.length - 1]
    if (before !== undefined && before.fromSeconds === start.afterSeconds) {
      before.causes.push(start.cause)
      before.toSeconds = toSeconds
    } else darks.push({ fromSeconds: start.afterSeconds, toSeconds, causes: [start.cause] })
  }
  return darks
}

/** The probe is taken as torn off from before its alarm until the bath is known better again, or is poured out. */
function probeGone(recorded: RecordedSession, checkpoints: Checkpoint[], zeroSeconds: number): ProbeGone[] {
  const gone: ProbeGone[] = []
  for (const event of recorded.events) {
    const fromSeconds = event.sessionSeconds - PROBE_ALARM_SECONDS
    if (event.kind !== 'alarmRaised' || event.alarm !== PROBE_FAILED_ALARM || fromSeconds < zeroSeconds) continue
    if (gone.some(stretch => fromSeconds < stretch.toSeconds)) continue
    const later = checkpoints.filter(c => c.sessionSeconds > event.sessionSeconds)
    const back = later.findIndex((c, i) => {
      const before = later[i - 1]
      return before !== undefined && c.bathSigmaCelsius < PROBE_BACK_FACTOR * before.bathSigmaCelsius
    })
    const until = back > 0 ? later[back - 1] : later[later.length - 1]
    gone.push({ fromSeconds, toSeconds: until?.sessionSeconds ?? event.sessionSeconds })
  }
  return gone
}
