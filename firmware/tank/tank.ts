/**
 * What is known of a tank: the shape of a tank file. Lengths in millimetres, as a maker measures them with a calliper.
 */
export interface Tank {
  name: string
  note?: string
  source?: string
  innerDiameterMillimetres: number
  /** Inside, between the flat ends. */
  innerLengthMillimetres: number
  /** The outside of the centre column on which the reels sit; 0 for none. */
  coreDiameterMillimetres: number
  /** How many reels fit. */
  reels: number
  /** One film's place on a reel: the radii's diameters of its innermost and outermost turn, and its width. */
  filmInnerDiameterMillimetres: number
  filmOuterDiameterMillimetres: number
  filmWidthMillimetres: number
  /** What the plastic or steel of one reel displaces. */
  reelMillilitres: number
  /** What covers all reels when the tank stands. */
  standingMillilitres: number
  /** Heat that wall, core, reels and film take per kelvin. */
  heatJoulesPerKelvin: number
  /** How well that is known: one sigma, as a fraction. */
  heatSpread: number
  /** What drips off and what stays behind after the drain. */
  residueMillilitres: number
}
