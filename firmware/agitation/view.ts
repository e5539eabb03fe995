/** What the agitation did, for the session, energy and the record. */
export interface AgitationView {
  /** What to write to the motor, −1 to 1. */
  duty: number
  /** Signed tank speed aimed at now. */
  targetRpm: number
  /** 1 forth, −1 back, 0 at rest between legs or off. */
  direction: -1 | 0 | 1
  /** Legs begun and reversals made since the bath began. */
  legs: number
  reversals: number
  /** Motor turned off and at rest, as far as is known. */
  atRest: boolean
  /** The motor stalled and every gentle retry failed: an alarm. */
  stalledForGood: boolean
  /** A retry is under way. */
  retrying: boolean
}
