/**
 * One evening: everything about a session that the firmware is not told. The room, what is really in the bottles, the
 * hands, and how the parts of this base and this tank differ from their files. Drawn from one seed; what the caller
 * states is taken as it is.
 */
import type { BaseFile } from '../../firmware/baseFile.ts'
import type { Tank } from '../../firmware/tank/tank.ts'
import { type BathTruth, drawBathTruth } from './bathTruth.ts'
import { drawHabits, EXACT_HABITS, type OperatorHabits } from './operator.ts'
import { drawPackTruth, type PackTruth } from './pack.ts'
import { drawProbeTruth, type ProbeTruth } from './probe.ts'
import { createRandom, gaussian, type Random } from './random.ts'

export interface Evening {
  seed: number
  roomCelsius: number
  /** In the bottle, and poured, for each bath. */
  pourCelsius: number[]
  millilitres: number[]
  startCharge: number
  habits: OperatorHabits
  /** Of the chance in each act of these hands. */
  handsSeed: number
  bath: BathTruth
  probe: ProbeTruth
  roomProbe: ProbeTruth | undefined
  pack: PackTruth
  /** On a trace: what the bath does whatever is poured, by seconds since the first contact of all. */
  forcedBath: ((seconds: number) => number) | undefined
  /** The room on a trace that has one. */
  forcedRoom: ((seconds: number) => number) | undefined
}

export interface EveningOptions {
  tank: Tank
  base: BaseFile
  seed: number
  roomCelsius: number
  millilitres: number[]
  /** What the operator means to pour, for each bath. */
  pourCelsius: number[]
  startCharge: number
  /** The probe has no calibration error left and its lag is known exactly. */
  perfectProbe?: { calibration: boolean; lag: boolean }
  /** Every press falls on the moment it stands for: the error of the hand is left out. */
  exactPresses?: boolean
  forcedBath?: (seconds: number) => number
  forcedRoom?: (seconds: number) => number
}

/** Streams of chance: one for each part, so that a part that draws more does not change the others. */
export const STREAM = { bath: 1, probe: 2, pack: 3, hands: 4, pours: 5, motor: 6, noise: 7 }

/** A bottle out of the water bath is off what was meant by so much (one sigma) and never by more than the limit; assumed. */
const POUR_SIGMA_CELSIUS = 0.7
const POUR_LIMIT_CELSIUS = 2
/** A measuring jug is read to this fraction, one sigma; assumed. */
const JUG_SPREAD = 0.01

/** The room's air reaches its thermistor slowly; no one waits for it. */
const ROOM_PROBE_LAG_SECONDS = 30

export function drawEvening(options: EveningOptions): Evening {
  const { tank, base, seed, forcedBath, perfectProbe } = options
  const onTrace = forcedBath !== undefined
  const exactCalibration = onTrace || perfectProbe?.calibration === true
  const exactLag = onTrace || perfectProbe?.lag === true
  const pours = createRandom(seed, STREAM.pours)
  const probes = createRandom(seed, STREAM.probe)
  return {
    seed,
    roomCelsius: options.roomCelsius,
    pourCelsius: options.pourCelsius.map(celsius => (onTrace ? celsius : celsius + pourError(pours))),
    millilitres: options.millilitres.map(volume => (onTrace ? volume : volume * (1 + JUG_SPREAD * gaussian(pours)))),
    startCharge: options.startCharge,
    habits: onTrace ? EXACT_HABITS : handsOf(seed, options.exactPresses === true),
    handsSeed: seed,
    bath: drawBathTruth(createRandom(seed, STREAM.bath), tank, 1),
    probe: drawProbeTruth(
      probes,
      base.probe,
      exactLag ? 0 : base.probe.lagSpread,
      exactCalibration ? 0 : base.probe.calibrationSigmaCelsius,
    ),
    roomProbe: base.room && roomProbe(base.room, probes, exactCalibration),
    pack: drawPackTruth(createRandom(seed, STREAM.pack), base, options.roomCelsius),
    forcedBath,
    forcedRoom: options.forcedRoom,
  }
}

function roomProbe(thermistor: NonNullable<BaseFile['room']>, random: Random, exact: boolean): ProbeTruth {
  const sigma = exact ? 0 : thermistor.calibrationSigmaCelsius
  return drawProbeTruth(random, { ...thermistor, lagSeconds: ROOM_PROBE_LAG_SECONDS }, 0, sigma)
}

function handsOf(seed: number, exactPresses: boolean): OperatorHabits {
  const habits = drawHabits(createRandom(seed, STREAM.hands))
  return exactPresses ? { ...habits, pressSigmaSeconds: 0 } : habits
}

function pourError(random: Random): number {
  const error = POUR_SIGMA_CELSIUS * gaussian(random)
  return Math.max(-POUR_LIMIT_CELSIUS, Math.min(POUR_LIMIT_CELSIUS, error))
}
