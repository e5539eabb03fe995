/**
 * What is known of a base: the shape of a base file. One is written by its maker for each base that is built.
 */

/** A thermistor in a divider. Exactly one of `steinhartHart`, `points` and `beta` describes the part. */
export interface Thermistor {
  /** A, B, C of 1/T = A + B ln R + C (ln R)^3, in kelvin and ohm. */
  steinhartHart?: [number, number, number]
  /** Three [celsius, ohm] of the part's table. */
  points?: [[number, number], [number, number], [number, number]]
  /** The fallback, up to 1 °C off at the ends: ohm at 25 °C and the beta constant in kelvin. */
  beta?: { ohmsAt25: number; kelvin: number }
  /** The fixed resistor of the divider. */
  dividerOhms: number
  /** Where the thermistor sits in the divider. */
  thermistorAt: 'ground' | 'supply'
  /** From calibration against a reference thermometer: added to what the part says. */
  offsetCelsius: number
  /** How well the reading is known after calibration: one sigma. */
  calibrationSigmaCelsius: number
}

export interface Probe extends Thermistor {
  /** First-order lag in the bath, and how well it is known (one sigma, as a fraction). */
  lagSeconds: number
  lagSpread: number
}

export interface BaseFile {
  name: string
  note?: string
  source?: string
  /** The analogue converter's resolution. */
  adcBits: number
  probe: Probe
  /** A second thermistor in the room's air. */
  room?: Thermistor
  drive: {
    /** Turns of the motor's shaft for one turn of the tank, without slip. */
    shaftTurnsPerTankTurn: number
    /** Tank speed at which the motor still turns evenly, and the highest allowed. */
    leastRpm: number
    mostRpm: number
    /** No-load tank speed per volt at the motor: what the speed loop starts from. */
    rpmPerVolt: number
    /** Duty below which the motor does not start. */
    leastDuty: number
    /** At rest between two directions, at least. */
    restSecondsAtLeast: number
  }
  rotation: {
    /** Edges of the slotted disc for one turn of the motor shaft; 0 for no disc. */
    edgesPerShaftTurn: number
    /** Magnets on the tank; 0 for none. */
    magnetsOnTank: number
  }
  pack: {
    cells: number
    /** What one cell gives between full and empty. */
    capacityMilliampHours: number
    /** Of the whole pack, cold wiring included: where learning starts. */
    resistanceOhms: number
    /** Resting volts of one cell against charge: [charge 0–1, volts], both rising. */
    restingCellVolts: [number, number][]
    /** The cell maker's end of discharge, under load. */
    emptyCellVolts: number
    /** Whether the board measures the motor's current. */
    currentSense: boolean
  }
  limits: {
    /** Above this the motor counts as stalled. */
    motorAmps: number
  }
  power: {
    /** Board, sensors and idle driver. */
    electronicsWatts: number
    screenWatts: number
    /** Turning the tank at 45 rpm: where learning starts. */
    turningWatts: number
  }
}
