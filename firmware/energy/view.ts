/** What is known of the pack, for the session, the panel and the record. */
export interface EnergyView {
  /** Fraction of what the pack can give. */
  charge: number
  chargeSigma: number
  /** Learned. */
  resistanceOhms: number
  /** What the rest of the session needs and what the pack still gives, with one sigma each. */
  neededJoules: number
  neededSigmaJoules: number
  leftJoules: number
  leftSigmaJoules: number
  /** The session can be finished, with the spread of both counted in. */
  enough: boolean
  /** How far load is shed: 0 nothing, 1 screen, 2 rests too, 3 speed too. */
  shedding: 0 | 1 | 2 | 3
  /** Time to call the operator to turn by hand. */
  callByHand: boolean
  /** The end of discharge is reached: the motor must stop. */
  empty: boolean
}
