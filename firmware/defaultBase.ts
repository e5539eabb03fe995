/**
 * The base that is taken when no base file is named: what a careful home-built base would have. Each base that is
 * built gets a file of its own, with its own calibration.
 */
import type { BaseFile } from './baseFile.ts'

/**
 * Three points of the R(T) table of the Vishay NTCALUG01A103G, 10 kOhm at 25 C (foxBMS 2, Fraunhofer, from the Vishay
 * curve), wide enough apart for baths from 10 to 50 C.
 */
function vishayPoints(): [[number, number], [number, number], [number, number]] {
  return [
    [10, 19896.9],
    [30, 8055.96],
    [50, 3598.72],
  ]
}

export const defaultBase: BaseFile = {
  name: 'two-cell-roller',
  note: 'Drive and power assumed; a base that is built gets its own file.',
  source: 'Thermistor: Vishay NTCALUG01A103G table. Cell: Molicel INR18650-P28A, Sunil et al. 2025, ten breakpoints.',
  adcBits: 12,
  probe: {
    points: vishayPoints(),
    dividerOhms: 10000,
    thermistorAt: 'ground',
    offsetCelsius: 0,
    calibrationSigmaCelsius: 0.05,
    // A bead in a thin steel sleeve (assumed); a bare bead answers in about one second, a thick sleeve in fifteen.
    lagSeconds: 7,
    lagSpread: 0.25,
  },
  room: {
    points: vishayPoints(),
    dividerOhms: 10000,
    thermistorAt: 'ground',
    offsetCelsius: 0,
    // Never calibrated: the part's tolerance (assumed).
    calibrationSigmaCelsius: 0.5,
  },
  drive: {
    // A tank of 98 mm outside on rollers of 28 mm.
    shaftTurnsPerTankTurn: 3.5,
    leastRpm: 10,
    mostRpm: 75,
    rpmPerVolt: 14,
    leastDuty: 0.12,
    restSecondsAtLeast: 0.2,
  },
  rotation: {
    // 35 edges a second at 75 rpm of the tank.
    edgesPerShaftTurn: 8,
    magnetsOnTank: 1,
  },
  pack: {
    cells: 2,
    capacityMilliampHours: 650,
    resistanceOhms: 0.25,
    restingCellVolts: [
      [0, 2.7027],
      [0.0201, 3.0068],
      [0.0452, 3.1736],
      [0.0905, 3.3275],
      [0.1457, 3.4287],
      [0.2814, 3.57],
      [0.4573, 3.6972],
      [0.8442, 4.0595],
      [0.9548, 4.1108],
      [1, 4.1881],
    ],
    // Chosen above the makers' limits of 2.5 to 2.75 V: the last percents are not worth a cell's health.
    emptyCellVolts: 3,
    currentSense: true,
  },
  limits: { motorAmps: 2 },
  power: { electronicsWatts: 0.25, screenWatts: 0.05, turningWatts: 1.1 },
}
