/**
 * What a base holds, said in the terms of a heated processing line: the ± C within which such a line would have to keep its
 * developer, at the sheet's fixed time, so that film comes out with the same spread.
 *
 * Of the same spread: 95 of 100 films within the same percent of development. A line that is off by T develops
 * T · d ln(rate)/dT too much or too little, so T is that percent over the rate's slope at the process temperature (on a row
 * of the sheet, the slope of its colder side).
 */
import { processCelsius } from '../../../firmware/energy/duration.ts'
import { makeRate, sensitivityAt } from '../../../firmware/recipe/rate.ts'
import type { Recipe } from '../../../firmware/recipe/recipe.ts'
import {
  CONTRAST_SOURCE,
  CONTROL_STRIP_CONTRAST,
  contrastForDevelopment,
  contrastPerKelvin,
  LINE_TOLERANCES,
  TIME_FOR_CONTRAST_SOURCE,
} from './published.ts'

/** What a degree is worth to the first developed bath. */
export interface DevelopersSlope {
  bath: string
  atCelsius: number
  percentPerCelsius: number
}

/** Developers meant for more than this are of colour: assumed. */
const COLOUR_CELSIUS = 30

export function developersSlope(recipe: Recipe): DevelopersSlope | undefined {
  const bath = recipe.baths.find(one => one.kind === 'developed')
  if (bath === undefined) return undefined
  const atCelsius = processCelsius(bath)
  const slope = 100 * sensitivityAt(makeRate(bath, 0), atCelsius)
  return slope > 0 ? { bath: bath.name, atCelsius, percentPerCelsius: slope } : undefined
}

export function toleranceOf(slope: DevelopersSlope, errorPercent: number): number {
  return errorPercent / slope.percentPerCelsius
}

/** In words, a paragraph each; `filmPercent` with the operator's hand, `clockPercent` without: each in 95 of 100. */
export function toleranceWords(slope: DevelopersSlope, filmPercent: number, clockPercent: number): string[] {
  const held = toleranceOf(slope, filmPercent)
  const colour = slope.atCelsius > COLOUR_CELSIUS
  const line = colour ? LINE_TOLERANCES.colourNegative : LINE_TOLERANCES.blackAndWhite
  return [
    `95 of 100 films come out of the ${slope.bath} within ${filmPercent.toFixed(2)} % of what their ` +
      `sheet asks. A heated line at a fixed time would have to stay within ${plusMinus(held)} C for that ` +
      `(${slope.percentPerCelsius.toFixed(1)} % a degree at ${slope.atCelsius} C; the clock alone, without the ` +
      `operator's hand: ${plusMinus(toleranceOf(slope, clockPercent))} C). For comparison: ${plusMinus(line.celsius)} C is ` +
      `${line.words} (${line.source}).`,
    colour ? colourWords(filmPercent) : contrastWords(held),
  ]
}

function contrastWords(celsius: number): string {
  const [least, most] = contrastPerKelvin()
  return (
    `In contrast: a bath that is off by ${celsius.toFixed(2)} C for the whole of its time changes the contrast index by ` +
    `${(least * celsius).toFixed(3)} to ${(most * celsius).toFixed(3)}, of about 0.57, with five films (${CONTRAST_SOURCE}).`
  )
}

/** No publication at hand gives the density of a degree in this process; what black-and-white tables say sets the scale. */
function colourWords(percent: number): string {
  const [least, most] = contrastForDevelopment()
  const { action, source } = CONTROL_STRIP_CONTRAST
  const reached = action / ((most * percent) / 100)
  return (
    `In density: a colour negative control strip asks for action when its contrast is off by ${action} (${source}). No figure for the ` +
    `density of a degree is known to this bench. In black-and-white tables 1 % of time changes contrast by ` +
    `${least.toFixed(1)} to ${most.toFixed(1)} % (${TIME_FOR_CONTRAST_SOURCE}, printed to 0.1); were it so here, ` +
    `${percent.toFixed(2)} % of development would move the strip by ${action} only if its contrast were ${reached.toFixed(1)} or more.`
  )
}

function plusMinus(celsius: number): string {
  return `+-${celsius.toFixed(celsius < 0.095 ? 3 : 2)}`
}
