/**
 * The probe's calibration as the console sets it and the file `calibration` keeps it.
 *
 * The readings themselves are kept and reckoned with anew at every start, so that no digits are lost by writing results
 * down. A file that does not read as one is left out, and the base file's own calibration stays.
 */
import type { TextFiles } from '../../hal/board.ts'
import type { Base } from '../base.ts'
import type { BaseFile, Probe } from '../baseFile.ts'
import { type Fields, own, ownNumber } from '../recipe/ownKeys.ts'
import { createBathSense } from '../sense/bathSense.ts'
import { type CalibrationReading, calibrate } from '../sense/calibrate.ts'
import { celsiusFromCounts, makeCurve } from '../sense/thermistor.ts'
import { BAD_PARAMS, type Console, fail } from './consoleState.ts'
import { keep, readFields } from './files.ts'
import { checkParams, optional, type Param, required, type Wrong, wrong, wrongText } from './params.ts'
import { rounded } from './status.ts'

export const CALIBRATION_FILE = 'calibration'
/** A part that is further off than this is not the part that the base file says (assumed). */
const MOST_OFF_CELSIUS = 10
const MOST_POINTS = 12

export const CALIBRATION_PARAMS: Param[] = [
  required('points', 'any', 0, 0),
  required('sigmaCelsius', 'number', 0, 5),
  optional('lagSeconds', 'number', 0.1, 60),
  optional('lagSpread', 'number', 0, 1),
  required('by', 'text', 1, 40),
]

/** What the file holds: that, and when it was set by the wall clock; 0 when nobody had set that. */
const KEPT_PARAMS: Param[] = CALIBRATION_PARAMS.concat([required('epochSeconds', 'whole', 0, 1e11)])

/** The readings that `points` holds; else what is wrong with them. */
export function readPoints(value: unknown, fullScaleCounts: number): CalibrationReading[] | Wrong {
  const allowed = '1 to ' + MOST_POINTS + ' of [referenceCelsius -20 to 100, counts 1 to ' + (fullScaleCounts - 1) + ']'
  if (!Array.isArray(value)) return wrong('points', 'no list', allowed)
  if (value.length < 1 || value.length > MOST_POINTS) return wrong('points', value.length + ' entries', allowed)
  const readings: CalibrationReading[] = []
  for (let i = 0; i < value.length; i++) {
    const pair = value[i]
    const isPair = Array.isArray(pair) && pair.length === 2
    const celsius = isPair ? pair[0] : NaN
    const counts = isPair ? pair[1] : NaN
    if (!(isWithin(celsius, -20, 100) && isWithin(counts, 1, fullScaleCounts - 1))) {
      return wrong('points[' + i + ']', 'something else', allowed)
    }
    readings.push({ counts: counts, referenceCelsius: celsius })
  }
  return readings
}

function isWithin(value: unknown, least: number, most: number): boolean {
  return typeof value === 'number' && value >= least && value <= most
}

/**
 * The base file with this calibration in it. `kept` is what `calibration.set` was given or what the file holds; undefined
 * when it is neither, or cannot be right.
 */
export function calibrated(file: BaseFile, kept: Fields): BaseFile | Wrong {
  const curve = makeCurve(file.probe, file.adcBits)
  const readings = readPoints(own(kept, 'points'), curve.fullScaleCounts)
  if (!Array.isArray(readings)) return readings
  curve.offsetCelsius = 0
  for (let i = 0; i < readings.length; i++) {
    const off = readings[i].referenceCelsius - celsiusFromCounts(curve, readings[i].counts)
    if (!(off < MOST_OFF_CELSIUS && off > -MOST_OFF_CELSIUS)) {
      return wrong('points[' + i + ']', off.toFixed(1) + ' C off the part', 'less than ' + MOST_OFF_CELSIUS + ' C')
    }
  }
  const found = calibrate(curve, readings)
  if (found === undefined) return wrong('points', 'no usable reading', 'readings of this base')
  const probe: Probe = { ...file.probe, offsetCelsius: found.offsetCelsius }
  if (found.steinhartHart !== undefined) probe.steinhartHart = found.steinhartHart
  probe.calibrationSigmaCelsius = orElse(ownNumber(kept, 'sigmaCelsius'), probe.calibrationSigmaCelsius)
  probe.lagSeconds = orElse(ownNumber(kept, 'lagSeconds'), probe.lagSeconds)
  probe.lagSpread = orElse(ownNumber(kept, 'lagSpread'), probe.lagSpread)
  return { ...file, probe: probe }
}

function orElse(value: number, otherwise: number): number {
  return isNaN(value) ? otherwise : value
}

/** What the file holds, as far as it can be used on this base. */
export function readCalibration(files: TextFiles, file: BaseFile): Fields | undefined {
  const kept = readFields(files, CALIBRATION_FILE)
  if (kept === undefined || checkParams(KEPT_PARAMS, kept).length > 0) return undefined
  return 'place' in calibrated(file, kept) ? undefined : kept
}

/** Senses by this calibration from now on; at rest only, because what is known of the bath in the tank begins anew. */
export function applyCalibration(kept: Fields, base: Base): void {
  const file = calibrated(base.file, kept)
  if ('place' in file) return
  base.bathSense = createBathSense(file, base.tank, { lagKnown: base.bathSense.lagKnown })
}

/** `calibration.set`: checked, kept, and taken at once. */
export function setCalibration(line: Console, base: Base, params: Fields): unknown {
  const file = calibrated(base.file, params)
  if ('place' in file) return fail(line, BAD_PARAMS, wrongText(file), [file])
  const seconds = base.board.wallClock.read()
  const kept: Fields = {
    points: own(params, 'points'),
    sigmaCelsius: own(params, 'sigmaCelsius'),
    lagSeconds: file.probe.lagSeconds,
    lagSpread: file.probe.lagSpread,
    by: own(params, 'by'),
    epochSeconds: seconds === undefined ? 0 : Math.floor(seconds),
  }
  if (!keep(line, base.board.files, CALIBRATION_FILE, JSON.stringify(kept))) return undefined
  line.calibration = kept
  applyCalibration(kept, base)
  return getCalibration(line, base)
}

/** What holds now, and what the converter reads now: for the next reading beside a reference thermometer. */
export function getCalibration(line: Console, base: Base): unknown {
  const kept = line.calibration
  const judge = base.bathSense.judge
  return {
    from: kept === undefined ? 'base file' : 'calibration.set',
    kept: kept === undefined ? null : kept,
    offsetCelsius: rounded(judge.curve.offsetCelsius, 1000),
    sigmaCelsius: base.bathSense.calibrationSigmaCelsius,
    lagSeconds: rounded(base.estimates.lagSeconds, 100),
    counts: rounded(base.readings.probeCounts, 100),
    probeCelsius: rounded(judge.celsius, 100),
  }
}
