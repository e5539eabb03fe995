/**
 * What a programme changes in a recipe: the agitation that the bath turns by, or, where other baths turn by it too, a new
 * one and the bath's pointer to it, so that those others go on as before. The same for what is printed and what is
 * written. Pure.
 */
import type { Agitation, Recipe } from '../../../firmware/recipe/recipe.ts'

/** Where in a recipe the programme of one bath goes. */
export interface Place {
  /** The agitation's name, and whether it is a new one. */
  key: string
  isAdded: boolean
  /** By which the bath turns as the recipe stands, and the other baths that do. */
  old: string
  others: string[]
}

/** Of a checked recipe that has this bath. */
export function placeFor(recipe: Recipe, bathName: string): Place {
  const index = recipe.baths.findIndex(bath => bath.name === bathName)
  const old = (recipe.baths[index] as Recipe['baths'][number]).agitation
  const others = recipe.baths.filter((bath, i) => i !== index && bath.agitation === old).map(bath => bath.name)
  const isAdded = others.length > 0
  return { key: isAdded ? newKey(recipe, bathName) : old, isAdded, old, others }
}

/** The bath's own name, or with a number where an agitation is called so already. */
function newKey(recipe: Recipe, bathName: string): string {
  for (let number = 1; ; number++) {
    const key = number === 1 ? bathName : `${bathName} ${number}`
    if (!Object.hasOwn(recipe.agitations, key)) return key
  }
}

/** The parts of a recipe that change, as they stand in it afterwards: of a bath only its name and what changes. */
export interface Fragment {
  agitations: { [name: string]: Agitation }
  /** Only where the bath turns by another agitation than before. */
  baths?: { name: string; agitation: string }[]
}

export function fragmentFor({ key, isAdded }: Place, bathName: string, agitation: Agitation): Fragment {
  return { agitations: { [key]: agitation }, ...(isAdded && { baths: [{ name: bathName, agitation: key }] }) }
}

/** One thing to paste, and where. */
export interface Pasted {
  where: string
  name: string
  value: Agitation | string
}

/** What to paste, in order, and what becomes of the other baths, in words. */
export function pastings(place: Place, bathName: string, agitation: Agitation): { steps: Pasted[]; others: string } {
  const { key, isAdded, old, others } = place
  const said = JSON.stringify(old)
  if (!isAdded) {
    return {
      steps: [{ where: `Under "agitations", in place of what is called ${said}:`, name: key, value: agitation }],
      others: `No other bath turns by ${said}: the other baths keep theirs.`,
    }
  }
  return {
    steps: [
      { where: 'Under "agitations", beside those that are there:', name: key, value: agitation },
      { where: `In the bath "${bathName}", in place of "agitation": ${said}:`, name: 'agitation', value: key },
    ],
    others: `The other baths keep theirs: ${others.join(', ')} go${others.length === 1 ? 'es' : ''} on turning by ${said}.`,
  }
}
