/**
 * The promises that every session of the campaign is held to, by name, each in one sentence. They are checked from
 * outside the firmware by a checker that knows the truth of the plant and only reads.
 */

export const PROMISES = {
  restBetweenDirections: 'the motor is never driven the other way round before it has rested, and the tank stands',
  withinLimits: 'the duty is a number from -1 to 1, the tank never runs away, and a stalled motor is let go',
  offInSafeState: 'the motor is off in every state that does not turn the tank',
  offWhenUnsafe: 'the motor is off while the pack cannot be read, gives nothing, or is empty',
  turnsOn: 'the motor is never stopped over a bad probe or sensor: while the tank should turn, it is driven',
  progressKnown: 'the believed progress is within its bound, or an alarm stands',
  cueComes: 'a pour-out cue comes for every bath',
  cueInTime: 'the pour-out cue comes at the right moment within its bound, or an alarm stood before',
  cueShown: 'the screen says to pour out as long as that is to be done',
  cueSounded: 'the sounder calls to pour out until it is done',
  noAlarmLost: 'an alarm stands, is shown and is sounded until a person presses',
  noAlarmWithoutCause: 'no alarm is raised that nothing explains',
  faultTold: 'a fault that must be told is told in time',
  journalReadable: 'the journal can be read at any time',
  callBeforeEmpty: 'charge never ends in a developer without a call in time to finish by hand',
  shortWarned: 'charge never ends in a session without a warning before, or at its start',
  holdNotForgotten: 'a hold is called out until it ends',
  operatorCalled: 'a pour-out, a pour, a drain or a change of bottles that nobody ends is called out',
  onlyHandsDecide: 'no session is stopped, held, ended or moved on but by a press, the pack, or the cue',
  consoleMovesNothing: 'the console moves no session but as it may: no motor, no bath and no developer without a press',
  figuresStayNumbers: 'what the base believes stays a number',
  nothingThrown: 'nothing is thrown inside a tick',
  restAfterReset: 'after a reset the motor rests until somebody presses',
  resumes: 'after a reset in a session the base knows which bath it was in and how far',
  comesBack: 'with the faults over, the base comes back to normal and carries a session to its end',
}

export type PromiseName = keyof typeof PROMISES

export const PROMISE_NAMES = Object.keys(PROMISES) as PromiseName[]

/** A promise that was not kept. */
export interface Broken {
  promise: PromiseName
  /** Seconds from the start of the session. */
  atSeconds: number
  /** What was seen. */
  why: string
}
