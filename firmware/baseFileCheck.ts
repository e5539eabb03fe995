/**
 * The base checker: the key table of a base file, and what its figures ask of each other. Like the recipe checker it
 * takes any value, never throws and lists every problem at once.
 */
import { asFields, checkSpec, type Fields, own, ownNumber } from './recipe/fieldCheck.ts'
import { type Field, number, type ObjectSpec, optional, required, type Spec, text, whole } from './recipe/fields.ts'
import { createProblems, listProblems, type Problem, type Problems, placeOf, refuse, warn } from './recipe/problem.ts'
import { provenanceFields } from './recipe/recipeFields.ts'

const ohms = number(10, 1e7, 'ohm')
const partCelsius = number(-40, 125, 'C')

/** The ways to describe the part; exactly one. */
const partKeys = ['steinhartHart', 'points', 'beta']

const thermistorFields: Field[] = [
  optional(
    'steinhartHart',
    {
      type: 'tuple',
      of: [number(-0.01, 0.01, '1/K'), number(-0.001, 0.001, '1/K'), number(-1e-5, 1e-5, '1/K')],
      rising: false,
    },
    '',
    'A, B, C of 1/T = A + B ln R + C (ln R)^3, in kelvin and ohm',
  ),
  optional(
    'points',
    {
      type: 'list',
      of: { type: 'tuple', of: [partCelsius, ohms], rising: false },
      least: 3,
      most: 3,
      first: 'rising',
      second: 'falling',
    },
    '',
    'three [celsius, ohm] of the part, celsius rising, ohm falling',
  ),
  optional(
    'beta',
    {
      type: 'object',
      fields: [
        required('ohmsAt25', ohms, 'resistance at 25 C'),
        required('kelvin', number(1000, 6000, 'K'), 'the beta constant'),
      ],
    },
    '',
    'the fallback, up to 1 C off at the ends',
  ),
  required('dividerOhms', ohms, 'the fixed resistor of the divider'),
  required('thermistorAt', { type: 'choice', of: ['ground', 'supply'] }, 'where it sits in the divider'),
  required('offsetCelsius', number(-10, 10, 'C'), 'from calibration: added to what the part says'),
  required('calibrationSigmaCelsius', number(0, 5, 'C'), 'how well it is known after calibration: one sigma'),
]

const roomSpec: ObjectSpec = { type: 'object', fields: thermistorFields, exactlyOneOf: partKeys }

const probeSpec: ObjectSpec = {
  type: 'object',
  fields: thermistorFields.concat([
    required('lagSeconds', number(0, 60, 's'), 'first-order lag in the bath'),
    required('lagSpread', number(0, 1, ''), 'how well the lag is known: one sigma, as a fraction'),
  ]),
  exactlyOneOf: partKeys,
}

const driveSpec: ObjectSpec = {
  type: 'object',
  fields: [
    required('shaftTurnsPerTankTurn', number(0.2, 100, 'turns'), 'of the motor shaft, without slip'),
    required('leastRpm', number(1, 60, 'rpm'), 'tank speed at which the motor still turns evenly'),
    required('mostRpm', number(5, 120, 'rpm'), 'highest tank speed allowed'),
    required('rpmPerVolt', number(0.5, 200, 'rpm/V'), 'no-load tank speed per volt at the motor'),
    required('leastDuty', number(0, 0.9, ''), 'duty below which the motor does not start'),
    required('restSecondsAtLeast', number(0, 5, 's'), 'at rest between two directions'),
  ],
}

const rotationSpec: ObjectSpec = {
  type: 'object',
  fields: [
    required('edgesPerShaftTurn', whole(0, 100, 'edges'), 'of the slotted disc; 0 for no disc'),
    required('magnetsOnTank', whole(0, 12, 'magnets'), 'sensed on the tank; 0 for none'),
  ],
}

const curveSpec: Spec = {
  type: 'list',
  of: { type: 'tuple', of: [number(0, 1, ''), number(2, 4.5, 'V')], rising: false },
  least: 2,
  most: 40,
  first: 'rising',
  second: 'rising',
}

const packSpec: ObjectSpec = {
  type: 'object',
  fields: [
    required('cells', whole(1, 4, 'cells'), 'in series'),
    required('capacityMilliampHours', number(50, 20000, 'mAh'), 'what one cell gives between full and empty'),
    required('resistanceOhms', number(0.005, 10, 'ohm'), 'of the whole pack with its wiring'),
    required('restingCellVolts', curveSpec, '[charge 0-1, volts] of one cell at rest, both rising'),
    required('emptyCellVolts', number(2, 4, 'V'), 'end of discharge of one cell, under load'),
    required('currentSense', { type: 'flag' }, 'whether the motor current is measured'),
  ],
}

export const baseSpec: ObjectSpec = {
  type: 'object',
  fields: [
    required('name', text(1, 24), 'what the base is called'),
    required('adcBits', whole(8, 24, 'bits'), 'resolution of the analogue converter'),
    required('probe', probeSpec, 'the thermistor in the bath'),
    optional('room', roomSpec, 'no second thermistor', "a second thermistor, in the room's air"),
    required('drive', driveSpec, 'motor, rollers and tank'),
    required('rotation', rotationSpec, 'what senses the turning'),
    required('pack', packSpec, 'the cells'),
    required(
      'limits',
      { type: 'object', fields: [required('motorAmps', number(0.05, 20, 'A'), 'above this the motor has stalled')] },
      'what must not be passed',
    ),
    required(
      'power',
      {
        type: 'object',
        fields: [
          required('electronicsWatts', number(0, 10, 'W'), 'board, sensors and idle driver'),
          required('screenWatts', number(0, 10, 'W'), 'the screen'),
          required('turningWatts', number(0.01, 50, 'W'), 'turning the tank at 45 rpm'),
        ],
      },
      'where learning starts',
    ),
  ].concat(provenanceFields),
}

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
