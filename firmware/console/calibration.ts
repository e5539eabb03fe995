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
import { checkParams } from './params.ts'
import { rounded } from './status.ts'

export const CALIBRATION_FILE = 'calibration'
/** A part that is further off than this is not the part that the base file says (assumed). */
const MOST_OFF_CELSIUS = 10
const MOST_POINTS = 12
const SHAPE = 'points (allowed: 1 to ' + MOST_POINTS + ' of [referenceCelsius, counts])'

export const CALIBRATION_PARAMS = [
  'points any',
  'sigmaCelsius number 0 to 5',
  'lagSeconds? number 0.1 to 60',
  'lagSpread? number 0 to 1',
  'by text 1 to 40',
]
/** The file also holds when it was set by the wall clock; 0 when nobody had set that. */
const KEPT_PARAMS = CALIBRATION_PARAMS.concat(['epochSeconds number 0 to 99999999999'])

/**
 * The base file with this calibration in it, or what is wrong with its readings. `kept` is what `calibration.set` was
 * given or what the file holds; its shape was checked but for `points`.
 */
export function calibrated(file: BaseFile, kept: Fields): BaseFile | string {
  const curve = makeCurve(file.probe, file.adcBits)
  const given = own(kept, 'points')
  const points: unknown[] = Array.isArray(given) ? given : []
  const readings: CalibrationReading[] = []
  curve.offsetCelsius = 0
  for (let i = 0; i < points.length && i <= MOST_POINTS; i++) {
    const point = points[i]
    if (!Array.isArray(point) || typeof point[0] !== 'number' || typeof point[1] !== 'number') return SHAPE
    const off = point[0] - celsiusFromCounts(curve, point[1])
    if (!(off < MOST_OFF_CELSIUS && off > -MOST_OFF_CELSIUS))
      return 'points[' + i + ']: ' + off.toFixed(1) + ' C off the part'
    readings.push({ referenceCelsius: point[0], counts: point[1] })
  }
  const found = readings.length <= MOST_POINTS ? calibrate(curve, readings) : undefined
  if (found === undefined) return SHAPE
  const probe: Probe = { ...file.probe, offsetCelsius: found.offsetCelsius }
  if (found.steinhartHart !== undefined) probe.steinhartHart = found.steinhartHart
  probe.calibrationSigmaCelsius = own(kept, 'sigmaCelsius') as number
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
  return typeof calibrated(file, kept) === 'string' ? undefined : kept
}

/** Senses by this calibration from now on; at rest only, because what is known of the bath in the tank begins anew. */
export function applyCalibration(kept: Fields, base: Base): void {
  const file = calibrated(base.file, kept)
  if (typeof file === 'string') return
  base.bathSense = createBathSense(file, base.tank, { lagKnown: base.bathSense.lagKnown })
}

/** `calibration.set`: checked, kept, and taken at once. */
export function setCalibration(line: Console, base: Base, params: Fields): unknown {
  const file = calibrated(base.file, params)
  if (typeof file === 'string') return fail(line, BAD_PARAMS, file)
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
