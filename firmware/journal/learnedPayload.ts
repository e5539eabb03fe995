/** What a base has learned, as a record: of pack and load, of the probe's lag, of its operator's hands. */
import type { Habit } from '../clock/operator.ts'
import type { LearnedEnergy } from '../energy/learned.ts'

export interface Learned {
  energy: LearnedEnergy
  /** Natural logarithm of the probe's lag in seconds. */
  lnLag: number
  /** Reaction, fill, drain. */
  habits: Habit[]
}

/** Exact figures where they are fed back into filters: eight bytes each, but counts of legs and speeds in four. */
const FIXED = 18
const SPEEDS_AT_MOST = 6

export function learnedBytes(learned: Learned): Uint8Array {
  const e = learned.energy
  const speeds = Math.min(e.speeds.length, SPEEDS_AT_MOST)
  const figures = [
    e.resistanceOhms,
    e.capacityCoulombs,
    e.capacitySpread,
    e.charge,
    e.chargeSigma,
    e.correlation,
    e.sessionFactor,
    e.sessions,
    learned.lnLag,
  ]
  for (let i = 0; i < 3; i++) {
    const habit = learned.habits[i]
    figures.push(habit.meanSeconds, habit.sigmaSeconds, habit.weight)
  }
  const bytes = new Uint8Array(8 * FIXED + 12 * speeds)
  const view = new DataView(bytes.buffer)
  for (let i = 0; i < FIXED; i++) view.setFloat64(8 * i, figures[i], true)
  for (let i = 0; i < speeds; i++) {
    for (let k = 0; k < 3; k++) view.setFloat32(8 * FIXED + 12 * i + 4 * k, e.speeds[i][k], true)
  }
  return bytes
}

/** `undefined` for a payload that is too short. What the figures are worth, whoever takes them has to judge. */
export function readLearned(payload: Uint8Array): Learned | undefined {
  if (payload.length < 8 * FIXED) return undefined
  const view = new DataView(payload.buffer, payload.byteOffset, payload.length)
  const figures: number[] = []
  for (let i = 0; i < FIXED; i++) figures.push(view.getFloat64(8 * i, true))
  const speeds: number[][] = []
  for (let at = 8 * FIXED; at + 12 <= payload.length; at += 12) {
    speeds.push([view.getFloat32(at, true), view.getFloat32(at + 4, true), view.getFloat32(at + 8, true)])
  }
  const habits: Habit[] = []
  for (let i = 0; i < 3; i++) {
    habits.push({ meanSeconds: figures[9 + 3 * i], sigmaSeconds: figures[10 + 3 * i], weight: figures[11 + 3 * i] })
  }
  return {
    energy: {
      resistanceOhms: figures[0],
      capacityCoulombs: figures[1],
      capacitySpread: figures[2],
      charge: figures[3],
      chargeSigma: figures[4],
      correlation: figures[5],
      sessionFactor: figures[6],
      sessions: figures[7],
      speeds: speeds,
    },
    lnLag: figures[8],
    habits: habits,
  }
}
