/**
 * What publications say that an error of temperature or time is worth on film: only the figures that are used here, each
 * with its source.
 */

/** How far a maker lets the temperature of a heated line be off, in C. */
export const LINE_TOLERANCES = {
  colourNegative: {
    celsius: 0.15,
    words: "the maker's tolerance for a colour negative developer",
    source: 'Process C-41: 195 s at 37.8 C. Eastman Kodak Z-131, table 2-1 (secondary transcription)',
  },
  blackAndWhite: {
    celsius: 1,
    words: "a maker's tolerance for a black-and-white developer",
    source: 'ILFORD, developer within this of the chosen temperature',
  },
}

/** Contrast index of film kept for its 68 F time in a bath of another temperature, rotary tube, XTOL stock. */
export const CONTRAST_AT_FAHRENHEIT: { film: string; at68: number; at70: number }[] = [
  { film: 'T-MAX 100', at68: 0.56, at70: 0.62 },
  { film: 'TRI-X 400', at68: 0.56, at70: 0.606 },
  { film: 'HP5 Plus', at68: 0.58, at70: 0.634 },
  { film: 'DELTA 400', at68: 0.58, at70: 0.65 },
  { film: 'FP4 Plus', at68: 0.58, at70: 0.616 },
]
export const CONTRAST_SOURCE = 'KODAK J-109 (2018), Table 2, its printed times interpolated in log time'
const KELVIN_FROM_68_TO_70_FAHRENHEIT = (2 * 5) / 9

/** Contrast index for each kelvin, least and most of the films above. */
export function contrastPerKelvin(): [number, number] {
  const slopes = CONTRAST_AT_FAHRENHEIT.map(({ at68, at70 }) => (at70 - at68) / KELVIN_FROM_68_TO_70_FAHRENHEIT)
  return [Math.min(...slopes), Math.max(...slopes)]
}

/** Factors on the time at 20 C for 20 % less and more contrast; printed to 0.1. */
export const TIME_FOR_CONTRAST: { developer: string; less: number; normal: number; more: number }[] = [
  { developer: 'D-76', less: 0.8, normal: 1, more: 1.2 },
  { developer: 'T-MAX', less: 0.9, normal: 1.2, more: 1.4 },
  { developer: 'HC-110 (B)', less: 0.6, normal: 1, more: 1.4 },
]
export const TIME_FOR_CONTRAST_SOURCE = 'Kodak Alaris F-4016 (2016), page 7'

/** Percent of contrast for one percent of development, least and most of the tables above. */
export function contrastForDevelopment(): [number, number] {
  const slopes = TIME_FOR_CONTRAST.flatMap(({ less, normal, more }) => [
    Math.log(0.8) / Math.log(less / normal),
    Math.log(1.2) / Math.log(more / normal),
  ])
  return [Math.min(...slopes), Math.max(...slopes)]
}

/** Contrast of a colour negative control strip (HD − LD, Status M density): from here on the maker asks for action. */
export const CONTROL_STRIP_CONTRAST = {
  action: 0.07,
  control: 0.09,
  source: 'Eastman Kodak Z-131, table 5-1 (secondary transcription)',
}
