/** Small tools for the nested plain data that a chart's option is. Pure. */

export type Part = Record<string, unknown>

/** One thing, several or none, as a list. */
export function list(value: unknown): Part[] {
  return value === undefined ? [] : Array.isArray(value) ? value : [value as Part]
}

export function isPart(value: unknown): value is Part {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
}

/** `said` laid over `usual`, part by part. */
export function over(usual: Part, said: Part): Part {
  const result = { ...usual }
  for (const [key, value] of Object.entries(said)) {
    const below = result[key]
    result[key] = isPart(value) && isPart(below) ? over(below, value) : value
  }
  return result
}
