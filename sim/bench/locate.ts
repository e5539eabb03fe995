/** Finds where in a JSON text the place of a problem stands. A place that is not there gives the nearest part around it. */
import { type Problem, placeOf } from '../../firmware/recipe/problem.ts'
import type { JsonNode } from './jsonText.ts'

/** The offset to point at: the key for a key that should not be there, else the value. */
export function offsetOf(root: JsonNode, place: string, about: Problem['about']): number {
  let node = root
  let here = ''
  let keyStart = root.start
  while (here !== place) {
    const step = stepTowards(node, here, place)
    if (step === undefined) return node.start
    node = step.node
    here = step.place
    keyStart = step.keyStart
  }
  return about === 'key' ? keyStart : node.start
}

function stepTowards(
  node: JsonNode,
  here: string,
  place: string,
): { node: JsonNode; place: string; keyStart: number } | undefined {
  const rest = place.slice(here.length)
  if (node.items !== undefined) {
    const index = Number(/^\[(\d+)\]/.exec(rest)?.[1] ?? Number.NaN)
    const item = node.items[index]
    return item === undefined ? undefined : { node: item, place: placeOf(here, index), keyStart: item.start }
  }
  const plain = /^\.?([A-Za-z][A-Za-z0-9]*)/.exec(rest)?.[1]
  const keys = plain === undefined ? (node.keys?.keys() ?? []) : [plain]
  for (const key of keys) {
    const child = node.keys?.get(key)
    const childPlace = placeOf(here, key)
    const follows = place[childPlace.length]
    if (child === undefined || !place.startsWith(childPlace)) continue
    if (follows === undefined || follows === '.' || follows === '[') {
      return { node: child.node, place: childPlace, keyStart: child.start }
    }
  }
  return undefined
}
