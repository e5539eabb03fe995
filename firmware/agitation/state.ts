/**
 * All that agitation keeps from tick to tick: one object made at start. Only `agitation.ts` and `plan.ts` change it.
 */
import type { BaseFile } from '../baseFile.ts'
import type { Agitation } from '../recipe/recipe.ts'
import { createSpeedLoop, type SpeedLoop } from './speedLoop.ts'
import type { AgitationView } from './view.ts'

export interface AgitationState {
  view: AgitationView
  loop: SpeedLoop
  mostRpm: number
  baseRestSeconds: number

  /** The programme, and what is worked out from it. `undefined` before the first. */
  agitation: Agitation | undefined
  restSeconds: number
  rampRpmPerSecond: number
  netTurnsAtMost: number

  turning: boolean
  /** The leg under way or interrupted: its direction, reversal point and speed. 0 before the first leg. */
  direction: -1 | 0 | 1
  endTurns: number
  legRpm: number
  /** Of the leg under way, worked out when it starts or shedding changes; -1 before. */
  topRpm: number
  legRamp: number
  /** The leg goes evenly on: up to this angle, reckoned along the leg, and before this moment. */
  cruising: boolean
  brakeAtTurns: number
  cruiseUntilSeconds: number
  /** What was measured when the duty was decided last, and when. */
  seenRpm: number
  seenSeconds: number
  shedding: number
  /** The leg was interrupted on its way, and goes on after the rest. */
  interrupted: boolean
  legIndex: number
  /** The opening spell still to come or under way; when it is over (monotonic seconds). */
  opening: 'due' | 'running' | 'over'
  openingEndsSeconds: number
  /** Not signed: the target of the last tick. */
  targetRpm: number
  /** Since when the tank has stood; and not to be driven before. */
  standingSinceSeconds: number
  /** Standing, and nothing to be looked at before. */
  nextSeconds: number
  waitUntilSeconds: number
  /** Failed tries since the motor last turned the tank by `PROVEN_TURNS`; and where the try began. */
  retries: number
  triedFromTurns: number
}

export function createAgitation(base: BaseFile): AgitationState {
  return {
    view: {
      duty: 0,
      targetRpm: 0,
      direction: 0,
      legs: 0,
      reversals: 0,
      atRest: true,
      stalledForGood: false,
      retrying: false,
    },
    cruising: false,
    direction: 0,
    brakeAtTurns: -Infinity,
    seenRpm: 0,
    turning: false,
    nextSeconds: 0,
    loop: createSpeedLoop(base),
    targetRpm: 0,
    topRpm: -1,
    shedding: 0,
    retries: 0,
    seenSeconds: 0,
    legRamp: 60,
    agitation: undefined,
    endTurns: 0,
    legRpm: 0,
    cruiseUntilSeconds: Infinity,
    standingSinceSeconds: NaN,
    rampRpmPerSecond: 60,
    opening: 'over',
    restSeconds: base.drive.restSecondsAtLeast,
    waitUntilSeconds: 0,
    interrupted: false,
    netTurnsAtMost: NaN,
    mostRpm: base.drive.mostRpm,
    legIndex: 0,
    triedFromTurns: 0,
    baseRestSeconds: base.drive.restSecondsAtLeast,
    openingEndsSeconds: 0,
  }
}
