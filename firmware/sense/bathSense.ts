/**
 * The front door of the temperature senses: from a tick's readings and from what the session says is in the tank, to
 * the bath's temperature, the probe's state and the running bath's progress.
 *
 * Works once a second and when the contents change; on all other ticks it returns at once. A press is known with its
 * exact moment, up to a tick in the past: the model goes on to that moment with the old contents (back, where it was
 * already past it) and from there with the new ones. While the probe fails or is on its way out of a draining tank,
 * the model goes on alone and its variance grows.
 */
import type { BaseFile } from '../baseFile.ts'
import type { Readings } from '../readings.ts'
import type { Tank } from '../tank/tank.ts'
import type { Estimates } from './estimates.ts'
import { heatModel, TURNING_ROOM_FACTOR, WATER_JOULES_PER_MILLILITRE_KELVIN } from './heat.ts'
import { advanceDrain, advanceEmpty, advanceFull, advancePour } from './heatStep.ts'
import { observeProbe } from './observe.ts'
import { beginPour, closePour, createObserver, FREED_SECONDS, type Observer, startAt, watchProbe } from './observer.ts'
import { createProbeJudge, judgeProbe, type ProbeJudge } from './probe.ts'
import { type Curve, celsiusFromCounts, makeCurve } from './thermistor.ts'
import type { Contents, Underway } from './underway.ts'

export interface BathSense {
  observer: Observer
  judge: ProbeJudge
  roomCurve: Curve | undefined
  roomCelsius: number
  calibrationSigmaCelsius: number
  residueMillilitres: number
  contents: Contents
  bathIndex: number
  /** Up to when the model has gone. */
  modelSeconds: number
  lagKnown: boolean
  /** The bath's time counts. */
  counting: boolean
  /** A bath has been in the tank: what is left of it is in there still. */
  wet: boolean
  /** Draining began. */
  drainFromSeconds: number
  /** Readings in a row that were not used. */
  unused: number
}

/** Lag known exactly, as on a trace: one sigma of ln lag. */
const KNOWN_LAG_SIGMA = 0.003
/** How well a tank that nobody has filled yet has the temperature of its probe (assumed). */
const START_SIGMA_CELSIUS = 0.5
/** The same when no reading was ever good: all that is known is that a room is a room. */
const UNKNOWN_SIGMA_CELSIUS = 5
/** Where the session does not say what is poured: a small tank, and a bath between tap and kettle. */
const UNKNOWN_MILLILITRES = 300
const UNKNOWN_POUR_SIGMA_CELSIUS = 10
/** What lag, conductance and heat may change from bath to bath: one sigma of their logarithms (assumed). */
const LAG_CHANGE = 0.02
const CONDUCTANCE_CHANGE = 0.1
const HEAT_CHANGE = 0.03
/** The model never goes on in steps longer than this. */
const LONGEST_STEP_SECONDS = 1.5
/** After a pause longer than this (a board that was off) no more than this is caught up with. */
const LONGEST_PAUSE_SECONDS = 3600
/** A pour is over so long after the tank was closed (assumed). */
const SETTLED_SECONDS = 10
/** So many readings left out in a row are a bridge; one or two are a slip. */
const BRIDGING_READINGS = 3
/** Room without a thermistor: what the probe says before the first pour. */
const ROOM_SHARE = 0.1

export function createBathSense(base: BaseFile, tank: Tank, options: { lagKnown: boolean }): BathSense {
  const lagSigma = options.lagKnown ? KNOWN_LAG_SIGMA : base.probe.lagSpread
  return {
    observer: createObserver(heatModel(tank), base.probe.lagSeconds, lagSigma, tank.heatSpread),
    judge: createProbeJudge(makeCurve(base.probe, base.adcBits)),
    roomCurve: base.room === undefined ? undefined : makeCurve(base.room, base.adcBits),
    roomCelsius: NaN,
    calibrationSigmaCelsius: base.probe.calibrationSigmaCelsius,
    residueMillilitres: tank.residueMillilitres,
    contents: 'empty',
    bathIndex: -1,
    modelSeconds: NaN,
    lagKnown: options.lagKnown,
    counting: false,
    wet: false,
    drainFromSeconds: NaN,
    unused: 0,
  }
}

