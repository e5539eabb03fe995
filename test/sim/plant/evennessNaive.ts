/**
 * Evenness the slow and obvious way: 360 places, each followed through every tick in many small steps. Twin of
 * `sim/plant/evenness.ts`.
 */
export interface NaiveEvenness {
  immersionCv: number
  longestDrySeconds: number
  exchangesPerMinute: number
}

const PLACES = 360

/** `path[i]` is the tank's angle in turns at i × dtSeconds. Straight between. */
export function naiveEvenness(path: number[], dtSeconds: number, halfRadians: number, subSteps: number): NaiveEvenness {
  const immersedSeconds = new Float64Array(PLACES)
  const dryRun = new Float64Array(PLACES)
  let longestDrySeconds = 0
  let entries = 0
  const wasIn = new Uint8Array(PLACES)
  const isIn = (place: number, turns: number): boolean => {
    const angle = 2 * Math.PI * (place / PLACES + turns)
    return Math.cos(angle) > Math.cos(halfRadians)
  }
  for (let place = 0; place < PLACES; place++) wasIn[place] = isIn(place, path[0]) ? 1 : 0
  const h = dtSeconds / subSteps
  for (let i = 1; i < path.length; i++) {
    for (let sub = 0; sub < subSteps; sub++) {
      const turns = path[i - 1] + ((path[i] - path[i - 1]) * (sub + 0.5)) / subSteps
      for (let place = 0; place < PLACES; place++) {
        const now = isIn(place, turns) ? 1 : 0
        if (now === 1) {
          immersedSeconds[place] += h
          if (wasIn[place] === 0) entries++
          dryRun[place] = 0
        } else {
          dryRun[place] += h
          if (dryRun[place] > longestDrySeconds) longestDrySeconds = dryRun[place]
        }
        wasIn[place] = now
      }
    }
  }
  let sum = 0
  for (const seconds of immersedSeconds) sum += seconds
  const mean = sum / PLACES
  let squares = 0
  for (const seconds of immersedSeconds) squares += (seconds - mean) ** 2
  const seconds = (path.length - 1) * dtSeconds
  return {
    immersionCv: Math.sqrt(squares / PLACES) / mean,
    longestDrySeconds,
    exchangesPerMinute: (entries / PLACES / seconds) * 60,
  }
}
