/** What a person is asked in each state of a session, as the screen shows it; and how a hand is taken to be before it was seen. */
import type { SessionState } from '../../firmware/session/table.ts'
import type { Asked } from '../plant/operator.ts'

export const ASKED: { [state in SessionState]: Asked } = {
  planned: 'pourIn',
  ready: 'pourIn',
  filling: 'close',
  // A bath shorter than its own pour: out with it, whether or not it is all in.
  fillingDue: 'pourOut',
  turning: 'wait',
  due: 'pourOut',
  held: 'wait',
  heldDue: 'pourOut',
  stopped: 'wait',
  stoppedDue: 'pourOut',
  draining: 'drain',
  finished: 'nothing',
  abandoned: 'nothing',
}

/** Before the first pour the base looks at its pack, its probe and its room. */
export const LOOK_ROUND_SECONDS = 10

/** A hand that reacts in so many seconds, give or take, until the base has seen better. */
export const USUAL_REACTION = { reactionSeconds: 2.5, reactionSigmaSeconds: 1.5, known: false }