/**
 * Called every tick. Writes the temperatures, the probe's state, the lag and the progress into `estimates` in the
 * ticks in which it works.
 */
export function senseBath(sense: BathSense, readings: Readings, underway: Underway, estimates: Estimates): void {
  const changed = underway.contents !== sense.contents
  if (!readings.slow && !changed) return
  const nowSeconds = readings.nowSeconds
  if (isNaN(sense.modelSeconds)) sense.modelSeconds = nowSeconds
  if (changed) changeContents(sense, underway, nowSeconds)
  sense.bathIndex = underway.bathIndex
  goOn(sense, underway, nowSeconds)
  if (readings.slow) {
    readRoom(sense, readings.roomCounts)
    readBath(sense, readings.probeCounts)
  }
  write(sense, estimates)
}

/** The model goes on to `untilSeconds` with the contents as they are; a little back where it was already past that. */
function goOn(sense: BathSense, underway: Underway, untilSeconds: number): void {
  const observer = sense.observer
  let left = untilSeconds - sense.modelSeconds
  if (left > LONGEST_PAUSE_SECONDS) left = LONGEST_PAUSE_SECONDS
  sense.modelSeconds = untilSeconds
  if (isNaN(observer.probeCelsius)) return
  const rate = underway.rate
  while (left > 1e-6 || left < -1e-6) {
    const step = left > LONGEST_STEP_SECONDS ? LONGEST_STEP_SECONDS / 1.5 : left
    left -= step
    if (sense.contents === 'full') advanceFull(observer, step, underway.motorDuty !== 0, rate, sense.counting)
    else if (sense.contents === 'filling') advancePour(observer, step, underway.fillSeconds, rate, sense.counting)
    else if (sense.contents === 'draining')
      advanceDrain(observer, step, stillIn(sense, underway, left), rate, sense.counting)
    else advanceEmpty(observer, step)
  }
}

/** What a draining tank still holds, `beforeSeconds` before the moment to which the model goes on. */
function stillIn(sense: BathSense, underway: Underway, beforeSeconds: number): number {
  const drained = sense.modelSeconds - beforeSeconds - sense.drainFromSeconds
  const full = sense.observer.fullMillilitres
  const left = underway.drainSeconds > 0 ? full * (1 - drained / underway.drainSeconds) : 0
  // A tank that takes longer than its time still holds a little, which keeps the bath's temperature.
  return Math.max(left, 0.1 * full)
}

function changeContents(sense: BathSense, underway: Underway, nowSeconds: number): void {
  const observer = sense.observer
  let since = underway.sinceSeconds
  // A moment in the future, or before what a press can be, is none: what counts is what was seen.
  if (!(since <= nowSeconds && since > nowSeconds - LONGEST_PAUSE_SECONDS)) since = nowSeconds
  goOn(sense, underway, since)
  const from = sense.contents
  const to = underway.contents
  sense.contents = to
  // A tank that was empty and is full or draining was filled while nobody looked.
  if (to === 'filling' || (from === 'empty' && to !== 'empty')) begin(sense, underway)
  if (to !== 'filling' && observer.pouring) closePour(observer)
  if (to === 'full') {
    sense.counting = true
  } else if (to === 'draining') {
    sense.counting = true
    sense.drainFromSeconds = since
  } else if (to === 'empty') {
    sense.counting = false
    sense.wet = true
  }
}

