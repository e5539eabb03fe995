/**
 * One programme on one evening: a bath from full and closed to the pour-out press, and what came of it.
 *
 * The evenings are strata: of so many, each has its own length of the bath and its own charge of the pack, spread evenly
 * over what is expected, so that a few of them already see the whole range and every programme meets the same.
 */
import type { Agitation } from '../../../firmware/recipe/recipe.ts'
import { beginEvenness, createEvenness, type Evenness, endEvenness, tickEvenness } from '../../plant/evenness.ts'
import { createTurningRig, STEP_SECONDS, startTurning, stepTurning, type TurningRig } from './rig.ts'
import { arcsOf, outerRadiusMillimetres, type TuneSetup } from './setup.ts'

/** What one evening came to. */
export interface EveningFigures {
  /** As `evenness.ts` has them. */
  immersionCv: number
  longestDrySeconds: number
  exchangesPerMinute: number
  reversals: number
  /** Given by the pack, and the motor's part of it. */
  joules: number
  motorJoules: number
  /** Highest mean current of a tenth of a second that the motor drew from the pack. */
  peakAmps: number
  /** Root mean square over the bath of the speed at which the outermost turn of film goes through the surface. */
  foamMillimetresPerSecond: number
  /** Longest time between two reversals, the opening left out. */
  oneWaySeconds: number
  /** Fastest that a leg got, and the opening, over the speed asked for. */
  reachedFraction: number
  /** The motor was taken for stalled, or its pack cut off. */
  failed: boolean
}

/** Slower than this the tank does not go one way, it comes to rest: assumed. */
const GOING_RPM = 1

/** The tank's angle at each step's end, for whoever wants to see more than figures. */
export type Watch = (fromTurns: number, toTurns: number, nowSeconds: number) => void

/** Lives as long as its worker: an accumulator has 7 kB. */
const shared = createEvenness()

/** Evening `index` of `evenings`; `first` shifts the seeds, so that a search and its proof see different ones. */
export function turnEvening(
  setup: TuneSetup,
  agitation: Agitation,
  index: number,
  evenings: number,
  first: number,
  evenness: Evenness = shared,
): EveningFigures {
  const place = evenings > 1 ? index / (evenings - 1) : 0.5
  // The lengths go up with the index; the charges go round differently, so that the two are not tied.
  const turn = (index * 0.6180339887498949 + 0.5) % 1
  const seconds = setup.turningSeconds * (1 + setup.secondsSpread * (2 * place - 1))
  const charge = setup.charge[0] + (setup.charge[1] - setup.charge[0]) * turn
  const rig = createTurningRig(setup, first + index, charge)
  beginEvenness(evenness, arcsOf(setup.tank, setup.millilitres))
  startTurning(rig, agitation)
  const log = createLog()
  for (let left = Math.round(seconds / STEP_SECONDS); left > 0; left--) {
    stepTurning(rig)
    tickEvenness(evenness, rig.lastTankTurns, rig.rollers.tankTurns, rig.steps * STEP_SECONDS, STEP_SECONDS)
    follow(log, rig)
  }
  return figuresOf(setup, agitation, rig, evenness, log)
}

interface Log {
  motorJoules: number
  peakAmps: number
  squares: number
  legTopRpm: number
  openingTopRpm: number
  /** Steps in one direction so far; the longest of the legs. */
  direction: number
  goingSteps: number
  longestSteps: number
  failed: boolean
}

function createLog(): Log {
  return {
    motorJoules: 0,
    peakAmps: 0,
    squares: 0,
    legTopRpm: 0,
    openingTopRpm: 0,
    direction: 0,
    goingSteps: 0,
    longestSteps: 0,
    failed: false,
  }
}

function follow(log: Log, rig: TurningRig): void {
  const { motor, pack, agitation } = rig
  const rpm = rig.rollers.tankRpm
  const size = rpm < 0 ? -rpm : rpm
  const isOpening = agitation.opening === 'running'
  log.motorJoules += motor.packAmps * pack.packVolts * STEP_SECONDS
  if (motor.packAmps > log.peakAmps) log.peakAmps = motor.packAmps
  log.squares += rpm * rpm
  if (isOpening) {
    if (size > log.openingTopRpm) log.openingTopRpm = size
  } else if (size > log.legTopRpm) log.legTopRpm = size
  if (agitation.view.retrying || agitation.view.stalledForGood || pack.cutOff) log.failed = true
  const direction = size < GOING_RPM ? 0 : rpm > 0 ? 1 : -1
  if (isOpening) log.goingSteps = 0
  else if (direction !== 0 && direction !== log.direction) log.goingSteps = 1
  else log.goingSteps++
  if (direction !== 0) {
    log.direction = direction
    if (log.goingSteps > log.longestSteps) log.longestSteps = log.goingSteps
  }
}

function figuresOf(
  setup: TuneSetup,
  agitation: Agitation,
  rig: TurningRig,
  evenness: Evenness,
  log: Log,
): EveningFigures {
  const report = endEvenness(evenness)
  const circumference = 2 * Math.PI * outerRadiusMillimetres(setup.tank)
  const arcs = arcsOf(setup.tank, setup.millilitres)
  const cutsSurface = arcs.outerRadians > 0 && arcs.outerRadians < Math.PI
  return {
    ...report,
    joules: rig.pack.joules,
    motorJoules: log.motorJoules,
    peakAmps: log.peakAmps,
    foamMillimetresPerSecond: cutsSurface ? (circumference * Math.sqrt(log.squares / rig.steps)) / 60 : 0,
    oneWaySeconds: log.longestSteps * STEP_SECONDS,
    reachedFraction: reached(log, agitation),
    failed: log.failed,
  }
}

/** A bath that is all opening has no leg to judge, and the other way round. */
function reached(log: Log, agitation: Agitation): number {
  const legs = log.legTopRpm > 0 ? log.legTopRpm / agitation.rpm : 1
  const opening =
    agitation.opening !== undefined && log.openingTopRpm > 0 ? log.openingTopRpm / agitation.opening.rpm : 1
  return Math.min(legs, opening)
}
