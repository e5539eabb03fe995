/**
 * The key table of a base file: every key with its type, unit, range and meaning. The checker, the JSON Schema and the
 * printed key table are made from it. Ranges hold whatever a home-built base plausibly has.
 */
import { type Field, number, type ObjectSpec, optional, required, type Spec, text, whole } from './recipe/fields.ts'
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
    required('lagSeconds', number(0.1, 60, 's'), 'first-order lag in the bath'),
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
  ].concat(provenanceFields()),
}
