/**
 * Every state a session can be in, everything that can happen to it, and what follows: one table, read by `session.ts`.
 *
 * Assumes that `session.ts` picks the event (it knows the moment of a press and what was asked before); the table only
 * says what the event means in a state. A pair that means nothing is a refusal with a reason for the operator, never a
 * gap: the types demand every pair. The suffix `Due` says that the pour-out cue stands, so that no hold and no stop can
 * lose it.
 */
import type { Want } from '../agitation/agitation.ts'

export type SessionState =
  /** Before the first pour. */
  | 'planned'
  /** Waiting for the next bath to be poured in. */
  | 'ready'
  /** Pouring in: the clock runs, the tank is still open. */
  | 'filling'
  | 'fillingDue'
  /** Full and closed: the tank turns. */
  | 'turning'
  /** The pour-out cue stands; the tank goes on turning until a person presses. */
  | 'due'
  /** A person stopped the motor; the clock runs on. */
  | 'held'
  | 'heldDue'
  /** The base stopped the motor because driving was no longer safe; the clock runs on. */
  | 'stopped'
  | 'stoppedDue'
  /** Pouring out: the motor is off, the film goes on developing until the tank is empty. */
  | 'draining'
  | 'finished'
  | 'abandoned'

export type SessionHappening =
  /** The advance button. */
  | 'advance'
  /** The advance button while the charge will not last for the session. */
  | 'advanceShort'
  /** The advance button again, in answer to a question, or so close to the cue that it needs none. */
  | 'insist'
  | 'hold'
  /** The hold button kept down: asks to abandon. */
  | 'holdLong'
  /** Kept down again while that question stands. */
  | 'abandon'
  /** The clock says that the bath is to be poured out. */
  | 'cue'
  /** Pack or driver are not known to be safe. */
  | 'driveUnsafe'
  /** Known again, and a person has acknowledged. */
  | 'driveSafe'

export type SessionAction =
  | 'none'
  | 'beginFill'
  | 'beginTurning'
  | 'giveCue'
  | 'hold'
  | 'endHold'
  | 'stop'
  | 'restart'
  | 'beginDrain'
  | 'endBath'
  | 'abandon'

export interface Step {
  /** The state that follows; the same one for a refusal. */
  next: SessionState | 'same'
  /** The state that follows when this was the recipe's last bath. */
  nextAfterLast: SessionState | 'same'
  action: SessionAction
  /** Why nothing happens, for the operator: at most two lines of 21 characters. Empty for a transition. */
  refusal: string
  /** The refusal is a question: the same press again is the answer. */
  asks: boolean
}

function go(next: SessionState, action: SessionAction): Step {
  return { next: next, nextAfterLast: next, action: action, refusal: '', asks: false }
}

function refuse(reason: string): Step {
  return { next: 'same', nextAfterLast: 'same', action: 'none', refusal: reason, asks: false }
}

function ask(question: string): Step {
  return { next: 'same', nextAfterLast: 'same', action: 'none', refusal: question, asks: true }
}

const FILL = go('filling', 'beginFill')
const CLOSE = go('turning', 'beginTurning')
const DRAIN = go('draining', 'beginDrain')
const QUIT = go('abandoned', 'abandon')
const EMPTY: Step = { next: 'ready', nextAfterLast: 'finished', action: 'endBath', refusal: '', asks: false }

const ASK_CHARGE = ask('Pack may not last. Press again to start')
const ASK_EARLY = ask('Too early. Press again to pour out now')
const ASK_HELD = ask('Press hold to turn, or again to pour out')
const ASK_STOPPED = ask('Turn by hand. Again: pour out now')
const ASK_ABANDON = ask('Abandon session? Keep hold down again')
const NOT_TURNING = refuse('Nothing to hold: the tank does not turn')
const MOTOR_OFF = refuse('The motor is off already')
const NOT_STOPPED = refuse('The motor was not stopped')
const NO_BATH = refuse('There is no bath in the tank')
const CUE_STANDS = refuse('Pour-out was called already')
const POURING_OUT = refuse('The bath is being poured out already')
const OVER = refuse('This session is over')