/** First contact of a new bath. */
function begin(sense: BathSense, underway: Underway): void {
  const observer = sense.observer
  const p = observer.covariance
  if (!sense.lagKnown) p[14] += LAG_CHANGE * LAG_CHANGE
  p[20] += CONDUCTANCE_CHANGE * CONDUCTANCE_CHANGE
  p[27] += HEAT_CHANGE * HEAT_CHANGE
  if (isNaN(observer.probeCelsius)) startAt(observer, observer.roomCelsius, UNKNOWN_SIGMA_CELSIUS)
  const residue = sense.wet ? sense.residueMillilitres : 0
  const millilitres = within(underway.millilitres, 20, 20000, UNKNOWN_MILLILITRES)
  const pourCelsius = within(underway.pourCelsius, 0, 60, observer.bodyCelsius)
  const pourSigmaCelsius = within(underway.pourSigmaCelsius, 0.1, 20, UNKNOWN_POUR_SIGMA_CELSIUS)
  beginPour(observer, millilitres, residue, pourCelsius, pourSigmaCelsius)
  sense.counting = underway.startsWhen === 'contact'
}

/** `value` where it can be believed, else what to take in its place. */
function within(value: number, low: number, high: number, otherwise: number): number {
  return value >= low && value <= high ? value : otherwise
}

function readRoom(sense: BathSense, roomCounts: number): void {
  if (sense.roomCurve === undefined) return
  const celsius = celsiusFromCounts(sense.roomCurve, roomCounts)
  if (!(celsius > -20 && celsius < 60)) {
    sense.roomCelsius = NaN
    return
  }
  sense.roomCelsius = isNaN(sense.roomCelsius)
    ? celsius
    : sense.roomCelsius + ROOM_SHARE * (celsius - sense.roomCelsius)
  sense.observer.roomCelsius = sense.roomCelsius
}

function readBath(sense: BathSense, probeCounts: number): void {
  const observer = sense.observer
  const judge = sense.judge
  const inBath = sense.contents === 'full'
  const lagSeconds = Math.exp(observer.lnLag)
  const expectedMove = inBath || observer.pouring ? (observer.bathCelsius - observer.probeCelsius) / lagSeconds : 0
  const settled = inBath && observer.fullForSeconds > SETTLED_SECONDS
  judgeProbe(judge, probeCounts, expectedMove, lagSeconds, settled)
  sense.unused = judge.usable ? 0 : sense.unused + 1
  if (!judge.usable) return
  if (isNaN(observer.probeCelsius)) {
    startAt(observer, judge.celsius, START_SIGMA_CELSIUS)
    if (isNaN(sense.roomCelsius)) observer.roomCelsius = judge.celsius
  } else if (inBath || sense.contents === 'filling') {
    observeProbe(observer, judge.celsius, judge.varianceKelvin2)
  } else {
    watchProbe(observer, judge.celsius, judge.varianceKelvin2)
  }
}

function write(sense: BathSense, estimates: Estimates): void {
  const observer = sense.observer
  const p = observer.covariance
  const calibration = sense.calibrationSigmaCelsius
  estimates.probe = sense.judge.state
  estimates.probeCelsius = sense.judge.usable ? sense.judge.celsius : NaN
  estimates.bathCelsius = observer.bathCelsius
  estimates.bathSigmaCelsius = Math.sqrt(Math.max(p[2], 0) + calibration * calibration)
  estimates.bodyCelsius = observer.bodyCelsius
  estimates.roomCelsius = sense.roomCelsius
  const body = Math.exp(observer.lnHeat)
  const liquid = WATER_JOULES_PER_MILLILITRE_KELVIN * (observer.fullMillilitres > 0 ? observer.fullMillilitres : 1)
  estimates.believedRoomCelsius = observer.roomCelsius
  estimates.eveningPerSecond = Math.exp(observer.lnConductance) * (1 / body + 1 / liquid)
  estimates.bodyHeatShare = body / (body + liquid)
  estimates.coolingPerSecond = (observer.heat.roomWattsPerKelvin * TURNING_ROOM_FACTOR) / (body + liquid)
  estimates.lagSeconds = Math.exp(observer.lnLag)
  estimates.bridging = sense.unused >= BRIDGING_READINGS
  estimates.modelFreed = observer.freedForSeconds < FREED_SECONDS
  estimates.progress = observer.progress
  const worth = observer.progressPerKelvin * calibration
  estimates.progressSigma = Math.sqrt(Math.max(p[5], 0) + worth * worth)
}
