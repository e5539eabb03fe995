/** What sense makes of the readings: one flat object, written anew each tick, that every later room reads and none writes. */

/** What is known of a thermistor. Anything but `ok` means that its reading is not used. */
export type ProbeState = 'ok' | 'open' | 'short' | 'stuck' | 'jumping' | 'outOfRange'

/** Where the knowledge of the tank's rotation comes from; `time` means that it is only believed. */
export type RotationSource = 'tank' | 'shaft' | 'time'

/** What is wrong between motor and tank. `stalled`: the motor does not turn; `slipping`, `walkedOff`, `jammed`: it does, and the tank does not follow, in part or at all. */
export type TurningTrouble = 'none' | 'stalled' | 'slipping' | 'walkedOff' | 'jammed'

export interface Estimates {
  nowSeconds: number
  tickSeconds: number
  /** True in the ticks, once a second, in which the temperatures and the progress were estimated anew. */
  slow: boolean

  probe: ProbeState
  /** What the thermistor itself says; NaN while it fails. */
  probeCelsius: number
  /** The bath behind the probe's lag, with one sigma, calibration included. */
  bathCelsius: number
  bathSigmaCelsius: number
  /** Tank wall, reels and film. */
  bodyCelsius: number
  /** NaN without a second thermistor that works. */
  roomCelsius: number
  /** The room that the bath goes towards: measured, or what is believed without a second thermistor. */
  believedRoomCelsius: number
  /** How fast bath and body even out, the body's share of their common heat, and how fast both go towards the room. */
  eveningPerSecond: number
  bodyHeatShare: number
  coolingPerSecond: number
  /** Learned lag of the probe. */
  lagSeconds: number
  /** The bath is followed by the model alone: the probe fails. */
  bridging: boolean
  /** The model was contradicted and let go: the bath does what no pour explains. */
  modelFreed: boolean
  /** The running bath's integral of dt / seconds(T), and one sigma of it, calibration included; 0 for a bath without a rate. */
  progress: number
  progressSigma: number

  rotationSource: RotationSource
  /** Net turns of the tank since the base started, signed; and the sum of all turning. */
  tankTurns: number
  tankTravelTurns: number
  /** Signed. */
  tankRpm: number
  /** 0 where the tank follows the rollers, 1 where it does not move; NaN where it cannot be told. */
  slipFraction: number
  turningTrouble: TurningTrouble

  packVolts: number
  motorAmps: number
  /** False when the pack cannot be read or reads what no pack gives: driving is then not known to be safe. */
  packKnown: boolean

  /** The moment of a press that this tick brought, on the monotonic clock; NaN when there was none. */
  advancePressSeconds: number
  holdPressSeconds: number
  /** A press that lasted long enough to mean it, given once. */
  holdLongPress: boolean
  /** A button that has been down for longer than any finger. */
  advanceStuck: boolean
  holdStuck: boolean
}

export function createEstimates(): Estimates {
  return {
    packVolts: NaN,
    slow: false,
    nowSeconds: NaN,
    motorAmps: NaN,
    tickSeconds: 0,
    bathCelsius: NaN,
    bodyCelsius: NaN,
    tankTurns: 0,
    tankRpm: 0,
    packKnown: false,
    advancePressSeconds: NaN,
    holdLongPress: false,
    holdPressSeconds: NaN,
    tankTravelTurns: 0,
    rotationSource: 'time',
    roomCelsius: NaN,
    probe: 'ok',
    turningTrouble: 'none',
    probeCelsius: NaN,
    progress: 0,
    bridging: false,
    modelFreed: false,
    progressSigma: 0,
    advanceStuck: false,
    lagSeconds: NaN,
    bathSigmaCelsius: NaN,
    believedRoomCelsius: NaN,
    eveningPerSecond: 0,
    bodyHeatShare: 0,
    coolingPerSecond: 0,
    holdStuck: false,
    slipFraction: NaN,
  }
}
