/**
 * The base checker: the key table of a base file, and what its figures ask of each other. Like the recipe checker it
 * takes any value, never throws and lists every problem at once.
 */
import { baseSpec } from './baseFileFields.ts'
import { checkSpec } from './recipe/fieldCheck.ts'
import { asFields, type Fields, own, ownNumber } from './recipe/ownKeys.ts'
import { createProblems, listProblems, type Problem, type Problems, placeOf, refuse, warn } from './recipe/problem.ts'

/** Every problem of `value` as a base file. */
export function checkBase(value: unknown): Problem[] {
  const problems = createProblems()
  checkSpec(problems, baseSpec, value, '', 'a base')
  const fields = asFields(value)
  checkCurve(problems, asFields(own(fields, 'pack')))
  checkDrive(problems, asFields(own(fields, 'drive')), asFields(own(fields, 'rotation')))
  checkPart(problems, asFields(own(fields, 'probe')), 'probe')
  checkPart(problems, asFields(own(fields, 'room')), 'room')
  return listProblems(problems)
}

/** Each edge interrupts the interpreter: more than this and the board does nothing else. */
const EDGES_PER_SECOND_AT_MOST = 50

function checkDrive(problems: Problems, drive: Fields | undefined, rotation: Fields | undefined): void {
  const most = ownNumber(drive, 'mostRpm')
  if (ownNumber(drive, 'leastRpm') >= most) {
    const found = ownNumber(drive, 'leastRpm') + ' rpm'
    refuse(problems, 'relation', 'drive.leastRpm', found, 'less than mostRpm, ' + most, '')
  }
  const edges = ownNumber(rotation, 'edgesPerShaftTurn')
  const edgesPerSecond = (edges * ownNumber(drive, 'shaftTurnsPerTankTurn') * most) / 60
  if (edgesPerSecond > EDGES_PER_SECOND_AT_MOST) {
    const found = edges + ', which are ' + edgesPerSecond.toFixed(0) + ' edges a second at ' + most + ' rpm'
    const allowed = 'at most ' + EDGES_PER_SECOND_AT_MOST + ' edges a second'
    refuse(problems, 'relation', 'rotation.edgesPerShaftTurn', found, allowed, 'a disc with fewer slots')
  }
  if (edges === 0 && ownNumber(rotation, 'magnetsOnTank') === 0) {
    warn(problems, 'rotation', 'neither disc nor magnet', 'one of them', 'turning is then believed, not known')
  }
}

function checkCurve(problems: Problems, pack: Fields | undefined): void {
  const curve = own(pack, 'restingCellVolts')
  if (!Array.isArray(curve) || curve.length < 2) return
  const first: unknown = curve[0]
  const last: unknown = curve[curve.length - 1]
  const place = 'pack.restingCellVolts'
  if (!Array.isArray(first) || !Array.isArray(last)) return
  if (typeof first[0] === 'number' && first[0] !== 0) {
    refuse(problems, 'relation', placeOf(placeOf(place, 0), 0), '' + first[0], '0: the curve begins empty', '')
  }
  if (typeof last[0] === 'number' && last[0] !== 1) {
    refuse(
      problems,
      'relation',
      placeOf(placeOf(place, curve.length - 1), 0),
      '' + last[0],
      '1: the curve ends full',
      '',
    )
  }
  const empty = ownNumber(pack, 'emptyCellVolts')
  if (typeof last[1] === 'number' && empty >= last[1]) {
    refuse(problems, 'relation', 'pack.emptyCellVolts', empty + ' V', 'less than a full cell, ' + last[1] + ' V', '')
  }
}

/** Coefficients copied with a wrong exponent are within their ranges all the same: what they say at 10 kohm shows it. */
function checkPart(problems: Problems, thermistor: Fields | undefined, place: string): void {
  const abc = own(thermistor, 'steinhartHart')
  if (!Array.isArray(abc) || typeof abc[0] !== 'number' || typeof abc[1] !== 'number' || typeof abc[2] !== 'number') {
    return
  }
  const divider = ownNumber(thermistor, 'dividerOhms')
  const ln = Math.log(divider > 0 ? divider : 10000)
  const celsius = 1 / (abc[0] + abc[1] * ln + abc[2] * ln * ln * ln) - 273.15
  if (celsius >= -40 && celsius <= 150) return
  const found = 'coefficients that make ' + Math.round(Math.exp(ln)) + ' ohm ' + describeCelsius(celsius)
  const allowed = 'between -40 and 150 C, with R in ohm and T in kelvin'
  refuse(problems, 'relation', placeOf(place, 'steinhartHart'), found, allowed, '')
}

function describeCelsius(celsius: number): string {
  return isFinite(celsius) ? celsius.toFixed(0) + ' C' : 'no temperature'
}