/** State × event: a transition or a refusal. */
export const TRANSITIONS: Record<SessionState, Record<SessionHappening, Step>> = {
  planned: {
    advance: FILL,
    advanceShort: ASK_CHARGE,
    insist: FILL,
    hold: NOT_TURNING,
    holdLong: ASK_ABANDON,
    abandon: QUIT,
    cue: NO_BATH,
    driveUnsafe: MOTOR_OFF,
    driveSafe: NOT_STOPPED,
  },
  ready: {
    advance: FILL,
    advanceShort: FILL,
    insist: FILL,
    hold: NOT_TURNING,
    holdLong: ASK_ABANDON,
    abandon: QUIT,
    cue: NO_BATH,
    driveUnsafe: MOTOR_OFF,
    driveSafe: NOT_STOPPED,
  },
  filling: {
    advance: CLOSE,
    advanceShort: CLOSE,
    insist: CLOSE,
    hold: NOT_TURNING,
    holdLong: ASK_ABANDON,
    abandon: QUIT,
    cue: go('fillingDue', 'giveCue'),
    driveUnsafe: MOTOR_OFF,
    driveSafe: NOT_STOPPED,
  },
  fillingDue: {
    advance: DRAIN,
    advanceShort: DRAIN,
    insist: DRAIN,
    hold: NOT_TURNING,
    holdLong: ASK_ABANDON,
    abandon: QUIT,
    cue: CUE_STANDS,
    driveUnsafe: MOTOR_OFF,
    driveSafe: NOT_STOPPED,
  },
  turning: {
    advance: ASK_EARLY,
    advanceShort: ASK_EARLY,
    insist: DRAIN,
    hold: go('held', 'hold'),
    holdLong: ASK_ABANDON,
    abandon: QUIT,
    cue: go('due', 'giveCue'),
    driveUnsafe: go('stopped', 'stop'),
    driveSafe: NOT_STOPPED,
  },
  due: {
    advance: DRAIN,
    advanceShort: DRAIN,
    insist: DRAIN,
    hold: go('heldDue', 'hold'),
    holdLong: ASK_ABANDON,
    abandon: QUIT,
    cue: CUE_STANDS,
    driveUnsafe: go('stoppedDue', 'stop'),
    driveSafe: NOT_STOPPED,
  },
  held: {
    advance: ASK_HELD,
    advanceShort: ASK_HELD,
    insist: DRAIN,
    hold: go('turning', 'endHold'),
    holdLong: ASK_ABANDON,
    abandon: QUIT,
    cue: go('heldDue', 'giveCue'),
    driveUnsafe: MOTOR_OFF,
    driveSafe: NOT_STOPPED,
  },
  heldDue: {
    advance: DRAIN,
    advanceShort: DRAIN,
    insist: DRAIN,
    hold: go('due', 'endHold'),
    holdLong: ASK_ABANDON,
    abandon: QUIT,
    cue: CUE_STANDS,
    driveUnsafe: MOTOR_OFF,
    driveSafe: NOT_STOPPED,
  },
  stopped: {
    advance: ASK_STOPPED,
    advanceShort: ASK_STOPPED,
    insist: DRAIN,
    hold: MOTOR_OFF,
    holdLong: ASK_ABANDON,
    abandon: QUIT,
    cue: go('stoppedDue', 'giveCue'),
    driveUnsafe: MOTOR_OFF,
    driveSafe: go('turning', 'restart'),
  },
  stoppedDue: {
    advance: DRAIN,
    advanceShort: DRAIN,
    insist: DRAIN,
    hold: MOTOR_OFF,
    holdLong: ASK_ABANDON,
    abandon: QUIT,
    cue: CUE_STANDS,
    driveUnsafe: MOTOR_OFF,
    driveSafe: go('due', 'restart'),
  },
  draining: {
    advance: EMPTY,
    advanceShort: EMPTY,
    insist: EMPTY,
    hold: NOT_TURNING,
    holdLong: ASK_ABANDON,
    abandon: QUIT,
    cue: POURING_OUT,
    driveUnsafe: MOTOR_OFF,
    driveSafe: NOT_STOPPED,
  },
  finished: {
    advance: OVER,
    advanceShort: OVER,
    insist: OVER,
    hold: OVER,
    holdLong: OVER,
    abandon: OVER,
    cue: OVER,
    driveUnsafe: OVER,
    driveSafe: OVER,
  },
  abandoned: {
    advance: OVER,
    advanceShort: OVER,
    insist: OVER,
    hold: OVER,
    holdLong: OVER,
    abandon: OVER,
    cue: OVER,
    driveUnsafe: OVER,
    driveSafe: OVER,
  },
}

/** What each state asks of the motor: `off` is the safe state. */
export const WANTS: Record<SessionState, Want> = {
  planned: 'off',
  ready: 'off',
  filling: 'off',
  fillingDue: 'off',
  turning: 'turn',
  due: 'turn',
  held: 'rest',
  heldDue: 'rest',
  stopped: 'off',
  stoppedDue: 'off',
  draining: 'off',
  finished: 'off',
  abandoned: 'off',
}
