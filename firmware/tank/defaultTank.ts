/**
 * The tank that is taken when none is named: a two-reel daylight tank of plastic for 35 mm film, invented, with
 * measures that such tanks plausibly have. Whoever has a tank measures it with a calliper and writes a tank file.
 */
import type { Tank } from './tank.ts'

export const defaultTank: Tank = {
  name: 'two-reel',
  note: 'A 36-exposure film of 1.63 m fills the spiral at 2.1 mm a turn; 580 mL stand 99 mm high, over both reels.',
  source: 'assumed: plausible measures of a plastic daylight tank, no particular one',
  innerDiameterMillimetres: 92,
  innerLengthMillimetres: 112,
  coreDiameterMillimetres: 25,
  reels: 2,
  filmInnerDiameterMillimetres: 38,
  filmOuterDiameterMillimetres: 76,
  filmWidthMillimetres: 35,
  reelMillilitres: 14,
  standingMillilitres: 580,
  // About 170 g of plastic at 1.5 J/(g K) that follow the bath within a minute; the rest of the wall follows the room.
  heatJoulesPerKelvin: 250,
  heatSpread: 0.15,
  residueMillilitres: 10,
}
