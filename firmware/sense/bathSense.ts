/**
 * The front door of the temperature senses: from a tick's readings and from what the session says is in the tank, to
 * the bath's temperature, the probe's state and the running bath's progress.
 *
 * Works once a second and when the contents change; on all other ticks it returns at once. While the probe fails or is on its way out of a draining tank,
 * the model goes on alone and its variance grows.
 */
import type { BaseFile } from '../baseFile.ts'
import type { Readings } from '../readings.ts'
import type { Rate } from '../recipe/rate.ts'
import type { Tank } from '../tank/tank.ts'
import { changeContents, goOn } from './contents.ts'
import type { Estimates } from './estimates.ts'
import { heatModel, TURNING_ROOM_FACTOR, WATER_JOULES_PER_MILLILITRE_KELVIN } from './heat.ts'
import { observeProbe } from './observe.ts'
import { createObserver, FREED_SECONDS, type Observer, startAt, watchProbe } from './observer.ts'
import { createProbeJudge, judgeProbe, type ProbeJudge } from './probe.ts'
import { type Curve, celsiusFromCounts, makeCurve } from './thermistor.ts'
import { takeBack } from './trial.ts'
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
  /** Of the bath in the tank, kept to its last drop: the session forgets it with the press that says empty. */
  rate: Rate | undefined
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
  /** Counts readings, for what is only done at every tenth. */
  turn: number
}

/** Lag known exactly, as on a trace: one sigma of ln lag. */
const KNOWN_LAG_SIGMA = 0.003
/** How well a tank that nobody has filled yet has the temperature of its probe (assumed). */
const START_SIGMA_CELSIUS = 0.5
/** A pour is over so long after the tank was closed (assumed). */
const SETTLED_SECONDS = 10
/** So many readings left out in a row are a bridge; one or two are a slip. */
const BRIDGING_READINGS = 3
/** Share of a new reading of the room, which changes slowly. */
const ROOM_SHARE = 0.5
/** The room, and where the bath is going once it has settled, are looked at every so many readings. */
const TURNS = 10
const FORECAST_SETTLED_SECONDS = 30

export function createBathSense(base: BaseFile, tank: Tank, options: { lagKnown: boolean }): BathSense {
  const lagSigma = options.lagKnown ? KNOWN_LAG_SIGMA : base.probe.lagSpread
  return {
    contents: 'empty',
    bathIndex: -1,
    roomCelsius: NaN,
    turn: TURNS - 1,
    observer: createObserver(heatModel(tank), base.probe.lagSeconds, lagSigma, tank.heatSpread),
    judge: createProbeJudge(makeCurve(base.probe, base.adcBits)),
    rate: undefined,
    counting: false,
    modelSeconds: NaN,
    unused: 0,
    calibrationSigmaCelsius: base.probe.calibrationSigmaCelsius,
    residueMillilitres: tank.residueMillilitres,
    roomCurve: base.room === undefined ? undefined : makeCurve(base.room, base.adcBits),
    drainFromSeconds: NaN,
    wet: false,
    lagKnown: options.lagKnown,
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
    sense.turn = sense.turn === TURNS - 1 ? 0 : sense.turn + 1
    if (sense.turn === 0) readRoom(sense, readings.roomCounts)
    readBath(sense, readings.probeCounts, underway)
  }
  if (changed || sense.turn === 0 || sense.observer.fullForSeconds < FORECAST_SETTLED_SECONDS) foresee(sense, estimates)
  write(sense, estimates)
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

function readBath(sense: BathSense, probeCounts: number, underway: Underway): void {
  const observer = sense.observer
  const judge = sense.judge
  const inBath = sense.contents === 'full'
  const lagSeconds = Math.exp(observer.lnLag)
  const expectedMove = inBath || observer.pouring ? (observer.bathCelsius - observer.probeCelsius) / lagSeconds : 0
  const settled = inBath && observer.fullForSeconds > SETTLED_SECONDS
  judgeProbe(judge, probeCounts, expectedMove, lagSeconds, settled)
  sense.unused = judge.usable ? 0 : sense.unused + 1
  if (inBath && judge.state !== 'ok' && observer.freedForSeconds < FREED_SECONDS) {
    takeBack(observer, underway.motorDuty !== 0, sense.rate, sense.counting)
  }
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
  const judge = sense.judge
  const p = observer.covariance
  const calibration = sense.calibrationSigmaCelsius
  estimates.probe = judge.state
  estimates.probeCelsius = judge.usable ? judge.celsius : NaN
  estimates.bathCelsius = observer.bathCelsius
  estimates.bathSigmaCelsius = Math.sqrt((p[2] > 0 ? p[2] : 0) + calibration * calibration)
  estimates.bodyCelsius = observer.bodyCelsius
  estimates.roomCelsius = sense.roomCelsius
  estimates.lagSeconds = Math.exp(observer.lnLag)
  estimates.bridging = sense.unused >= BRIDGING_READINGS
  estimates.modelFreed = observer.freedForSeconds < FREED_SECONDS
  estimates.progress = observer.progress
  const worth = observer.progressPerKelvin * calibration
  estimates.progressSigma = Math.sqrt((p[5] > 0 ? p[5] : 0) + worth * worth)
}

/** What the forecast needs to know of where the bath is going. */
function foresee(sense: BathSense, estimates: Estimates): void {
  const observer = sense.observer
  const body = Math.exp(observer.lnHeat)
  const liquid = WATER_JOULES_PER_MILLILITRE_KELVIN * (observer.fullMillilitres > 0 ? observer.fullMillilitres : 1)
  estimates.believedRoomCelsius = observer.roomCelsius
  estimates.eveningPerSecond = Math.exp(observer.lnConductance) * (1 / body + 1 / liquid)
  estimates.bodyHeatShare = body / (body + liquid)
  estimates.coolingPerSecond = (observer.heat.roomWattsPerKelvin * TURNING_ROOM_FACTOR) / (body + liquid)
}
