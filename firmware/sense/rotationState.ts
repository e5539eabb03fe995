/**
 * All that the rotation sense keeps from tick to tick, and what it takes from the base file: one object made at start.
 * Only `rotation.ts` and `turningTrouble.ts` change it.
 */
import type { BaseFile } from '../baseFile.ts'
import type { TurningTrouble } from './estimates.ts'
import { LEAST_CELL_VOLTS, MOST_CELL_VOLTS } from './pack.ts'

/** One object, made at start; numbers that a base file gave come first. */
export interface RotationSense {
  /** Turns of the tank from edge to edge, without slip; 0 without a disc. */
  discTurns: number
  /** Turns of the tank from magnet to magnet; 0 without magnets. */
  magnetTurns: number
  /** Further than this in one direction without a magnet: it is overdue. Infinity without magnets. */
  overdueTurns: number
  rpmPerVolt: number
  frictionVolts: number
  nominalVolts: number
  /** What no pack gives is no reading: the drive is reckoned with the nominal volts then. */
  leastPackVolts: number
  mostPackVolts: number
  leastDuty: number
  stallAmps: number
  /** Driven towards more than this any sound motor turns. */
  surelyRpm: number

  /** 1 forth, −1 back: of the last duty that was not 0. */
  direction: 1 | -1
  /** When the motion in this direction began. */
  startedSeconds: number
  /** Speed of the tank if nothing slipped, not signed; and what it is heading for at this duty. */
  rollerRpm: number
  headingRpm: number
  /** The duty that was reckoned with last; as long as it changes by less than this, and the disc tells, it need not be again. */
  headDuty: number
  evenDuty: number
  /** Way of the tank, signed, and time since that were foretold because the disc was not asked. */
  aheadTurns: number
  aheadSeconds: number
  /** For so many ticks the heading has hardly changed: what is measured then can be learned from. */
  evenTicks: number
  /** Learned: what the drive turns over what the base file lets expect. */
  driveGain: number

  discEdges: number
  discEdgeSeconds: number
  /** Way of the rollers in tank turns, signed; and what it was at the last edge, which was passed in that direction. */
  rollerTurns: number
  discEdgeTurns: number
  discEdgeDirection: 1 | -1
  discTrusted: boolean
  /** Driven without an edge: for so long, and so far by the model. */
  discSilentSeconds: number
  discSilentTurns: number

  magnetEdges: number
  magnetTrusted: boolean
  /** The angle at which magnets pass is known, and is this. */
  magnetSeen: boolean
  magnetAtTurns: number
  /** Where the last magnet passed; way since, before the last reversal and after it. */
  passTurns: number
  silentBeforeTurns: number
  runTurns: number
  /** The run began with a magnet: the next magnet measures slip. */
  runFromMagnet: boolean
  /** What was found of the tank while its magnets stay away. */
  tankTrouble: TurningTrouble
  slip: number
  slipKnown: boolean

  /** In the winding, smoothed; NaN without a current sense; and what it usually is while the tank turns evenly. */
  windingAmps: number
  usualAmps: number
  /** The same while no magnet comes; NaN again with each magnet. */
  silentAmps: number
  silentSamples: number
  overSeconds: number
}

/** Moving friction as a share of what it takes to start: assumed. */
const FRICTION_SHARE = 0.6
/** At this many times the least duty every sound motor breaks loose: assumed. Agitation starts with a little more. */
export const SURE_START = 1.9
/** A magnet is overdue beyond this many spacings. Assumed: more than slip and a guessed angle explain. */
const OVERDUE_SPACINGS = 1.3
/** Volts of one cell in the middle of its discharge: from the default pack's curve. */
const NOMINAL_CELL_VOLTS = 3.7

/** What the motor loses to friction, in volts, as the base file lets expect. */
export function frictionVolts(base: BaseFile): number {
  return FRICTION_SHARE * base.drive.leastDuty * nominalVolts(base)
}

/** What the pack gives where it cannot be read. */
export function nominalVolts(base: BaseFile): number {
  return base.pack.cells * NOMINAL_CELL_VOLTS
}

export function createRotationSense(base: BaseFile): RotationSense {
  const edges = base.rotation.edgesPerShaftTurn * base.drive.shaftTurnsPerTankTurn
  return {
    direction: 1,
    evenDuty: -1,
    headDuty: 0,
    rollerRpm: 0,
    discTurns: edges > 0 ? 1 / edges : 0,
    rollerTurns: 0,
    aheadTurns: 0,
    aheadSeconds: 0,
    discEdgeSeconds: 0,
    windingAmps: NaN,
    headingRpm: 0,
    discSilentSeconds: 0,
    discTrusted: edges > 0,
    frictionVolts: frictionVolts(base),
    evenTicks: 0,
    slip: 0,
    discEdges: 0,
    runTurns: 0,
    discEdgeTurns: 0,
    magnetEdges: 0,
    magnetTurns: base.rotation.magnetsOnTank > 0 ? 1 / base.rotation.magnetsOnTank : 0,
    startedSeconds: 0,
    driveGain: 1,
    magnetTrusted: base.rotation.magnetsOnTank > 0,
    discEdgeDirection: 1,
    overdueTurns: base.rotation.magnetsOnTank > 0 ? OVERDUE_SPACINGS / base.rotation.magnetsOnTank : Infinity,
    rpmPerVolt: base.drive.rpmPerVolt,
    leastPackVolts: LEAST_CELL_VOLTS * base.pack.cells,
    mostPackVolts: MOST_CELL_VOLTS * base.pack.cells,
    leastDuty: base.drive.leastDuty,
    slipKnown: false,
    usualAmps: NaN,
    runFromMagnet: false,
    silentBeforeTurns: 0,
    surelyRpm: (SURE_START * base.drive.leastDuty * nominalVolts(base) - frictionVolts(base)) * base.drive.rpmPerVolt,
    passTurns: 0,
    discSilentTurns: 0,
    silentAmps: NaN,
    silentSamples: 0,
    magnetSeen: false,
    magnetAtTurns: 0,
    tankTrouble: 'none',
    overSeconds: 0,
    stallAmps: base.limits.motorAmps,
    nominalVolts: nominalVolts(base),
  }
}
